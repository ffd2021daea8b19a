//! Corners that no saddle told, where those around them say.
//!
//! Overexposed cells grow over the corners between them until nothing is left of a
//! saddle, but their edges still meet in one point.

use glam::DVec2;
use rayon::prelude::*;

use super::field::Field;
use super::refine::{Refined, refined};
use super::smooth::{Corners, expected, keep_smooth};
use crate::grey::Grey;

/// Rounds: each goes on from what the one before found.
const ROUNDS: usize = 4;
/// Farthest corner in the same row or column from which a way is taken.
const FARTHEST: i32 = 2;
/// Where the cells around a corner are looked at, as shares of the ways to the next ones.
const LOOK: f64 = 0.3;
/// By how much lit cells must be brighter than dark ones, as a share and as light.
const BRIGHTER: [f64; 2] = [1.1, 0.002];

/// Adds the corners of a panel's field that can be found from those around them.
pub(super) fn complete(grey: &Grey, field: &Field, corners: &mut Corners) {
    for _ in 0..ROUNDS {
        let missing: Vec<[i32; 2]> = field
            .corners()
            .map(|corner| corner.map(u32::cast_signed))
            .filter(|place| !corners.contains_key(place))
            .collect();
        let known: &Corners = corners;
        let found: Vec<([i32; 2], Refined)> = missing
            .into_par_iter()
            .filter_map(|place| Some((place, found(grey, known, place)?)))
            .collect();
        if found.is_empty() {
            return;
        }
        corners.extend(found);
        keep_smooth(corners);
    }
}

fn found(grey: &Grey, known: &Corners, place: [i32; 2]) -> Option<Refined> {
    let near = expected(known, place)?;
    let along = [way(known, place, near, 0)?, way(known, place, near, 1)?];
    let corner = refined(grey, near, along)?;
    is_corner(grey, place, corner.at, along).then_some(corner)
}

/// The way to the next corner along an axis, by the nearest one that is known.
fn way(known: &Corners, place: [i32; 2], from: DVec2, axis: usize) -> Option<DVec2> {
    (1..=FARTHEST).find_map(|far| {
        [far, -far].into_iter().find_map(|step| {
            let mut other = place;
            other[axis] += step;
            known.get(&other).map(|to| (to.at - from) / f64::from(step))
        })
    })
}

/// Whether the cells around a corner are lit and dark by turns, as they should be.
fn is_corner(grey: &Grey, [i, j]: [i32; 2], at: DVec2, along: [DVec2; 2]) -> bool {
    let cell = |x: f64, y: f64| grey.light((at + (along[0] * x + along[1] * y) * LOOK).to_array());
    let [Some(a), Some(b), Some(c), Some(d)] = [
        cell(-1.0, -1.0),
        cell(1.0, 1.0),
        cell(1.0, -1.0),
        cell(-1.0, 1.0),
    ] else {
        return false;
    };
    let is_lit = (i + j) % 2 == 0;
    let (lit, dark) = if is_lit {
        (a.min(b), c.max(d))
    } else {
        (c.min(d), a.max(b))
    };
    lit > BRIGHTER[0] * dark + BRIGHTER[1]
}
