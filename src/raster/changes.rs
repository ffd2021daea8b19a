//! Where two patterns differ.

use super::cover::{BAND_ROWS, cover};
use super::tiles::Tiles;
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Columns and rows in which changes are found.
const TILE_PX: [u32; 2] = [16, BAND_ROWS];

/// The parts of the picture where two lists of marks differ: rectangles inside the
/// whole of it that don't overlap, none where the lists are equal.
pub(super) fn changed(before: &[Mark], after: &[Mark], whole: PxRect) -> Vec<PxRect> {
    let marks = differing(before, after);
    let bounds = marks.iter().filter_map(|mark| mark.bounds());
    let all = bounds.reduce(|a, b| a.union(b));
    let Some(within) = all.and_then(|all| all.intersection(whole)) else {
        return Vec::new();
    };
    let mut tiles = Tiles::none(within, TILE_PX);
    for mark in marks {
        match (mark, mark.bounds()) {
            (_, None) => {}
            (Mark::Stroke(stroke), Some(bounds)) => {
                cover(stroke, bounds, |strip| tiles.add(strip));
            }
            (_, Some(bounds)) => {
                tiles.add([bounds.x, bounds.y, bounds.right(), bounds.bottom()]);
            }
        }
    }
    tiles.rects()
}

/// The marks that only one of the lists holds, or another place in it.
fn differing<'a>(before: &'a [Mark], after: &'a [Mark]) -> Vec<&'a Mark> {
    let mut marks = Vec::new();
    let (mut old, mut new) = (before, after);
    loop {
        match (old, new) {
            ([a, old_rest @ ..], [b, new_rest @ ..]) if a == b => (old, new) = (old_rest, new_rest),
            ([], []) => return marks,
            _ => {
                let [gone, come] = replaced(old, new);
                marks.extend(old[..gone].iter().chain(&new[..come]));
                (old, new) = (&old[gone..], &new[come..]);
            }
        }
    }
}

/// How many marks at the front of two lists give way to one another before the
/// lists agree again. Any answer is correct; a small one leaves more undisturbed.
fn replaced(old: &[Mark], new: &[Mark]) -> [usize; 2] {
    /// A label's letters and plates come and go by the dozen.
    const LOOK_AHEAD: usize = 48;
    for k in 1..=LOOK_AHEAD {
        let agree = |i: usize, j: usize| match (old.get(i), new.get(j)) {
            (Some(a), Some(b)) => a == b,
            // The lists agree, too, where both end there.
            _ => i == old.len() && j == new.len(),
        };
        for [gone, come] in [[k, k], [k, 0], [0, k]] {
            if agree(gone, come) {
                return [gone, come];
            }
        }
    }
    [old.len().min(1), new.len().min(1)]
}
