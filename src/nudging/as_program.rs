//! The pattern as a program with one camera a screen draws it.

use crate::fit::{Program, WindowModel};

/// A program whose lines can be looked at instead of the rig's own, and whether they are.
#[derive(Debug, Clone, PartialEq)]
pub struct AsProgram {
    /// The program.
    pub program: Program,
    /// Whether its lines are shown.
    pub is_on: bool,
}

/// What is said where there is no such program.
pub(super) const NONE: &str = "this rig has no [window]: `throughline place` finds one, and \
     --outline X,Y,W,H shows any";

impl AsProgram {
    /// What is drawn, in words for people.
    pub fn words(&self) -> String {
        let screens = self.program.screens();
        let place = match &self.program {
            Program::Views(_) => String::new(),
            Program::Window(window, model) => {
                let [x, y, width, height] = window.px;
                format!(
                    " in the outlined window at {x}, {y}, {width} x {height} px{}",
                    turn(model)
                )
            }
        };
        format!(
            "The lines are drawn as a program with one camera a screen draws them{place}: angle \
             {:.2}°, distance {:.1} mm, width {:.1} mm, bezel {:.1} mm. Nudges don't move them.",
            screens.angle_rad.to_degrees(),
            screens.distance_mm,
            screens.width_mm,
            screens.bezel_mm
        )
    }
}

/// How far its ahead lies beside the rig's, where that can be seen.
fn turn(model: &WindowModel) -> String {
    let deg = model.turn_rad.to_degrees();
    let side = if deg > 0.0 { "right" } else { "left" };
    if deg.abs() < 0.005 {
        String::new()
    } else {
        format!(", ahead {:.2}° to the {side}", deg.abs())
    }
}
