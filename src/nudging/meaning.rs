//! What values and their changes are called on the glass.

use crate::rig::{Measure, PanelQuantity, Parts, SeamQuantity, SeatQuantity};

/// What a change of a value against the file means on the desk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meaning {
    /// How it stands where the lines run straight with the change.
    pub stands: String,
    /// What makes it stand as the file says; `None` where nothing on the desk can.
    pub undo: Option<String>,
}

impl Meaning {
    /// The meaning of `change`, in the value's unit, which isn't 0.
    pub fn of(value: Measure, parts: &Parts, change: f64) -> Meaning {
        let amount = value.spec().show(change.abs());
        let more = change > 0.0;
        let pick = |yes: &'static str, no: &'static str| if more { yes } else { no };
        let facing = parts.seat.view.panel;
        let name = |index: usize| format!("\"{}\"", parts.panels[index].name);
        let (stands, undo) = match value {
            Measure::Seat(what) => match what {
                SeatQuantity::Height => (
                    format!("the eye is {amount} {}", pick("higher", "lower")),
                    Some(format!("take the eye {}", pick("DOWN", "UP"))),
                ),
                SeatQuantity::Offset => (
                    format!("the eye is {amount} further {}", pick("right", "left")),
                    Some(format!("move the eye {}", pick("LEFT", "RIGHT"))),
                ),
                SeatQuantity::Distance => (
                    format!(
                        "the eye is {amount} {} the panels",
                        pick("further from", "nearer to")
                    ),
                    Some(format!(
                        "move the eye {} the panels",
                        pick("NEARER TO", "AWAY FROM")
                    )),
                ),
            },
            Measure::Panel(index, what) => {
                let panel = name(index);
                match what {
                    PanelQuantity::Roll => (
                        format!(
                            "{panel}, as you see it, stands turned {amount} further {}",
                            pick("counter-clockwise", "clockwise")
                        ),
                        Some(format!(
                            "turn it {}",
                            pick("CLOCKWISE", "COUNTER-CLOCKWISE")
                        )),
                    ),
                    PanelQuantity::Tilt => (
                        format!(
                            "{panel} leans with its top {amount} further {} you",
                            pick("away from", "towards")
                        ),
                        Some(format!("lean its top {} you", pick("TOWARDS", "AWAY FROM"))),
                    ),
                    PanelQuantity::Radius => (
                        format!(
                            "{panel} is bent {}, its radius {amount} {}",
                            pick("less", "more"),
                            pick("longer", "shorter")
                        ),
                        None,
                    ),
                    _ => {
                        let [more, less] = match what {
                            PanelQuantity::Width => ["wider", "narrower"],
                            PanelQuantity::Height => ["taller", "shorter"],
                            _ => ["larger", "smaller"],
                        };
                        let stands =
                            format!("the lit area of {panel} is {amount} {}", pick(more, less));
                        (stands, None)
                    }
                }
            }
            Measure::Seam(index, what) => {
                // The panel farther from the facing one is the one that moves.
                let moves_right = index >= facing;
                let mover = name(if moves_right { index + 1 } else { index });
                let other = name(if moves_right { index } else { index + 1 });
                match what {
                    SeamQuantity::Angle | SeamQuantity::Fold => (
                        format!("{mover} stands {amount} further {}", pick("in", "out")),
                        Some(format!("turn it {}", pick("OUT", "IN"))),
                    ),
                    SeamQuantity::Gap => (
                        format!(
                            "{mover} stands {amount} {} {other}",
                            pick("farther from", "closer to")
                        ),
                        Some(format!(
                            "move it {} {other}",
                            pick("CLOSER TO", "AWAY FROM")
                        )),
                    ),
                    SeamQuantity::Step => {
                        let is_nearer = more == moves_right;
                        let pick = |yes, no| if is_nearer { yes } else { no };
                        (
                            format!(
                                "at this seam {mover} stands {amount} {} you",
                                pick("nearer to", "farther from")
                            ),
                            Some(format!(
                                "at this seam move it {} you",
                                pick("AWAY FROM", "TOWARDS")
                            )),
                        )
                    }
                    SeamQuantity::Rise => {
                        let is_higher = more == moves_right;
                        let pick = |yes, no| if is_higher { yes } else { no };
                        (
                            format!("{mover} stands {amount} {}", pick("higher", "lower")),
                            Some(format!("{} it", pick("LOWER", "RAISE"))),
                        )
                    }
                    SeamQuantity::Hidden => (
                        format!("the driver hides {amount} {} here", pick("more", "fewer")),
                        Some(format!(
                            "set the driver to hide {} columns here",
                            pick("FEWER", "MORE")
                        )),
                    ),
                }
            }
        };
        Meaning { stands, undo }
    }
}

/// What to do about a value that differs from the file by `change`: one sentence
/// for lines that run straight as nudged, one for a desk as the file says.
/// `is_flipped` says that the pattern is the file's now.
pub fn advice(value: Measure, parts: &Parts, change: f64, is_flipped: bool) -> Vec<String> {
    let Meaning { stands, undo } = Meaning::of(value, parts, change);
    let [straight, flip] = if is_flipped {
        ["If the lines run straight with Space pressed again", ""]
    } else {
        ["If the lines run straight now", "Space, then "]
    };
    let undo = match undo {
        Some(undo) => {
            format!("To have it as the file says: {flip}{undo} until the lines run straight.")
        }
        None => "Nothing on the desk can be moved for that: one of the two numbers is wrong. \
                 Measure it; Delete takes the file's again."
            .to_owned(),
    };
    vec![
        format!(
            "{straight}: {stands} than the file says. S writes that into the file; nothing to move."
        ),
        undo,
    ]
}

/// What the place of a value is called on the glass.
pub fn place_name(value: Measure, parts: &Parts) -> String {
    match value {
        Measure::Seat(_) => "eye".to_owned(),
        Measure::Panel(index, _) => format!("panel \"{}\"", parts.panels[index].name),
        Measure::Seam(index, _) => format!(
            "seam {}: \"{}\" to \"{}\"",
            index + 1,
            parts.panels[index].name,
            parts.panels[index + 1].name
        ),
    }
}
