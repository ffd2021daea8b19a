//! Whether cases stand in each other's way.

use glam::DVec2;

use crate::geometry::{Layout, Surface};
use crate::rig::Parts;

/// Pieces into which a curved case's front is cut.
const PIECES: u32 = 8;
/// Cases that only touch, in millimetres.
const TOUCH_MM: f64 = 0.01;

/// Whether the fronts of two cases cross, seen from above.
pub(crate) fn overlap(parts: &Parts, layout: &Layout) -> bool {
    let fronts: Vec<Vec<DVec2>> = (parts.panels.iter().zip(layout.surfaces()))
        .map(|(panel, surface)| {
            let half = surface.size_mm[0] / 2.0;
            // Cases that touch don't cross.
            let [from, to] = [
                -half - panel.bezel_mm.left + TOUCH_MM,
                half + panel.bezel_mm.right - TOUCH_MM,
            ];
            front(surface, [from, to])
        })
        .collect();
    (0..fronts.len())
        .any(|one| (one + 1..fronts.len()).any(|other| cross(&fronts[one], &fronts[other])))
}

fn front(surface: &Surface, [from, to]: [f64; 2]) -> Vec<DVec2> {
    let pieces = if surface.radius_mm.is_some() {
        PIECES
    } else {
        1
    };
    (0..=pieces)
        .map(|n| from + (to - from) * f64::from(n) / f64::from(pieces))
        .map(|s| surface.point_mm(s, 0.0))
        .map(|point| DVec2::new(point.x, point.z))
        .collect()
}

fn cross(one: &[DVec2], other: &[DVec2]) -> bool {
    let is_across = |[a, b]: [DVec2; 2], [c, d]: [DVec2; 2]| {
        let side = |p: DVec2| (b - a).perp_dot(p - a);
        side(c) * side(d) < 0.0
    };
    one.windows(2).any(|a| {
        other.windows(2).any(|b| {
            let (a, b) = ([a[0], a[1]], [b[0], b[1]]);
            is_across(a, b) && is_across(b, a)
        })
    })
}
