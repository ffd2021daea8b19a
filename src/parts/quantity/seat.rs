//! What is measured at the seat.

use super::spec::Spec;
use crate::parts::model::Seat;

/// What is measured at the seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SeatQuantity {
    /// Eye to the facing view.
    Distance,
    /// Eye above the facing view's middle.
    Height,
    /// Eye to the right of the facing view's middle.
    Offset,
}

impl SeatQuantity {
    /// All, in the order of the rig file.
    pub const ALL: [SeatQuantity; 3] = [
        SeatQuantity::Distance,
        SeatQuantity::Height,
        SeatQuantity::Offset,
    ];

    /// What is known of it.
    pub const fn spec(self) -> &'static Spec {
        match self {
            SeatQuantity::Distance => {
                const {
                    &Spec::length(
                        "distance_mm",
                        "distance",
                        [1.0, 100_000.0],
                        "measure from the eye to the middle of the facing view",
                    )
                    .steps(1.0, 10.0)
                }
            }
            SeatQuantity::Height => {
                const {
                    &Spec::length(
                        "height_mm",
                        "height",
                        [-100_000.0, 100_000.0],
                        "measure how far the eye is above the middle of the facing view",
                    )
                    .or(0.0)
                    .steps(1.0, 10.0)
                }
            }
            SeatQuantity::Offset => {
                const {
                    &Spec::length(
                        "offset_mm",
                        "offset",
                        [-100_000.0, 100_000.0],
                        "measure how far the eye is to the right of the middle of the facing view",
                    )
                    .or(0.0)
                    .steps(1.0, 10.0)
                }
            }
        }
    }

    /// Its number at a seat.
    pub fn get(self, seat: &Seat) -> f64 {
        match self {
            SeatQuantity::Distance => seat.distance_mm,
            SeatQuantity::Height => seat.height_mm,
            SeatQuantity::Offset => seat.offset_mm,
        }
    }

    /// Puts a number in its place; whether that is a rig is asked later.
    pub fn put(self, seat: &mut Seat, number: f64) {
        *match self {
            SeatQuantity::Distance => &mut seat.distance_mm,
            SeatQuantity::Height => &mut seat.height_mm,
            SeatQuantity::Offset => &mut seat.offset_mm,
        } = number;
    }
}
