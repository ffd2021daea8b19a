//! What values and their changes are called on the glass.

use crate::rig::{Measure, PanelQuantity, Parts, SeamQuantity, SeatQuantity};

/// What a change of a value means on the desk.
pub fn meaning(value: Measure, parts: &Parts, change: f64) -> String {
    let amount = value.spec().show(change.abs());
    let more = change > 0.0;
    let pick = |yes: &str, no: &str| if more { yes.to_owned() } else { no.to_owned() };
    let facing = parts.seat.view.panel;
    let name = |index: usize| format!("\"{}\"", parts.panels[index].name);
    match value {
        Measure::Seat(what) => match what {
            SeatQuantity::Height => format!("the eye is {amount} {}", pick("higher", "lower")),
            SeatQuantity::Offset => {
                format!("the eye is {amount} further {}", pick("right", "left"))
            }
            SeatQuantity::Distance => format!(
                "the eye is {amount} {} the panels",
                pick("further from", "nearer to")
            ),
        },
        Measure::Panel(index, what) => {
            let panel = name(index);
            match what {
                PanelQuantity::Roll => format!(
                    "{panel} turns {amount} {}, as you see it",
                    pick("counter-clockwise", "clockwise")
                ),
                PanelQuantity::Tilt => format!(
                    "{panel} leans {amount}, its top {} you",
                    pick("away from", "towards")
                ),
                PanelQuantity::Radius => format!(
                    "{panel} is bent {}: a radius {amount} {}",
                    pick("less", "more"),
                    pick("longer", "shorter")
                ),
                _ => format!(
                    "the lit area of {panel} is {amount} {}",
                    pick("larger", "smaller")
                ),
            }
        }
        Measure::Seam(index, what) => {
            // The panel farther from the facing one is the one that moves.
            let moves_right = index >= facing;
            let mover = name(if moves_right { index + 1 } else { index });
            let other = name(if moves_right { index } else { index + 1 });
            match what {
                SeamQuantity::Angle | SeamQuantity::Fold => {
                    format!("turn {mover} {} by {amount}", pick("in", "out"))
                }
                SeamQuantity::Gap => format!(
                    "move {mover} {amount} {} {other}",
                    pick("away from", "closer to")
                ),
                SeamQuantity::Step => format!(
                    "{mover} stands {amount} {} you at this seam",
                    if more == moves_right {
                        "nearer to"
                    } else {
                        "farther from"
                    }
                ),
                SeamQuantity::Rise => format!(
                    "{mover} stands {amount} {}",
                    if more == moves_right {
                        "higher"
                    } else {
                        "lower"
                    }
                ),
                SeamQuantity::Hidden => {
                    format!("the driver hides {amount} {} here", pick("more", "fewer"))
                }
            }
        }
    }
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
