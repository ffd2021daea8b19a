//! A strip's corners, between pixels.

use crate::grey::Grey;
use crate::strip_code::{BORDER, QUIET, SIZE};

/// Places on each side of the border where its edge is looked for, and how near to the
/// corners, as a share of the side.
const PLACES: u32 = 40;
const MARGIN: f64 = 0.06;
/// Fewest of them where it must be found.
const LEAST_FOUND: usize = 24;
/// How far outside and inside of where a side is thought to be its edge is looked for,
/// in pitches: across the dark around it, and to the middle of the border.
const OUTSIDE: f64 = 0.7 * QUIET;
const INSIDE: f64 = 0.7 * BORDER;
/// Rounds: each begins where the one before ended.
const ROUNDS: u32 = 3;

/// The corners of a border, from up left the way a clock goes, where its edges meet;
/// `None` where it has no four edges.
pub(super) fn refined(picture: &Grey, rough: [[f64; 2]; 4]) -> Option<[[f64; 2]; 4]> {
    let mut corners = rough;
    for _ in 0..ROUNDS {
        let mut sides = [Line::default(); 4];
        for (index, side) in sides.iter_mut().enumerate() {
            *side = edge(picture, &corners, index)?;
        }
        for index in 0..4 {
            corners[index] = sides[(index + 3) % 4].meets(sides[index])?;
        }
    }
    Some(corners)
}

/// A line through a point.
#[derive(Clone, Copy, Default)]
struct Line {
    point: [f64; 2],
    along: [f64; 2],
}

impl Line {
    /// Where two lines meet; `None` where they are about parallel.
    fn meets(self, other: Line) -> Option<[f64; 2]> {
        let cross = |[a, b]: [f64; 2], [c, d]: [f64; 2]| a * d - b * c;
        let across = cross(self.along, other.along);
        let lengths = self.along[0].hypot(self.along[1]) * other.along[0].hypot(other.along[1]);
        // Nor where either is no number.
        let is_across = across.abs() > 0.2 * lengths;
        if !is_across {
            return None;
        }
        let apart = [0, 1].map(|i| other.point[i] - self.point[i]);
        let far = cross(apart, other.along) / across;
        Some([0, 1].map(|i| self.point[i] + far * self.along[i]))
    }
}

/// The outer edge of one of a border's sides, from a corner to the next.
fn edge(picture: &Grey, corners: &[[f64; 2]; 4], index: usize) -> Option<Line> {
    let [from, to, after, before] = [0, 1, 2, 3].map(|i| corners[(index + i) % 4]);
    let length = |[a, b]: [f64; 2], [c, d]: [f64; 2]| (c - a).hypot(d - b);
    let along = [to[0] - from[0], to[1] - from[1]];
    let side = along[0].hypot(along[1]);
    let high = length(to, after).midpoint(length(before, from));
    let pitch = high / SIZE[(index + 1) % 2];
    if !(side > 4.0 && pitch > 0.5 && side < 1e6) {
        return None;
    }
    // To the right of the way from corner to corner, since rows count downwards.
    let inward = [-along[1] / side, along[0] / side];
    let mut found: Vec<[f64; 2]> = (0..PLACES)
        .filter_map(|place| {
            let share = (f64::from(place) + 0.5) / f64::from(PLACES);
            let share = MARGIN + (1.0 - 2.0 * MARGIN) * share;
            let at = [0, 1].map(|i| from[i] + along[i] * share);
            let depth = first_lit(picture, at, inward, pitch)?;
            Some([share, depth])
        })
        .collect();
    let mut line = fitted(&found)?;
    // Once more without what lies off it.
    let off = |line: [f64; 2], [share, depth]: [f64; 2]| (depth - line[0] - line[1] * share).abs();
    let mut offs: Vec<f64> = found.iter().map(|&place| off(line, place)).collect();
    offs.sort_by(f64::total_cmp);
    let usual = offs.get(offs.len() / 2).copied()?;
    found.retain(|&place| off(line, place) <= 3.0 * usual + 0.05);
    if found.len() < LEAST_FOUND {
        return None;
    }
    line = fitted(&found)?;
    let [start, slope] = line;
    Some(Line {
        point: [0, 1].map(|i| from[i] + inward[i] * start),
        along: [0, 1].map(|i| along[i] + inward[i] * slope),
    })
}

/// How far inward, in pixels, light first reaches half of what the border has.
fn first_lit(picture: &Grey, at: [f64; 2], inward: [f64; 2], pitch: f64) -> Option<f64> {
    let step = (pitch / 24.0).max(0.25);
    let steps = ((OUTSIDE + INSIDE) * pitch / step).ceil() as u32;
    let depth = |index: u32| f64::from(index) * step - OUTSIDE * pitch;
    let lights: Vec<f64> = (0..=steps)
        .map(|index| picture.light([0, 1].map(|i| at[i] + inward[i] * depth(index))))
        .collect::<Option<_>>()?;
    let most = lights.iter().copied().fold(0.0, f64::max);
    let least = lights.iter().copied().fold(1.0, f64::min);
    let half = most.midpoint(least);
    let index = lights.iter().position(|&light| light >= half)?;
    let before = *lights.get(index.checked_sub(1)?)?;
    let share = (half - before) / (lights[index] - before);
    Some(depth(index as u32 - 1) + share * step)
}

/// The depth at the start and its change along the side that fit best.
fn fitted(places: &[[f64; 2]]) -> Option<[f64; 2]> {
    if places.len() < LEAST_FOUND {
        return None;
    }
    let count = places.len() as f64;
    let mean = [0, 1].map(|i| places.iter().map(|place| place[i]).sum::<f64>() / count);
    let sum = |i: usize| -> f64 {
        let terms = places.iter();
        terms
            .map(|place| (place[0] - mean[0]) * (place[i] - mean[i]))
            .sum()
    };
    let slope = sum(1) / sum(0);
    slope
        .is_finite()
        .then_some([mean[1] - slope * mean[0], slope])
}
