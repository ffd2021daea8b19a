//! A lit surface as a camera sees it: a little bowed, behind its cover glass.

use glam::{DVec2, DVec3};

use crate::geometry::Surface;

/// Refractive index of a display's cover glass: of usual glass, common practice.
const INDEX: f64 = 1.5;
/// Each lessens the error by the share of the glass in the distance, a thousandth.
const ROUNDS: usize = 4;

/// A panel's surface as it is.
///
/// With u and v from −1 to 1 over the width, to the right, and the height, upwards, it
/// stands off the ideal one by bow[0] (u² − 1/3) + bow[1] (v² − 1/3) + bow[2] u v +
/// bow[3] P(u) + bow[4] P(v) millimetres towards the viewer, P being what no parabola has.
/// None of them shifts or turns the panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Screen {
    pub(super) surface: Surface,
    pub(super) bow_mm: [f64; 5],
    /// Thickness of the glass before the pixels.
    pub(super) glass_mm: f64,
}

/// Legendre's fourth polynomial, divided so that it begins with u⁴.
fn fourth(u: f64) -> f64 {
    let u2 = u * u;
    u2 * (u2 - 6.0 / 7.0) + 3.0 / 35.0
}

/// Its slope.
fn fourth_slope(u: f64) -> f64 {
    u * (4.0 * u * u - 12.0 / 7.0)
}

impl Screen {
    /// Where the light of a pixel coordinate leaves the glass on its way to an eye: by
    /// Snell's law, the glass being flat there.
    pub(super) fn leaves_glass(&self, panel_px: DVec2, eye: DVec3) -> DVec3 {
        let surface = &self.surface;
        let (s, t) = (surface.s_at_px(panel_px.x), surface.t_at_px(panel_px.y));
        let half = [surface.size_mm[0] / 2.0, surface.size_mm[1] / 2.0];
        let (u, v) = (s / half[0], t / half[1]);
        let [a, b, c, d, e] = self.bow_mm;
        let third = 1.0 / 3.0;
        let off =
            a * (u * u - third) + b * (v * v - third) + c * u * v + d * fourth(u) + e * fourth(v);
        let [right, towards, sin, cos] = surface.profile(s);
        let ideal = surface.middle + surface.x * right + surface.z * towards + surface.y * t;
        let tangent = surface.x * cos + surface.z * sin;
        let straight = surface.z * cos - surface.x * sin;
        let along = (2.0 * a * u + c * v + d * fourth_slope(u)) / half[0];
        let up = (2.0 * b * v + c * u + e * fourth_slope(v)) / half[1];
        let normal = (straight - tangent * along - surface.y * up).normalize();
        let lit = ideal + straight * off;
        let mut out = lit + normal * self.glass_mm;
        for _ in 0..ROUNDS {
            let ray = (eye - out).normalize();
            // As long as the sine of the slant outside; inside, an index less.
            let slant = ray - normal * ray.dot(normal);
            let root = (INDEX * INDEX - slant.length_squared()).sqrt();
            out = lit + (normal + slant / root) * self.glass_mm;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn screen(glass_mm: f64, bow_mm: [f64; 5]) -> Screen {
        let surface = Surface {
            middle: DVec3::new(0.0, 0.0, -600.0),
            x: DVec3::X,
            y: DVec3::Y,
            z: DVec3::Z,
            size_mm: [600.0, 300.0],
            pixels: [2000.0, 1000.0],
            radius_mm: None,
        };
        Screen {
            surface,
            bow_mm,
            glass_mm,
        }
    }

    /// Snell's law, from the angles themselves.
    #[test]
    fn light_bends_at_the_glass() {
        let glass = screen(2.0, [0.0; 5]);
        let eye = DVec3::new(500.0, 0.0, 0.0);
        let out = glass.leaves_glass(DVec2::new(1000.0, 500.0), eye);
        let inside = (out.x / 2.0).atan();
        let outside = ((eye.x - out.x) / (eye.z - out.z)).atan();
        assert!((out.z + 598.0).abs() < 1e-12);
        assert!((outside.sin() / inside.sin() - 1.5).abs() < 1e-9);
        assert!(out.x > 0.5, "towards the eye: {out}");
    }

    #[test]
    fn a_bow_stands_off_at_the_ends_and_shifts_nothing() {
        let bowed = screen(0.0, [0.9, 0.0, 0.0, 0.0, 0.0]);
        let z = |px: f64| bowed.leaves_glass(DVec2::new(px, 500.0), DVec3::ZERO).z + 600.0;
        assert!((z(0.0) - 0.6).abs() < 1e-12 && (z(1000.0) + 0.3).abs() < 1e-12);
        let fourth = screen(0.0, [0.0, 0.0, 0.0, 3.5, 0.0]);
        let z = |px: f64| fourth.leaves_glass(DVec2::new(px, 500.0), DVec3::ZERO).z + 600.0;
        assert!((z(0.0) - 0.8).abs() < 1e-12 && (z(1000.0) - 0.3).abs() < 1e-12);
        // Neither shifted nor turned nor curved: at right angles to all parabolas.
        let at = |px: f64| px / 1000.0 - 1.0;
        for power in 0..3 {
            let sum: f64 = (0..2000)
                .map(|px| f64::from(px) + 0.5)
                .map(|px| z(px) * at(px).powi(power))
                .sum();
            assert!((sum / 2000.0).abs() < 1e-6, "{power}: {sum}");
        }
        let z = |px: f64| bowed.leaves_glass(DVec2::new(px, 500.0), DVec3::ZERO).z + 600.0;
        let mean = (0..2000).map(|px| z(f64::from(px) + 0.5)).sum::<f64>() / 2000.0;
        assert!(mean.abs() < 1e-6);
    }
}
