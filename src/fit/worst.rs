//! The pixel at which a model is farthest from the rig.

use glam::DVec3;

use super::samples::{Side, all_rows, turn_between, view_columns};
use crate::geometry::View;

/// A pixel, where the eye sees it, and where a model has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worst {
    /// Place of its view among all views, from 0 at the left.
    pub view: usize,
    /// Fraction of the view's width at the pixel's centre.
    pub u: f64,
    /// Fraction of the view's height at the pixel's centre.
    pub v: f64,
    /// Unit direction in which the eye sees it.
    pub seen: DVec3,
    /// Unit direction in which the model has it.
    pub modelled: DVec3,
}

impl Worst {
    /// The angle between the two directions, in radians.
    pub fn angle_rad(&self) -> f64 {
        turn_between(self.seen, self.modelled).length()
    }
}

/// Pixels along each side of a view where the search begins.
const GRID: u32 = 25;
/// Views in which the search goes on to the very pixel.
const REFINED: usize = 24;

/// The pixel with the largest angle between where the eye sees it and where a
/// model has it, over all pixels of all views.
///
/// `directions` gives the two unit directions for a view and fractions of its
/// width and height. The angle must vary smoothly over each view: a grid of
/// pixels that holds the corners shows where it is largest, and steps from
/// pixel to pixel lead on from there.
///
/// # Panics
///
/// Where there is no view.
pub(super) fn worst(views: &[View], directions: impl Fn(usize, f64, f64) -> [DVec3; 2]) -> Worst {
    let angle = |view: usize, sides: &[Side; 2], at: [u32; 2]| {
        let [seen, modelled] = directions(view, sides[0].centre(at[0]), sides[1].centre(at[1]));
        turn_between(seen, modelled).length()
    };
    let mut found: Vec<(f64, usize, [Side; 2], [u32; 2])> = views
        .iter()
        .enumerate()
        .map(|(index, view)| {
            let sides = [view_columns(view), all_rows(view)];
            let [columns, rows] = sides.map(|side| spread(side.count));
            let mut best = (f64::NEG_INFINITY, index, sides, [0, 0]);
            for &x in &columns {
                for &y in &rows {
                    let angle = angle(index, &sides, [x, y]);
                    if angle > best.0 {
                        best = (angle, index, sides, [x, y]);
                    }
                }
            }
            best
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(REFINED);
    for (best, view, sides, at) in &mut found {
        let mut step = sides.map(|side| side.count.div_ceil(GRID - 1));
        while step[0] > 0 || step[1] > 0 {
            let mut better = None;
            for [dx, dy] in AROUND {
                let moved = [
                    moved(at[0], dx, step[0], sides[0].count),
                    moved(at[1], dy, step[1], sides[1].count),
                ];
                let angle = angle(*view, sides, moved);
                if angle > *best {
                    *best = angle;
                    better = Some(moved);
                }
            }
            match better {
                Some(moved) => *at = moved,
                None => step = step.map(|s| s / 2),
            }
        }
    }
    let &(_, view, sides, at) = found
        .iter()
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .expect("a rig has a view");
    let (u, v) = (sides[0].centre(at[0]), sides[1].centre(at[1]));
    let [seen, modelled] = directions(view, u, v);
    Worst {
        view,
        u,
        v,
        seen,
        modelled,
    }
}

const AROUND: [[i8; 2]; 8] = [
    [-1, -1],
    [0, -1],
    [1, -1],
    [-1, 0],
    [1, 0],
    [-1, 1],
    [0, 1],
    [1, 1],
];

fn moved(at: u32, way: i8, step: u32, count: u32) -> u32 {
    match way {
        -1 => at.saturating_sub(step),
        1 => at.saturating_add(step).min(count - 1),
        _ => at,
    }
}

/// Evenly spread pixels from the first to the last.
fn spread(count: u32) -> Vec<u32> {
    if count <= GRID {
        return (0..count).collect();
    }
    (0..GRID)
        .map(|i| (u64::from(i) * u64::from(count - 1) / u64::from(GRID - 1)) as u32)
        .collect()
}
