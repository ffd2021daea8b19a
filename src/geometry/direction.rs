//! Azimuth and elevation of what the eye sees.

use glam::DVec3;

/// Azimuth in radians of a point or direction: 0 ahead, positive to the right,
/// in (−π, π]. Any length.
pub fn azimuth(v: DVec3) -> f64 {
    v.x.atan2(-v.z)
}

/// Elevation in radians of a point or direction: positive up. Any length.
pub fn elevation(v: DVec3) -> f64 {
    v.y.atan2(v.x.hypot(v.z))
}

/// The unit direction at an azimuth and an elevation in radians.
pub fn direction(azimuth: f64, elevation: f64) -> DVec3 {
    let (sin_a, cos_a) = azimuth.sin_cos();
    let (sin_e, cos_e) = elevation.sin_cos();
    DVec3::new(sin_a * cos_e, sin_e, -cos_a * cos_e)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn direction_inverts_azimuth_and_elevation() {
        for (a, e) in [(0.0, 0.0), (0.7, -0.3), (-2.9, 1.2), (1.6, 0.01)] {
            let d = direction(a, e);
            assert!((azimuth(d) - a).abs() < 1e-14, "azimuth of {d}");
            assert!((elevation(d) - e).abs() < 1e-14, "elevation of {d}");
            assert!((d.length() - 1.0).abs() < 1e-15);
        }
    }

    #[test]
    fn right_is_positive_azimuth_and_up_is_positive_elevation() {
        assert!(azimuth(DVec3::new(1.0, 0.0, -1.0)) > 0.0);
        assert!(elevation(DVec3::new(0.0, 1.0, -1.0)) > 0.0);
    }
}
