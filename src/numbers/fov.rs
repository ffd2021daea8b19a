//! Fields of view.

use std::f64::consts::TAU;

use crate::geometry::{Layout, LitEdge, Surface, View, azimuth};
use crate::rig::Rig;

use super::views::ViewNumbers;

/// Fields of view in radians, as the eye has them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fov {
    /// From the azimuth of the leftmost lit edge to that of the rightmost,
    /// followed along the panels: more than a full turn where they overlap.
    pub whole_rad: f64,
    /// Between the azimuths of the facing view's edges.
    pub facing_horizontal_rad: f64,
    /// Between the elevations of its edges at its middle column.
    pub facing_vertical_rad: f64,
    /// Between opposite corners: the larger of the two diagonals.
    pub facing_diagonal_rad: f64,
}

/// The fields of view of a rig with these views' numbers.
pub fn fov(rig: &Rig, views: &[ViewNumbers]) -> Fov {
    let facing = rig.seat().view;
    let shown = rig.views();
    let at = (views.iter().position(|view| view.id == facing)).unwrap_or(0);
    let [left, right] = views[at].azimuth_rad;
    let [bottom, top] = views[at].elevation_rad;
    Fov {
        whole_rad: whole_rad(rig.layout()),
        facing_horizontal_rad: nearest_turn(right - left),
        facing_vertical_rad: top - bottom,
        facing_diagonal_rad: diagonal_rad(&shown[at]),
    }
}

fn diagonal_rad(view: &View) -> f64 {
    let corner = |u, v| view.point_mm(u, v);
    let down = corner(0.0, 0.0).angle_between(corner(1.0, 1.0));
    let up = corner(0.0, 1.0).angle_between(corner(1.0, 0.0));
    down.max(up)
}

/// Places along each panel at which its azimuth is followed.
const STEPS: u32 = 32;

/// From the leftmost of the middles of all panels' lit sides to the rightmost.
fn whole_rad(layout: &Layout) -> f64 {
    let whole = |surface: &Surface| LitEdge::BOTH.map(|edge| surface.edge_s_mm(edge));
    span_rad(
        layout
            .surfaces()
            .iter()
            .map(|surface| (surface, whole(surface))),
    )
}

/// From the azimuth of the leftmost of what is lit of all panels, between two arc
/// lengths on each, to that of the rightmost, followed along the panels.
pub(crate) fn span_rad<'a>(lit: impl IntoIterator<Item = (&'a Surface, [f64; 2])>) -> f64 {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut last = None;
    let mut follow = |from: f64, to: f64| {
        let followed = from + nearest_turn(to - from);
        least = least.min(followed);
        most = most.max(followed);
        followed
    };
    for (surface, [from, to]) in lit {
        let height = surface.size_mm[1];
        for step in 0..=STEPS {
            let s = from + (to - from) * (f64::from(step) / f64::from(STEPS));
            let seen = azimuth(surface.point_mm(s, 0.0));
            let here = follow(last.unwrap_or(seen), seen);
            last = Some(here);
            if step == STEPS / 2 {
                // A panel on its side has its top or bottom at the left.
                for t in [-height / 2.0, height / 2.0] {
                    follow(here, azimuth(surface.point_mm(s, t)));
                }
            }
        }
    }
    most - least
}

/// The same turn, within half a turn either way.
fn nearest_turn(radians: f64) -> f64 {
    radians - TAU * (radians / TAU).round()
}
