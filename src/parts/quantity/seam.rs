//! What is measured at a seam.

use super::spec::Spec;
use crate::parts::model::{Seam, Turn};
use crate::parts::unit::Unit;

/// What is measured at a seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SeamQuantity {
    /// Between the facings of the two adjoining views.
    Angle,
    /// Between the surfaces' tangents at the adjoining lit edges.
    Fold,
    /// Between the cases.
    Gap,
    /// The right panel's edge nearer the viewer.
    Step,
    /// The right panel higher.
    Rise,
    /// Columns that the driver hides.
    Hidden,
}

const fn turn(key: &'static str, name: &'static str) -> Spec {
    let remedy = "measure how far the right-hand panel turns in from the left-hand one";
    Spec::new(key, name, Unit::Deg, [-180.0, 180.0], remedy)
        .open()
        .steps(0.05, 0.5)
}

impl SeamQuantity {
    /// All, in the order of the rig file.
    pub const ALL: [SeamQuantity; 6] = [
        SeamQuantity::Angle,
        SeamQuantity::Fold,
        SeamQuantity::Gap,
        SeamQuantity::Step,
        SeamQuantity::Rise,
        SeamQuantity::Hidden,
    ];

    /// Those that say how the right panel stands to the left one, its turn as a fold.
    pub const STANDING: [SeamQuantity; 4] = [
        SeamQuantity::Fold,
        SeamQuantity::Gap,
        SeamQuantity::Step,
        SeamQuantity::Rise,
    ];

    /// What is known of it.
    pub const fn spec(self) -> &'static Spec {
        match self {
            SeamQuantity::Angle => const { &turn("angle_deg", "angle") },
            SeamQuantity::Fold => const { &turn("fold_deg", "fold") },
            SeamQuantity::Gap => {
                const {
                    &Spec::length(
                        "gap_mm",
                        "gap",
                        [-1000.0, 10_000.0],
                        "measure from case to case, without the bezels",
                    )
                    .or(0.0)
                    .steps(0.1, 1.0)
                }
            }
            SeamQuantity::Step => {
                const {
                    &Spec::length(
                        "step_mm",
                        "step",
                        [-10_000.0, 10_000.0],
                        "measure how much nearer to you the right-hand panel's edge is",
                    )
                    .or(0.0)
                    .steps(0.1, 1.0)
                }
            }
            SeamQuantity::Rise => {
                const {
                    &Spec::length(
                        "rise_mm",
                        "rise",
                        [-10_000.0, 10_000.0],
                        "measure how much higher the right-hand panel's middle is",
                    )
                    .or(0.0)
                    .steps(0.1, 1.0)
                }
            }
            SeamQuantity::Hidden => {
                const {
                    &Spec::new(
                        "hidden_px",
                        "hidden columns",
                        Unit::Px,
                        [0.0, 32_768.0],
                        "give the columns that the display driver hides behind this seam",
                    )
                    .or(0.0)
                    .whole()
                    .steps(1.0, 10.0)
                }
            }
        }
    }

    /// How a seam's turn is given.
    pub const fn turn_of(seam: &Seam) -> SeamQuantity {
        match seam.turn {
            Turn::AngleDeg(_) => SeamQuantity::Angle,
            Turn::FoldDeg(_) => SeamQuantity::Fold,
        }
    }

    /// Its number at a seam; `None` for the angle where the fold is given, and the
    /// other way round.
    pub fn get(self, seam: &Seam) -> Option<f64> {
        match (self, seam.turn) {
            (SeamQuantity::Angle, Turn::AngleDeg(turn))
            | (SeamQuantity::Fold, Turn::FoldDeg(turn)) => Some(turn),
            (SeamQuantity::Angle | SeamQuantity::Fold, _) => None,
            (SeamQuantity::Gap, _) => Some(seam.gap_mm),
            (SeamQuantity::Step, _) => Some(seam.step_mm),
            (SeamQuantity::Rise, _) => Some(seam.rise_mm),
            (SeamQuantity::Hidden, _) => Some(seam.hidden_px.into()),
        }
    }

    /// Puts a number in its place, an angle instead of a fold and the other way
    /// round. Whole numbers end at their type's limits.
    pub fn put(self, seam: &mut Seam, number: f64) {
        match self {
            SeamQuantity::Angle => seam.turn = Turn::AngleDeg(number),
            SeamQuantity::Fold => seam.turn = Turn::FoldDeg(number),
            SeamQuantity::Gap => seam.gap_mm = number,
            SeamQuantity::Step => seam.step_mm = number,
            SeamQuantity::Rise => seam.rise_mm = number,
            SeamQuantity::Hidden => seam.hidden_px = number.round() as u32,
        }
    }
}
