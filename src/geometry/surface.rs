//! One panel's lit surface, placed in the seat frame.

use glam::DVec3;

use super::plane::EyePlane;

/// An end of a surface's lit width, as the viewer sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LitEdge {
    /// At the viewer's left.
    Left,
    /// At the viewer's right.
    Right,
}

impl LitEdge {
    /// From the left.
    pub const BOTH: [LitEdge; 2] = [LitEdge::Left, LitEdge::Right];

    /// The other end.
    pub fn opposite(self) -> LitEdge {
        match self {
            LitEdge::Left => LitEdge::Right,
            LitEdge::Right => LitEdge::Left,
        }
    }
}

/// A lit surface: its middle, its turned axes, and the profile along its width.
///
/// Arc length `s` runs to the viewer's right of the middle and `t` above it,
/// both in millimetres. Pixel coordinates run from (0, 0) at the top-left
/// corner to the panel's pixel counts at the bottom-right one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// The surface's middle.
    pub middle: DVec3,
    /// Unit axis along the width at the middle, to the viewer's right.
    pub x: DVec3,
    /// Unit axis up the panel.
    pub y: DVec3,
    /// Unit normal at the middle, towards the viewer.
    pub z: DVec3,
    /// Lit width along the surface, and height.
    pub size_mm: [f64; 2],
    /// Columns and rows.
    pub pixels: [f64; 2],
    /// Radius of the concave surface; `None` where it is flat.
    pub radius_mm: Option<f64>,
}

impl Surface {
    /// Width and height of one pixel in millimetres.
    pub fn pitch_mm(&self) -> [f64; 2] {
        [
            self.size_mm[0] / self.pixels[0],
            self.size_mm[1] / self.pixels[1],
        ]
    }

    /// The profile at arc length `s`: how far right of the middle and how far
    /// towards the viewer, in millimetres, and the sine and cosine of the turn.
    pub fn profile(&self, s_mm: f64) -> [f64; 4] {
        match self.radius_mm {
            None => [s_mm, 0.0, 0.0, 1.0],
            Some(radius) => {
                let (sin, cos) = (s_mm / radius).sin_cos();
                // 1 − cos φ as 2 sin²(φ/2) keeps its digits at small angles.
                let half = (s_mm / radius / 2.0).sin();
                [radius * sin, radius * 2.0 * half * half, sin, cos]
            }
        }
    }

    /// The point at arc length `s` and height `t`.
    pub fn point_mm(&self, s_mm: f64, t_mm: f64) -> DVec3 {
        let [right, towards, ..] = self.profile(s_mm);
        self.middle + self.x * right + self.z * towards + self.y * t_mm
    }

    /// The point at a pixel coordinate.
    pub fn point_px(&self, px: f64, py: f64) -> DVec3 {
        self.point_mm(self.s_at_px(px), self.t_at_px(py))
    }

    /// Arc length of a column coordinate.
    pub fn s_at_px(&self, px: f64) -> f64 {
        (px / self.pixels[0] - 0.5) * self.size_mm[0]
    }

    /// Height of a row coordinate.
    pub fn t_at_px(&self, py: f64) -> f64 {
        (0.5 - py / self.pixels[1]) * self.size_mm[1]
    }

    /// Column coordinate of an arc length.
    pub fn px_at_s(&self, s_mm: f64) -> f64 {
        (s_mm / self.size_mm[0] + 0.5) * self.pixels[0]
    }

    /// Row coordinate of a height.
    pub fn py_at_t(&self, t_mm: f64) -> f64 {
        (0.5 - t_mm / self.size_mm[1]) * self.pixels[1]
    }

    /// Unit tangent along the width at arc length `s`, to the viewer's right.
    pub fn tangent(&self, s_mm: f64) -> DVec3 {
        let [_, _, sin, cos] = self.profile(s_mm);
        self.x * cos + self.z * sin
    }

    /// Unit normal at arc length `s`, towards the viewer.
    pub fn normal(&self, s_mm: f64) -> DVec3 {
        let [_, _, sin, cos] = self.profile(s_mm);
        self.z * cos - self.x * sin
    }

    /// Arc length of a lit edge: the left one is negative.
    pub fn edge_s_mm(&self, edge: LitEdge) -> f64 {
        match edge {
            LitEdge::Left => -self.size_mm[0] / 2.0,
            LitEdge::Right => self.size_mm[0] / 2.0,
        }
    }

    /// Distance in millimetres of the eye from the surface's tangent plane,
    /// at the place on the lit width where it is least; positive where the
    /// whole surface faces the eye.
    pub fn facing_mm(&self) -> f64 {
        let at = |s: f64| -self.normal(s).dot(self.point_mm(s, 0.0));
        let half = self.size_mm[0] / 2.0;
        let mut least = at(-half).min(at(half));
        if let Some(radius) = self.radius_mm {
            let to_eye = -self.middle;
            let (ex, ez) = (to_eye.dot(self.x), to_eye.dot(self.z));
            // The distance is R − ρ·cos(φ − φ₀) about the centre of curvature.
            let lowest = radius * ex.atan2(radius - ez);
            if lowest.abs() < half {
                least = least.min(at(lowest));
            }
        }
        least
    }

    /// Height `t` at which the plane cuts the vertical through arc length `s`;
    /// `None` where the plane runs along that vertical.
    pub fn t_on(&self, plane: EyePlane, s_mm: f64) -> Option<f64> {
        let along = plane.normal().dot(self.y);
        let t = -plane.distance_mm(self.point_mm(s_mm, 0.0)) / along;
        t.is_finite().then_some(t)
    }

    /// Row coordinate at which the plane cuts a column coordinate.
    pub fn py_on(&self, plane: EyePlane, px: f64) -> Option<f64> {
        self.t_on(plane, self.s_at_px(px)).map(|t| self.py_at_t(t))
    }

    /// Tangent of the plane's curve on the surface at arc length `s`, towards
    /// the viewer's right; `None` where the plane runs along the vertical there.
    pub fn curve_tangent(&self, plane: EyePlane, s_mm: f64) -> Option<DVec3> {
        let tangent = self.tangent(s_mm);
        let dt_ds = -plane.normal().dot(tangent) / plane.normal().dot(self.y);
        dt_ds.is_finite().then(|| tangent + self.y * dt_ds)
    }

    /// Height `t` at which the eye sees an elevation, in radians, along the
    /// vertical through arc length `s`; `None` where it doesn't.
    pub fn t_at_elevation(&self, s_mm: f64, elevation: f64) -> Option<f64> {
        let (p, y) = (self.point_mm(s_mm, 0.0), self.y);
        let tan = elevation.tan();
        // (p + t·y).y² = tan²·((p + t·y).x² + (p + t·y).z²), on the side of tan.
        let a = y.y * y.y - tan * tan * (y.x * y.x + y.z * y.z);
        let b = p.y * y.y - tan * tan * (p.x * y.x + p.z * y.z);
        let c = p.y * p.y - tan * tan * (p.x * p.x + p.z * p.z);
        let root = (b * b - a * c).max(0.0).sqrt();
        let error = |t: f64| {
            let q = p + y * t;
            (q.y - tan * q.x.hypot(q.z)).abs()
        };
        [(-b - root) / a, (-b + root) / a]
            .into_iter()
            .filter(|t| t.is_finite())
            .min_by(|&one, &other| error(one).total_cmp(&error(other)))
            .filter(|&t| error(t) < 1e-6 * (1.0 + p.length()))
    }

    /// Arc length and height at which the ray from `origin` along `ray` meets
    /// the surface or its continuation, from its lit side; `None` where it
    /// doesn't.
    pub fn hit_mm(&self, origin: DVec3, ray: DVec3) -> Option<[f64; 2]> {
        let from = origin - self.middle;
        let (ox, oy, oz) = (from.dot(self.x), from.dot(self.y), from.dot(self.z));
        let (rx, ry, rz) = (ray.dot(self.x), ray.dot(self.y), ray.dot(self.z));
        let distance = match self.radius_mm {
            None => (rz < 0.0).then(|| -oz / rz)?,
            Some(radius) => {
                // In plan: |o + k·r − (0, R)| = R, the far root: the concave side.
                let (a, b, c) = (
                    rx * rx + rz * rz,
                    ox * rx + (oz - radius) * rz,
                    // Differences of squares, factored to keep their digits.
                    ox * ox + oz * (oz - 2.0 * radius),
                );
                let root = (b * b - a * c).sqrt();
                if b > 0.0 {
                    -c / (b + root)
                } else {
                    (root - b) / a
                }
            }
        };
        if !(distance.is_finite() && distance > 0.0) {
            return None;
        }
        let (hx, hz) = (ox + distance * rx, oz + distance * rz);
        let s = match self.radius_mm {
            None => hx,
            Some(radius) => radius * hx.atan2(radius - hz),
        };
        Some([s, oy + distance * ry])
    }

    /// Pixel coordinate that the eye sees in a direction, on the panel or its
    /// continuation; `None` where the ray doesn't meet it.
    pub fn px_seen(&self, direction: DVec3) -> Option<[f64; 2]> {
        let [s, t] = self.hit_mm(DVec3::ZERO, direction)?;
        Some([self.px_at_s(s), self.py_at_t(t)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn surface(radius_mm: Option<f64>) -> Surface {
        Surface {
            middle: DVec3::new(40.0, -30.0, -700.0),
            x: DVec3::X,
            y: DVec3::Y,
            z: DVec3::Z,
            size_mm: [800.0, 330.0],
            pixels: [3440.0, 1440.0],
            radius_mm,
        }
    }

    #[test]
    fn the_eye_sees_a_pixel_where_the_pixel_is() {
        for radius in [None, Some(1000.0), Some(1800.0), Some(410.0)] {
            let surface = surface(radius);
            for (px, py) in [(0.0, 0.0), (1720.0, 720.0), (3440.0, 3.5), (100.25, 1440.0)] {
                let seen = surface.px_seen(surface.point_px(px, py)).expect("in front");
                assert!((seen[0] - px).abs() < 1e-8, "{radius:?} {px} {seen:?}");
                assert!((seen[1] - py).abs() < 1e-8, "{radius:?} {py} {seen:?}");
            }
        }
    }

    #[test]
    fn a_curve_lies_in_its_plane_and_runs_along_its_tangent() {
        let plane = EyePlane::at_slope(0.3, 0.1, 0.6);
        for radius in [None, Some(1000.0)] {
            let surface = surface(radius);
            let s = 123.0;
            let point = |s: f64| surface.point_mm(s, surface.t_on(plane, s).expect("crosses"));
            assert!(plane.distance_mm(point(s)).abs() < 1e-10);
            let numeric = (point(s + 1e-4) - point(s - 1e-4)) / 2e-4;
            let tangent = surface.curve_tangent(plane, s).expect("crosses");
            assert!((numeric - tangent).length() < 1e-6);
        }
    }

    #[test]
    fn facing_is_the_least_distance_from_any_tangent_plane() {
        for radius in [None, Some(1000.0), Some(500.0)] {
            let surface = surface(radius);
            let least = (0..=1000)
                .map(|i| -400.0 + 0.8 * f64::from(i))
                .map(|s| -surface.normal(s).dot(surface.point_mm(s, 0.0)))
                .fold(f64::INFINITY, f64::min);
            assert!((surface.facing_mm() - least).abs() < 0.01, "{radius:?}");
        }
    }
}
