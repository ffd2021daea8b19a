//! A line that looks straight: the directions in one plane through the eye.

use glam::DVec3;

use super::direction::direction;

/// A plane through the eye, held as its unit normal in the seat frame.
///
/// # Guarantees
///
/// The normal has unit length, and a positive y where it has any
/// (else a positive x, else a positive z), so that equal planes are equal values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EyePlane(DVec3);

impl EyePlane {
    /// The level plane at eye height: the horizon.
    pub const HORIZON: EyePlane = EyePlane(DVec3::Y);

    /// The plane with this normal of any length; `None` where it has no direction.
    pub fn new(normal: DVec3) -> Option<EyePlane> {
        let unit = normal.try_normalize()?;
        let lead = if unit.y != 0.0 {
            unit.y
        } else if unit.x != 0.0 {
            unit.x
        } else {
            unit.z
        };
        // Adding zero turns a negative zero into a plain one.
        Some(EyePlane(
            if lead < 0.0 { -unit } else { unit } + DVec3::ZERO,
        ))
    }

    /// The plane that holds both directions; `None` where they are parallel.
    pub fn through(a: DVec3, b: DVec3) -> Option<EyePlane> {
        let normal = a.cross(b);
        if normal.length() <= 1e-12 * a.length() * b.length() {
            return None;
        }
        EyePlane::new(normal)
    }

    /// The plane through the direction at `azimuth` and `elevation` that rises
    /// to the right by `slope` there. All three are angles in radians; `slope`
    /// lies strictly between −π/2 and π/2.
    pub fn at_slope(azimuth: f64, elevation: f64, slope: f64) -> EyePlane {
        let ahead = direction(azimuth, elevation);
        let right = DVec3::new(azimuth.cos(), 0.0, azimuth.sin());
        let up = right.cross(ahead);
        let along = right * slope.cos() + up * slope.sin();
        EyePlane::new(along.cross(ahead)).unwrap_or(EyePlane::HORIZON)
    }

    /// The unit normal.
    pub fn normal(self) -> DVec3 {
        self.0
    }

    /// Signed distance in millimetres of a point from the plane.
    pub fn distance_mm(self, point: DVec3) -> f64 {
        self.0.dot(point)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::elevation;

    #[test]
    fn at_slope_passes_through_its_point_and_rises_as_asked() {
        let plane = EyePlane::at_slope(0.4, 0.2, 0.5);
        assert!(plane.distance_mm(direction(0.4, 0.2)).abs() < 1e-15);
        // A small step to the right along the plane gains height as tan(slope).
        let n = plane.normal();
        let step = 1e-6;
        let ahead = direction(0.4, 0.2);
        let along = n.cross(ahead).normalize();
        let along = if along.x > 0.0 { along } else { -along };
        let moved = ahead + along * step;
        let gain = (elevation(moved) - 0.2) / step;
        assert!((gain - 0.5_f64.sin()).abs() < 1e-6, "{gain}");
    }

    #[test]
    fn a_plane_has_one_form() {
        let a = EyePlane::new(DVec3::new(1.0, -2.0, 3.0));
        let b = EyePlane::new(DVec3::new(-0.5, 1.0, -1.5));
        assert_eq!(a, b);
        assert_eq!(EyePlane::new(DVec3::ZERO), None);
    }
}
