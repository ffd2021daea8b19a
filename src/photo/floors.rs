//! What the marks' noise leaves out of a value's uncertainty.
//!
//! Lenses, glass and panels differ a little from how they are described here. In a study
//! of simulated photographs (`tests/reference/photo_study.py`) the noise alone left sigmas two
//! to three times too small for folds, radii and steps; these, added in squares, make up
//! for it.

use crate::parts::{Measure, PanelQuantity, SeamQuantity, SeatQuantity};

/// 1σ in the value's unit, where the file's number is `file`.
pub(super) fn floor(measure: Measure, file: f64) -> f64 {
    match measure {
        Measure::Seat(SeatQuantity::Distance) => 0.4,
        Measure::Seat(SeatQuantity::Height) => 0.15,
        Measure::Seat(SeatQuantity::Offset) => 0.6,
        Measure::Seam(_, SeamQuantity::Fold | SeamQuantity::Angle) => 0.045,
        Measure::Seam(_, SeamQuantity::Gap) => 0.04,
        Measure::Seam(_, SeamQuantity::Step) => 0.08,
        Measure::Seam(_, SeamQuantity::Rise) => 0.01,
        Measure::Seam(_, SeamQuantity::Hidden) => 0.0,
        Measure::Panel(_, PanelQuantity::Roll) => 0.002,
        Measure::Panel(_, PanelQuantity::Tilt) => 0.004,
        Measure::Panel(_, PanelQuantity::Radius) => 0.0025 * file,
        // Sizes are hardly told beyond what was known of them.
        Measure::Panel(..) => 0.0002 * file,
    }
}
