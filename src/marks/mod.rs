//! Marks for photographs, found again in them.

use glam::DVec2;

/// One mark that a photograph shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sighting {
    /// Which panel shows it, from 0 at the left.
    pub panel: usize,
    /// Where it is drawn: pixels from the panel's lit top-left corner.
    pub panel_px: DVec2,
    /// Where the photograph shows it; the first pixel's middle is at (0.5, 0.5).
    pub photo_px: DVec2,
    /// What that is uncertain by in either direction, 1σ.
    pub sigma_px: f64,
}
