//! How well an eye reads.

use glam::DVec3;

use super::drawn::DrawnLine;
use crate::geometry::Layout;

/// How well an eye judges whether a line goes on straight, 1σ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eye {
    /// Of one pointing along a straightedge or a taut string, in radians.
    pub pointing_rad: f64,
    /// How far the eye sways along each axis from one slide to the next, in
    /// millimetres.
    pub sway_mm: f64,
}

const SECOND: f64 = std::f64::consts::PI / 180.0 / 3600.0;

impl Eye {
    /// Behind a peep card that is clamped to the seat.
    pub const PEEP_CARD: Eye = Eye {
        pointing_rad: 20.0 * SECOND,
        sway_mm: 0.7,
    };

    /// With the head against a headrest.
    pub const HEADREST: Eye = Eye {
        pointing_rad: 60.0 * SECOND,
        sway_mm: 2.0,
    };

    /// What one slide of a line is uncertain by, in rows of the right panel, on
    /// panels that stand as `built` says; `None` where it can't be read there.
    pub fn sigma_px(&self, line: &DrawnLine, built: &Layout) -> Option<f64> {
        let step = 0.5 * self.sway_mm.max(1e-3);
        let mut square = self.pointing_rad * line.px_per_rad(built, DVec3::ZERO)?;
        square *= square;
        for axis in DVec3::AXES {
            let there = line.slide_px(built, axis * step)?;
            let back = line.slide_px(built, axis * -step)?;
            let sway_px = (there - back) / (2.0 * step) * self.sway_mm;
            square += sway_px * sway_px;
        }
        Some(square.sqrt()).filter(|sigma| *sigma > 0.0 && sigma.is_finite())
    }
}
