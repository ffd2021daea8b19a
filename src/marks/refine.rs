//! Where a corner lies between pixels, and how well that is known.
//!
//! Around a corner of four cells every edge runs through it, so that slopes point at
//! right angles to the way from it. The point for which that holds best is near enough
//! for [`half_turn`] to go on from.

use glam::{DMat2, DVec2};

use super::half_turn;
use crate::grey::Grey;

/// How far around a corner, in cells, pixels count.
const REACH: f64 = 0.42;
/// The same at most, in pixels.
const MOST_PX: f64 = 13.0;
/// Least way to a neighbour, in pixels, with which a corner can be told.
const LEAST_CELL_PX: f64 = 4.0;
/// Rounds: each begins where the one before ended.
const ROUNDS: usize = 6;
/// A step shorter than this is the last one, in pixels.
const LAST_PX: f64 = 0.05;

/// A corner between pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Refined {
    /// Where, in the picture's pixels.
    pub at: DVec2,
    /// One sigma along each axis, in pixels.
    pub sigma_px: f64,
}

/// Finds a corner between pixels, from near it; `along` are the ways to the next corners
/// of both edges. `None` where there is none within reach.
pub(super) fn refined(grey: &Grey, near: DVec2, along: [DVec2; 2]) -> Option<Refined> {
    let lengths = along.map(DVec2::length);
    if !lengths.iter().all(|length| *length >= LEAST_CELL_PX) {
        return None;
    }
    let reach = [0, 1].map(|axis| along[axis] * (REACH.min(MOST_PX / lengths[axis])));
    let into_cells = DMat2::from_cols(reach[0], reach[1]).inverse();
    if !into_cells.is_finite() {
        return None;
    }
    let half = DVec2::new(
        reach[0].x.abs() + reach[1].x.abs(),
        reach[0].y.abs() + reach[1].y.abs(),
    );
    let most_off = lengths[0].min(lengths[1]) * 0.35;
    let mut at = near;
    for _ in 0..ROUNDS {
        let step = towards(grey, at, half, into_cells)?;
        at += step;
        // Nor where it is no number.
        let is_near = at.distance(near) <= most_off.max(1.5);
        if !is_near {
            return None;
        }
        if step.length() < LAST_PX {
            break;
        }
    }
    half_turn::about(grey, at, along)
}

/// The way to the point from which ways run at right angles to the slopes around a place.
/// `None` where those aren't wholly inside the picture.
fn towards(grey: &Grey, at: DVec2, half: DVec2, into_cells: DMat2) -> Option<DVec2> {
    let [w, h] = grey.size_px().map(f64::from);
    let [from, to] = [at - half, at + half];
    let is_inside = from.x >= 1.0 && from.y >= 1.0 && to.x < w - 1.0 && to.y < h - 1.0;
    if !is_inside {
        return None;
    }
    let columns = (from.x.ceil() as usize).max(1)..(to.x as usize + 1).min(w as usize - 1);
    let rows = (from.y.ceil() as usize).max(1)..(to.y as usize + 1).min(h as usize - 1);
    // Of slopes with themselves, and those times the ways.
    let (mut squares, mut sum) = (DMat2::ZERO, DVec2::ZERO);
    for y in rows {
        for x in columns.clone() {
            let way = DVec2::new(x as f64 + 0.5, y as f64 + 0.5) - at;
            let far = (into_cells * way).length_squared();
            if far < 1.0 {
                let slope = slope(grey, x, y);
                let weighted = slope * (1.0 - far).powi(2);
                squares += DMat2::from_cols(slope * weighted.x, slope * weighted.y);
                sum += weighted * slope.dot(way);
            }
        }
    }
    let step = squares.inverse() * sum;
    step.is_finite().then_some(step)
}

/// The slope at a pixel that isn't at the edge, in codes a pixel.
fn slope(grey: &Grey, x: usize, y: usize) -> DVec2 {
    let [above, here, below] = [y - 1, y, y + 1].map(|row| &grey.row(row)[x - 1..=x + 1]);
    let across = |row: &[u8]| f64::from(row[2]) - f64::from(row[0]);
    let down = |column: usize| f64::from(below[column]) - f64::from(above[column]);
    DVec2::new(
        (across(above) + 2.0 * across(here) + across(below)) / 8.0,
        (down(0) + 2.0 * down(1) + down(2)) / 8.0,
    )
}
