//! How much a program has to draw.

use crate::rig::Rig;

/// The span's pixels, and how often they are drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct PixelRate {
    /// Pixels of one picture over the whole canvas.
    pub canvas_px: u64,
    /// Those of them that a panel lights.
    pub lit_px: u64,
    /// The panels' refresh rates, each once, slowest first.
    pub refresh_hz: Vec<f64>,
}

impl PixelRate {
    /// Canvas pixels a second at a refresh rate.
    pub fn per_second(&self, refresh_hz: f64) -> f64 {
        self.canvas_px as f64 * refresh_hz
    }
}

/// How much a program has to draw for a rig.
pub fn pixel_rate(rig: &Rig) -> PixelRate {
    let area = |[width, height]: [u32; 2]| u64::from(width) * u64::from(height);
    let mut refresh_hz: Vec<f64> = (rig.panels().iter())
        .filter_map(|panel| panel.refresh_hz)
        .collect();
    refresh_hz.sort_by(f64::total_cmp);
    refresh_hz.dedup();
    PixelRate {
        canvas_px: area(rig.canvas().size_px),
        lit_px: rig.panels().iter().map(|panel| area(panel.pixels)).sum(),
        refresh_hz,
    }
}
