//! A phone's camera.
//!
//! A pinhole with OpenCV's radial and decentring distortion, whose picture drifts while
//! its rows are read. Camera frame: x to the right of the picture, y down, z ahead.

use glam::{DMat3, DVec2, DVec3};

/// What a lens bends; the same in every photograph of a phone's.
///
/// OpenCV's k1, k2, k3 and p1, p2: with x and y the pinhole's coordinates at distance 1
/// and r² = x² + y², they become x (1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2 x²)
/// and y (1 + …) + p1 (r² + 2 y²) + 2 p2 x y.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lens {
    /// k1, k2 and k3.
    pub radial: [f64; 3],
    /// p1 and p2.
    pub decentring: [f64; 2],
}

/// One photograph's camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// Columns and rows.
    pub size_px: DVec2,
    /// Its centre in the frame that points are given in, in millimetres.
    pub eye: DVec3,
    /// A turn from that frame to the camera's.
    pub camera_from_seat: DMat3,
    /// Focal length.
    pub focal_px: f64,
    /// Where the axis meets the picture; its top-left corner is (0, 0).
    pub centre_px: DVec2,
    /// How far the picture goes right and down from its first row to its last, because
    /// the hand moves meanwhile.
    pub drift_px: DVec2,
}

/// Least distance ahead of the lens, in millimetres.
const AHEAD_MM: f64 = 1.0;

impl Lens {
    fn bent(&self, at: DVec2) -> DVec2 {
        let [k1, k2, k3] = self.radial;
        let [p1, p2] = self.decentring;
        let r2 = at.length_squared();
        let along = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3));
        let twice = 2.0 * at.x * at.y;
        let decentred = DVec2::new(
            p1 * twice + p2 * (r2 + 2.0 * at.x * at.x),
            p1 * (r2 + 2.0 * at.y * at.y) + p2 * twice,
        );
        at * along + decentred
    }
}

impl Camera {
    /// Where the picture shows a point, in pixels from its top-left corner; `None` behind
    /// the lens.
    pub fn px(&self, lens: &Lens, point: DVec3) -> Option<DVec2> {
        let px = self.px_or_nan(lens, point);
        px.is_finite().then_some(px)
    }

    /// The same, not a number behind the lens.
    pub(super) fn px_or_nan(&self, lens: &Lens, point: DVec3) -> DVec2 {
        let seen = self.camera_from_seat * (point - self.eye);
        if seen.z < AHEAD_MM {
            return DVec2::NAN;
        }
        let at = lens.bent(seen.truncate() / seen.z);
        let still = self.centre_px + self.focal_px * at;
        still + self.drift_px * (still.y / self.size_px.y - 0.5)
    }
}
