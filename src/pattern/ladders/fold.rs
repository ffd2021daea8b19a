//! Where the fold ladder stands, and the folds that its rungs stand for.

use super::{FOLD_STEP_DEG, HALVES, Rung, SIDE, otherwise, within};
use crate::geometry::{EyePlane, Layout, LitEdge, Surface, direction};
use crate::pattern::board::Board;
use crate::pattern::diagonals::Crossing;
use crate::rig::{Rig, Turn};

/// Where the fold ladder may reach the far edge, as fractions of its height.
const FAR_RANGES: [[f64; 2]; 10] = [
    [0.52, 0.92],
    [0.3, 0.7],
    [0.08, 0.48],
    [0.4, 0.92],
    [0.08, 0.6],
    [0.1, 0.9],
    [0.7, 0.97],
    [0.03, 0.3],
    [0.78, 0.97],
    [0.03, 0.22],
];
/// How far the fold ladder's rungs run into the left panel.
const FOLD_RUN_MM: f64 = 200.0;
/// The layouts with a seam's fold some steps more or less.
pub(super) fn fold_otherwise(rig: &Rig, seam: usize) -> Vec<(i32, Layout)> {
    let turned = |step: i32| {
        let more = f64::from(step) * FOLD_STEP_DEG;
        otherwise(rig, |parts| turn_by(&mut parts.seams[seam].turn, more))
    };
    (-SIDE..=SIDE)
        .filter_map(|step| Some((step, turned(step)?)))
        .collect()
}

/// Where the fold ladder stands: its rungs run from the seam to the far edge.
#[derive(Clone, Copy)]
pub(super) struct FoldPlace {
    /// Fractions of the seam's shared height, from below.
    pub near: [f64; 2],
    /// Fractions of the far edge's height, from below.
    far: [f64; 2],
    /// 1 where larger values stand higher, −1 where they stand lower.
    order: i32,
}

impl FoldPlace {
    pub(super) fn plane(
        &self,
        crossing: &Crossing,
        right: &Surface,
        step: i32,
    ) -> Option<EyePlane> {
        let near = direction(
            crossing.azimuth,
            crossing.elevation(within(self.near, step * self.order)),
        );
        let far_t = (within(self.far, step * self.order) - 0.5) * right.size_mm[1];
        EyePlane::through(near, right.point_mm(right.edge_s_mm(LitEdge::Right), far_t))
    }
}

/// The place at which half a degree of fold shows most at the right panel's far
/// end, among those where every rung reaches it and stands clear of the next.
pub(super) fn fold_place(
    board: &Board,
    seam: usize,
    crossing: &Crossing,
    others: &[(i32, Layout)],
) -> FoldPlace {
    let [left, right] = board.layout.seam(seam);
    let far = right.pixels[0];
    let clear = 2.2 * board.cap_px(seam + 1);
    let left_end = left.pixels[0] - left_run_px(left);
    let shows = |place: FoldPlace| -> Option<f64> {
        let mut least = f64::INFINITY;
        let mut before: Option<f64> = None;
        let mut seen_on_left = 0.0;
        for (step, other) in others {
            let plane = place.plane(crossing, right, *step)?;
            let row = Rung::new(board.layout, seam, *step, plane, other)?.row(far)?;
            let is_clear = before.is_none_or(|before| (row - before).abs() >= clear);
            let rows = right.pixels[1];
            if !is_clear || !(0.02 * rows..=0.98 * rows).contains(&row) {
                return None;
            }
            if *step != 0 {
                // Across the rung: how far it runs off the line that it would be.
                let shown = plane.distance_mm(right.point_px(far, row)).abs();
                least = least.min(shown / f64::from(step.abs()));
            }
            if left
                .py_on(plane, left_end)
                .is_some_and(|row| (0.0..left.pixels[1]).contains(&row))
            {
                seen_on_left += 1.0 / others.len() as f64;
            }
            before = Some(row);
        }
        // A rung whose left part soon leaves the panel is harder to judge.
        Some(least * (0.25 + 0.75 * seen_on_left))
    };
    let mut best = FoldPlace {
        near: HALVES[1],
        far: [0.1, 0.9],
        order: 1,
    };
    let mut most = 0.0;
    for near in [HALVES[1], HALVES[0]] {
        for far in FAR_RANGES {
            for order in [1, -1] {
                let place = FoldPlace { near, far, order };
                if let Some(shown) = shows(place).filter(|&shown| shown > most) {
                    (best, most) = (place, shown);
                }
            }
        }
    }
    best
}

/// How far the fold ladder's rungs run into the left panel, in columns.
pub(super) fn left_run_px(left: &Surface) -> f64 {
    (FOLD_RUN_MM / left.pitch_mm()[0]).min(left.pixels[0] * 0.6)
}

pub(super) fn turn_by(turn: &mut Turn, degrees: f64) {
    match turn {
        Turn::AngleDeg(value) | Turn::FoldDeg(value) => *value += degrees,
    }
}
