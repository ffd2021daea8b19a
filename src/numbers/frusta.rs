//! Off-axis cameras, one a view, and how far a curved view strays from theirs.

use glam::DVec3;

use crate::geometry::{Frustum, View};
use crate::rig::{Rig, ViewId};

/// One view's camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ViewFrustum {
    /// Which view.
    pub id: ViewId,
    /// Its frustum; `None` where the eye is behind the plane of the view's corners.
    pub through: Option<Straying>,
}

/// A frustum, and how far the view strays from its flat screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Straying {
    /// The frustum through the view's corners.
    pub frustum: Frustum,
    /// The largest angle, for the eye, between a point of the view and the point at
    /// the same fractions of that flat screen's width and height, in radians: over
    /// the view's whole area, edges included, to 1e-9. 0 where the view is flat.
    pub max_rad: f64,
}

/// The camera of every view, from left to right.
pub fn frusta(rig: &Rig) -> Vec<ViewFrustum> {
    let views = rig.views();
    let frustum = |view: &View| ViewFrustum {
        id: view.id,
        through: Frustum::of(view).map(|frustum| Straying {
            frustum,
            max_rad: max_rad(view, &frustum),
        }),
    };
    views.iter().map(frustum).collect()
}

/// Places along a side at which the search begins.
const STEPS: u32 = 64;
/// The search ends where its steps are this short. The angle is level at its
/// largest, or at the view's edge, so what it misses is of second order.
const LEAST_STEP: f64 = 1e-7;

/// From every place of a grid that no neighbour exceeds, a climb with ever shorter
/// steps: the angle may have a largest value on either side of the middle.
fn max_rad(view: &View, frustum: &Frustum) -> f64 {
    if view.surface.radius_mm.is_none() {
        return 0.0;
    }
    let angle = |[u, v]: [f64; 2]| {
        let apart = |a: DVec3, b: DVec3| a.cross(b).length().atan2(a.dot(b));
        apart(view.point_mm(u, v), frustum.ray([u, 1.0 - v]))
    };
    let side = STEPS as usize + 1;
    let grid: Vec<f64> = (0..side * side)
        .map(|at| angle([at % side, at / side].map(|n| n as f64 / f64::from(STEPS))))
        .collect();
    let is_peak = |at: usize| {
        let near = |n: usize| n.saturating_sub(1)..(n + 2).min(side);
        near(at / side)
            .all(|row| near(at % side).all(|column| grid[row * side + column] <= grid[at]))
    };
    (0..grid.len())
        .filter(|&at| is_peak(at))
        .map(|at| {
            let mut place = [at % side, at / side].map(|n| n as f64 / f64::from(STEPS));
            let mut best = grid[at];
            let mut step = 1.0 / f64::from(STEPS);
            while step > LEAST_STEP {
                let found = AROUND
                    .map(|way| {
                        let next =
                            [0, 1].map(|axis| (place[axis] + way[axis] * step).clamp(0.0, 1.0));
                        (angle(next), next)
                    })
                    .into_iter()
                    .max_by(|one, other| one.0.total_cmp(&other.0));
                match found {
                    Some((more, next)) if more > best => (best, place) = (more, next),
                    _ => step /= 2.0,
                }
            }
            best
        })
        .fold(0.0, f64::max)
}

const AROUND: [[f64; 2]; 8] = [
    [1.0, 0.0],
    [-1.0, 0.0],
    [0.0, 1.0],
    [0.0, -1.0],
    [1.0, 1.0],
    [-1.0, 1.0],
    [1.0, -1.0],
    [-1.0, -1.0],
];
