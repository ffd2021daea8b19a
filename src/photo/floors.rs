//! What the marks' noise leaves out of a value's uncertainty.
//!
//! Lenses, glass and panels differ a little from how they are described here. In 50 sets of
//! simulated photographs (`tests/reference/photo_study.py`) these, added in squares to what
//! the noise makes, had 95 % of the truths lie within two sigmas; other sets then judged
//! them.

use crate::parts::{Measure, PanelQuantity, SeamQuantity, SeatQuantity};

/// 1σ in the value's unit, where the file's number is `file`.
pub(super) fn floor(measure: Measure, file: f64) -> f64 {
    match measure {
        Measure::Seat(SeatQuantity::Distance) => 0.5,
        Measure::Seat(SeatQuantity::Height) => 0.03,
        Measure::Seat(SeatQuantity::Offset) => 0.4,
        Measure::Seam(_, SeamQuantity::Fold | SeamQuantity::Angle) => 0.03,
        Measure::Seam(_, SeamQuantity::Gap) => 0.025,
        Measure::Seam(_, SeamQuantity::Step) => 0.035,
        Measure::Seam(_, SeamQuantity::Rise) => 0.001,
        Measure::Seam(_, SeamQuantity::Hidden) => 0.0,
        Measure::Panel(_, PanelQuantity::Roll) => 0.0004,
        Measure::Panel(_, PanelQuantity::Tilt) => 0.0012,
        Measure::Panel(_, PanelQuantity::Radius) => 0.004 * file,
        // Sizes are hardly told beyond what was known of them.
        Measure::Panel(..) => 0.0006 * file,
    }
}
