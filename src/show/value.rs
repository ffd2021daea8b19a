//! The values of a rig that a person can be wrong about.

use throughline::rig::{Parts, Size, Turn};

/// Where a value belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The eye.
    Seat,
    /// The panel with this index.
    Panel(usize),
    /// The seam with this index.
    Seam(usize),
}

/// What is measured there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Eye to the facing view.
    Distance,
    /// Eye above the facing view's middle.
    Height,
    /// Eye to the right of the facing view's middle.
    Offset,
    /// A seam's angle or fold, whichever the rig file gives.
    Turn,
    /// Between the cases.
    Gap,
    /// The right panel's edge nearer the viewer.
    Step,
    /// The right panel higher.
    Rise,
    /// Columns that the driver hides.
    Hidden,
    /// Turn about the panel's own normal.
    Roll,
    /// Lean of the top.
    Tilt,
    /// Radius of the curve.
    Radius,
    /// Diagonal of the lit area.
    Diagonal,
    /// Width of the lit area.
    LitWidth,
    /// Height of the lit area.
    LitHeight,
}

/// One number of the rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Value {
    /// Where it belongs.
    pub place: Place,
    /// What it is.
    pub quantity: Quantity,
}

/// Every value of a rig, from the left panel to the right one, the seat last.
pub fn values(parts: &Parts) -> Vec<Value> {
    use Quantity::{
        Diagonal, Distance, Gap, Height, Hidden, LitHeight, LitWidth, Offset, Radius, Rise, Roll,
        Step, Tilt, Turn,
    };
    let mut values = Vec::new();
    let mut add = |place: Place, quantities: &[Quantity]| {
        values.extend(quantities.iter().map(|&quantity| Value { place, quantity }));
    };
    for (index, panel) in parts.panels.iter().enumerate() {
        let place = Place::Panel(index);
        add(place, &[Roll, Tilt]);
        match panel.size {
            Size::DiagonalIn(_) => add(place, &[Diagonal]),
            Size::LitMm(_) => add(place, &[LitWidth, LitHeight]),
        }
        if panel.curve_radius_mm.is_some() {
            add(place, &[Radius]);
        }
        if index < parts.seams.len() {
            add(Place::Seam(index), &[Turn, Gap, Step, Rise, Hidden]);
        }
    }
    add(Place::Seat, &[Distance, Height, Offset]);
    values
}

impl Value {
    /// Its number in these parts.
    pub fn get(self, parts: &Parts) -> f64 {
        let seat = &parts.seat;
        match (self.place, self.quantity) {
            (Place::Seat, Quantity::Height) => seat.height_mm,
            (Place::Seat, Quantity::Offset) => seat.offset_mm,
            (Place::Seat, _) => seat.distance_mm,
            (Place::Panel(index), quantity) => {
                let panel = &parts.panels[index];
                match (quantity, panel.size) {
                    (Quantity::Roll, _) => panel.roll_deg,
                    (Quantity::Tilt, _) => panel.tilt_deg,
                    (Quantity::Radius, _) => panel.curve_radius_mm.unwrap_or(f64::INFINITY),
                    (Quantity::LitHeight, _) => panel.size_mm()[1],
                    (_, Size::DiagonalIn(diagonal)) => diagonal,
                    (_, Size::LitMm([width, _])) => width,
                }
            }
            (Place::Seam(index), quantity) => {
                let seam = &parts.seams[index];
                match quantity {
                    Quantity::Gap => seam.gap_mm,
                    Quantity::Step => seam.step_mm,
                    Quantity::Rise => seam.rise_mm,
                    Quantity::Hidden => f64::from(seam.hidden_px),
                    _ => match seam.turn {
                        Turn::AngleDeg(turn) | Turn::FoldDeg(turn) => turn,
                    },
                }
            }
        }
    }

    /// Puts a number in its place; whether that is a rig is asked later.
    pub fn set(self, parts: &mut Parts, number: f64) {
        let seat = &mut parts.seat;
        match (self.place, self.quantity) {
            (Place::Seat, Quantity::Height) => seat.height_mm = number,
            (Place::Seat, Quantity::Offset) => seat.offset_mm = number,
            (Place::Seat, _) => seat.distance_mm = number,
            (Place::Panel(index), quantity) => {
                let panel = &mut parts.panels[index];
                match (quantity, &mut panel.size) {
                    (Quantity::Roll, _) => panel.roll_deg = number,
                    (Quantity::Tilt, _) => panel.tilt_deg = number,
                    (Quantity::Radius, _) => panel.curve_radius_mm = Some(number),
                    (Quantity::LitHeight, Size::LitMm([_, height])) => *height = number,
                    (_, Size::LitMm([width, _])) => *width = number,
                    (_, Size::DiagonalIn(diagonal)) => *diagonal = number,
                }
            }
            (Place::Seam(index), quantity) => {
                let seam = &mut parts.seams[index];
                match quantity {
                    Quantity::Gap => seam.gap_mm = number,
                    Quantity::Step => seam.step_mm = number,
                    Quantity::Rise => seam.rise_mm = number,
                    // The cast ends at the type's limits.
                    Quantity::Hidden => seam.hidden_px = number.round() as u32,
                    _ => match &mut seam.turn {
                        Turn::AngleDeg(turn) | Turn::FoldDeg(turn) => *turn = number,
                    },
                }
            }
        }
    }

    /// The rig file's key.
    pub fn key(self, parts: &Parts) -> &'static str {
        match self.quantity {
            Quantity::Distance => "distance_mm",
            Quantity::Height => "height_mm",
            Quantity::Offset => "offset_mm",
            Quantity::Turn => match self.place {
                Place::Seam(index) => parts.seams[index].turn.key(),
                _ => "angle_deg",
            },
            Quantity::Gap => "gap_mm",
            Quantity::Step => "step_mm",
            Quantity::Rise => "rise_mm",
            Quantity::Hidden => "hidden_px",
            Quantity::Roll => "roll_deg",
            Quantity::Tilt => "tilt_deg",
            Quantity::Radius => "curve_radius_mm",
            Quantity::Diagonal => "diagonal_in",
            Quantity::LitWidth => "size_mm.0",
            Quantity::LitHeight => "size_mm.1",
        }
    }

    /// The key with its table, as the command line's settings spell it.
    pub fn path(self, parts: &Parts) -> String {
        let key = self.key(parts);
        match self.place {
            Place::Seat => format!("seat.{key}"),
            Place::Panel(index) => format!("panel.{}.{key}", index + 1),
            Place::Seam(index) => format!("seam.{}.{key}", index + 1),
        }
    }

    /// What it is called on the glass.
    pub fn name(self, parts: &Parts) -> &'static str {
        match self.quantity {
            Quantity::Distance => "distance",
            Quantity::Height => "height",
            Quantity::Offset => "offset",
            Quantity::Turn => match self.key(parts) {
                "fold_deg" => "fold",
                _ => "angle",
            },
            Quantity::Gap => "gap",
            Quantity::Step => "step",
            Quantity::Rise => "rise",
            Quantity::Hidden => "hidden columns",
            Quantity::Roll => "roll",
            Quantity::Tilt => "tilt",
            Quantity::Radius => "curve radius",
            Quantity::Diagonal => "diagonal",
            Quantity::LitWidth => "lit width",
            Quantity::LitHeight => "lit height",
        }
    }

    /// Its unit, with the space before it where one is due.
    pub fn unit(self) -> &'static str {
        match self.quantity {
            Quantity::Turn | Quantity::Roll | Quantity::Tilt => "°",
            Quantity::Hidden => " px",
            Quantity::Diagonal => " in",
            _ => " mm",
        }
    }

    /// Fine and coarse step, in its unit.
    pub fn steps(self) -> [f64; 2] {
        match self.quantity {
            Quantity::Turn | Quantity::Roll | Quantity::Tilt => [0.05, 0.5],
            Quantity::Gap | Quantity::Step | Quantity::Rise => [0.1, 1.0],
            Quantity::LitWidth | Quantity::LitHeight => [0.1, 1.0],
            Quantity::Diagonal => [0.01, 0.1],
            Quantity::Hidden => [1.0, 10.0],
            Quantity::Radius => [5.0, 50.0],
            Quantity::Distance | Quantity::Height | Quantity::Offset => [1.0, 10.0],
        }
    }

    /// Digits after the point that a fine step needs.
    pub fn decimals(self) -> usize {
        match self.quantity {
            Quantity::Turn | Quantity::Roll | Quantity::Tilt | Quantity::Diagonal => 2,
            Quantity::Hidden => 0,
            _ => 1,
        }
    }

    /// A number with its unit.
    pub fn show(self, number: f64) -> String {
        format!("{number:.*}{}", self.decimals(), self.unit())
    }

    /// A change with its sign and unit.
    pub fn show_change(self, change: f64) -> String {
        format!("{change:+.*}{}", self.decimals(), self.unit())
    }
}

/// What a change of a value means on the desk.
pub fn meaning(value: Value, parts: &Parts, change: f64) -> String {
    let amount = value.show(change.abs());
    let more = change > 0.0;
    let pick = |yes: &str, no: &str| if more { yes.to_owned() } else { no.to_owned() };
    let facing = parts.seat.view.panel;
    let name = |index: usize| format!("\"{}\"", parts.panels[index].name);
    match value.place {
        Place::Seat => match value.quantity {
            Quantity::Height => format!("the eye is {amount} {}", pick("higher", "lower")),
            Quantity::Offset => {
                format!("the eye is {amount} further {}", pick("right", "left"))
            }
            _ => format!(
                "the eye is {amount} {} the panels",
                pick("further from", "nearer to")
            ),
        },
        Place::Panel(index) => {
            let panel = name(index);
            match value.quantity {
                Quantity::Roll => format!(
                    "{panel} turns {amount} {}, as you see it",
                    pick("counter-clockwise", "clockwise")
                ),
                Quantity::Tilt => format!(
                    "{panel} leans {amount}, its top {} you",
                    pick("away from", "towards")
                ),
                Quantity::Radius => format!(
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
        Place::Seam(index) => {
            // The panel farther from the facing one is the one that moves.
            let moves_right = index >= facing;
            let mover = name(if moves_right { index + 1 } else { index });
            let other = name(if moves_right { index } else { index + 1 });
            match value.quantity {
                Quantity::Turn => format!("turn {mover} {} by {amount}", pick("in", "out")),
                Quantity::Gap => format!(
                    "move {mover} {amount} {} {other}",
                    pick("away from", "closer to")
                ),
                Quantity::Step => format!(
                    "{mover} stands {amount} {} to you at this seam",
                    if more == moves_right {
                        "nearer"
                    } else {
                        "less near"
                    }
                ),
                Quantity::Rise => format!(
                    "{mover} stands {amount} {}",
                    if more == moves_right {
                        "higher"
                    } else {
                        "lower"
                    }
                ),
                _ => format!("the driver hides {amount} {} here", pick("more", "fewer")),
            }
        }
    }
}

/// What a place is called on the glass.
pub fn place_name(place: Place, parts: &Parts) -> String {
    match place {
        Place::Seat => "eye".to_owned(),
        Place::Panel(index) => format!("panel \"{}\"", parts.panels[index].name),
        Place::Seam(index) => format!(
            "seam {}: \"{}\" to \"{}\"",
            index + 1,
            parts.panels[index].name,
            parts.panels[index + 1].name
        ),
    }
}
