//! What the marks' noise leaves out of a value's uncertainty.
//!
//! Lenses, glass and panels differ a little from how they are described here. In a study
//! of simulated photographs (`tests/reference/`) the noise alone left sigmas two to three
//! times too small for folds, radii and steps; these, added in squares, make up for it.

use crate::parts::{Measure, PanelQuantity, SeamQuantity};

/// 1σ in the value's unit, where the file's number is `file`.
pub(super) fn floor(measure: Measure, file: f64) -> f64 {
    match measure {
        Measure::Seat(_) => 0.4,
        Measure::Seam(_, SeamQuantity::Fold | SeamQuantity::Angle) => 0.03,
        Measure::Seam(_, SeamQuantity::Gap) => 0.05,
        Measure::Seam(_, SeamQuantity::Step) => 0.07,
        Measure::Seam(_, SeamQuantity::Rise) => 0.015,
        Measure::Seam(_, SeamQuantity::Hidden) => 0.0,
        Measure::Panel(_, PanelQuantity::Roll) => 0.003,
        Measure::Panel(_, PanelQuantity::Tilt) => 0.006,
        Measure::Panel(_, PanelQuantity::Radius) => 0.0025 * file,
        // Sizes are hardly told beyond what was known of them.
        Measure::Panel(..) => 0.0002 * file,
    }
}
