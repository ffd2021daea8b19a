//! How far a program's picture is off, and where it jumps.

use super::flat_views::Screen;
use super::samples::turn_between;
use super::shown::{Nodes, Piece, Shown};
use crate::geometry::{azimuth, elevation};

/// How far the picture is off, in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Root mean square, over all lit pixels inside the window, of the angle between where
    /// the eye sees a pixel and where the program has it.
    pub rms_rad: f64,
    /// The largest such angle.
    pub max_rad: f64,
    /// The largest discontinuity of the picture at eye level across a seam.
    pub jump_rad: f64,
    /// Its vertical part.
    pub step_rad: f64,
    /// The largest at a cut inside a panel.
    pub inner_jump_rad: f64,
}

/// Nodes of a figure that is given away.
const FINE: usize = 12;
/// Pixels along each side of a piece where the search for the largest angle begins.
const GRID: u32 = 12;

impl Figures {
    pub(crate) fn of(shown: &Shown, screens: &[Screen]) -> Figures {
        let mut out = Vec::new();
        shown
            .sampled(&Nodes::new(FINE))
            .residuals(screens, &mut out);
        let [jump_rad, step_rad] = jump(shown, screens, true);
        Figures {
            rms_rad: out.iter().map(|r| r * r).sum::<f64>().sqrt(),
            max_rad: (shown.pieces.iter())
                .map(|piece| largest(shown, piece, screens))
                .fold(0.0, f64::max),
            jump_rad,
            step_rad,
            inner_jump_rad: jump(shown, screens, false)[0],
        }
    }
}

/// The largest discontinuity at eye level across seams, or across cuts inside panels, and
/// its vertical part, in radians.
pub(crate) fn jump(shown: &Shown, screens: &[Screen], at_seams: bool) -> [f64; 2] {
    let mut most = [0.0, 0.0];
    for pair in shown.pieces.windows(2) {
        let crosses = pair[0].panel != pair[1].panel;
        if crosses != at_seams || (!crosses && pair[0].screen == pair[1].screen) {
            continue;
        }
        let left = off(shown, &pair[0], screens, pair[0].columns[1]);
        let right = off(shown, &pair[1], screens, pair[1].columns[0]);
        let (across, up) = (right[0] - left[0], right[1] - left[1]);
        let jump = across.hypot(up);
        if jump > most[0] {
            most = [jump, up.abs()];
        }
    }
    most
}

/// How far right and up of where the eye sees it the program has eye level at a column.
fn off(shown: &Shown, piece: &Piece, screens: &[Screen], column: f64) -> [f64; 2] {
    let row = eye_level_row(shown, piece, column);
    let [seen, modelled] = shown.directions(piece, screens, column, row);
    let turn = azimuth(modelled) - azimuth(seen);
    let turn = turn - std::f64::consts::TAU * (turn / std::f64::consts::TAU).round();
    [turn, elevation(modelled) - elevation(seen)]
}

/// Row of a panel's column at which the eye sees eye level, beyond the panel where it must.
fn eye_level_row(shown: &Shown, piece: &Piece, column: f64) -> f64 {
    let surface = shown.surface(piece);
    let middle = surface.point_px(column, surface.pixels[1] / 2.0) + shown.shift_mm;
    let row = surface.py_at_t(-middle.y / surface.y.y);
    if row.is_finite() {
        row
    } else {
        surface.pixels[1] / 2.0
    }
}

/// The largest angle over a piece's pixels: from the best of a grid that holds the
/// corners, pixel by pixel uphill.
fn largest(shown: &Shown, piece: &Piece, screens: &[Screen]) -> f64 {
    let side = |[from, to]: [f64; 2]| {
        let first = from.ceil() + 0.5;
        let count = ((to - first).floor().max(0.0) as u32) + 1;
        (first, count)
    };
    let (sides, at) = (
        [side(piece.columns), side(piece.rows)],
        |side: (f64, u32), n: u32| side.0 + f64::from(n),
    );
    let angle = |[x, y]: [u32; 2]| {
        let [seen, modelled] = shown.directions(piece, screens, at(sides[0], x), at(sides[1], y));
        turn_between(seen, modelled).length()
    };
    let spread = |count: u32| {
        let steps = (count - 1).min(GRID);
        (0..=steps)
            .map(move |n| (u64::from(count - 1) * u64::from(n) / u64::from(steps.max(1))) as u32)
    };
    let mut best = (f64::NEG_INFINITY, [0, 0]);
    for x in spread(sides[0].1) {
        for y in spread(sides[1].1) {
            let found = angle([x, y]);
            if found > best.0 {
                best = (found, [x, y]);
            }
        }
    }
    let mut step = sides.map(|(_, count)| count.div_ceil(GRID));
    while step[0] > 0 || step[1] > 0 {
        let [x, y] = best.1;
        let around = |at: u32, step: u32, count: u32| {
            [
                at.saturating_sub(step),
                at,
                at.saturating_add(step).min(count - 1),
            ]
        };
        let mut next = best;
        for x in around(x, step[0], sides[0].1) {
            for y in around(y, step[1], sides[1].1) {
                let found = angle([x, y]);
                if found > next.0 {
                    next = (found, [x, y]);
                }
            }
        }
        if next.1 == best.1 {
            step = step.map(|s| s / 2);
        }
        best = next;
    }
    best.0
}
