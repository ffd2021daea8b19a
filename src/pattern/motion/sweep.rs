//! The two bars: how far they sweep, how fast, and how high they are.

use std::f64::consts::{PI, TAU};

use super::Motion;
use crate::geometry::{Surface, azimuth};
use crate::pattern::board::Board;
use crate::pattern::palette;
use crate::rig::{PxRect, Rig};

/// Widths of the broad and the thin bar in degrees of azimuth.
const WIDTHS_DEG: [f64; 2] = [2.0, 0.3];
/// Least time in seconds that a sweep takes: more than a second, so that in no second
/// a bar passes a place twice.
const LEAST_SWEEP_S: f64 = 1.05;
/// Pixels that two bars may change from one frame to the next, four bytes each: what
/// the strips at the seams leave of a megabyte.
const MOST_PX: f64 = 150_000.0;
/// Farthest that a bar reaches above and below eye level, in degrees.
const TALLEST_DEG: f64 = 6.0;
/// Columns and rows that a changed area may be larger by since it is redrawn in tiles.
const TILE_PX: f64 = 32.0;

/// How the bars sweep over a rig.
pub(super) struct Sweep {
    /// Azimuths in radians where a bar's middle begins and where it ends.
    from: f64,
    to: f64,
    /// Radians a frame.
    step: f64,
    speed_deg_s: f64,
    /// Canvas rows, from and to, that the bars reach on each panel.
    rows: Vec<[u32; 2]>,
}

impl Sweep {
    /// The sweep over a rig, at a speed as near to the one asked for as may be.
    pub(super) fn over(rig: &Rig, motion: Motion) -> Sweep {
        let [first, last] = azimuths(rig);
        let half = WIDTHS_DEG[0].to_radians() / 2.0;
        let (from, to) = (first - half, last + half);
        let fastest = (to - from).to_degrees() / LEAST_SWEEP_S;
        let [min, max] = Motion::SPEEDS_DEG_S;
        let asked = if motion.speed_deg_s.is_nan() {
            Motion::default().speed_deg_s
        } else {
            motion.speed_deg_s
        };
        let speed_deg_s = asked.clamp(min, max).min(fastest);
        let step = speed_deg_s.to_radians() / Motion::clock_hz(rig);
        Sweep {
            from,
            to,
            step,
            speed_deg_s,
            rows: rows(rig, step),
        }
    }

    /// Speed in degrees of azimuth a second.
    pub(super) fn speed_deg_s(&self) -> f64 {
        self.speed_deg_s
    }

    /// Canvas rows, from and to, that the bars reach on a panel.
    pub(super) fn rows(&self, panel: usize) -> [u32; 2] {
        self.rows[panel]
    }

    /// Azimuths in radians between which the broad and the thin bar lie.
    fn bars(&self, frame: u32) -> [[f64; 2]; 2] {
        let range = self.to - self.from;
        let way = f64::from(frame) * self.step;
        let half_a_sweep_apart = [way, way + range / 2.0];
        [0, 1].map(|bar| {
            let middle = self.from + half_a_sweep_apart[bar].rem_euclid(range);
            let half = WIDTHS_DEG[bar].to_radians() / 2.0;
            [middle - half, middle + half]
        })
    }

    /// Draws both bars.
    pub(super) fn draw(&self, board: &mut Board, frame: u32) {
        for bar in self.bars(frame) {
            board.wedge(bar, &self.rows, palette::TEXT);
        }
    }
}

/// Least and greatest azimuth in radians of anything lit, counted on from panel to
/// panel beyond half a turn.
fn azimuths(rig: &Rig) -> [f64; 2] {
    let mut range = [f64::INFINITY, f64::NEG_INFINITY];
    let mut last = 0.0;
    for surface in rig.layout().surfaces() {
        let [w, h] = surface.pixels;
        // From left to right, so that each lies near the one before.
        for eighth in 0..=8 {
            for row in [h / 2.0, 0.0, h] {
                let here = azimuth(surface.point_px(w * f64::from(eighth) / 8.0, row));
                last += (here - last + PI).rem_euclid(TAU) - PI;
                range = [range[0].min(last), range[1].max(last)];
            }
        }
    }
    range
}

/// The rows around eye level that bars reach on each panel: as many as two bars may
/// change from one frame to the next.
fn rows(rig: &Rig, step: f64) -> Vec<[u32; 2]> {
    let layout = rig.layout();
    let lit = &rig.canvas().panels;
    let panels = || layout.surfaces().iter().zip(lit);
    let of = |tallest_deg: f64| -> Vec<[u32; 2]> {
        panels()
            .map(|(surface, lit)| around_eye_level(surface, *lit, tallest_deg.to_radians()))
            .collect()
    };
    let changed = |rows: &[[u32; 2]]| -> f64 {
        let on = panels().zip(rows);
        on.map(|((surface, lit), rows)| changed_px(surface, *lit, *rows, step))
            .fold(0.0, f64::max)
    };
    let mut tallest_deg = TALLEST_DEG;
    let mut found = of(tallest_deg);
    while changed(&found) > MOST_PX && tallest_deg > 0.1 {
        tallest_deg *= 0.9;
        found = of(tallest_deg);
    }
    found
}

/// Canvas rows of a panel within an elevation of eye level, at its middle column; at
/// its nearest end where eye level lies beside it.
fn around_eye_level(surface: &Surface, lit: PxRect, elevation: f64) -> [u32; 2] {
    let height = surface.pixels[1];
    let row = |elevation| {
        let t = surface.t_at_elevation(0.0, elevation);
        t.map_or(height / 2.0, |t| surface.py_at_t(t))
    };
    let half = (row(-elevation) - row(elevation)) / 2.0;
    let half = half.clamp(height.min(2.0) / 2.0, height / 2.0);
    let middle = row(0.0).clamp(half, height - half);
    [middle - half, middle + half].map(|row| lit.y + row.round().clamp(0.0, height) as u32)
}

/// Most pixels that two bars change on a panel in a frame that they move by `step`.
fn changed_px(surface: &Surface, lit: PxRect, rows: [u32; 2], step: f64) -> f64 {
    let rows = rows.map(|row| f64::from(row - lit.y));
    let seen = |px: f64, row: f64| azimuth(surface.point_px(px, row));
    let turn = |from: f64, to: f64| ((to - from + PI).rem_euclid(TAU) - PI).abs();
    let width = surface.pixels[0];
    let mut px_per_rad: f64 = 0.0;
    let mut lean_px: f64 = 0.0;
    for part in 0..=16 {
        let px = (width - 1.0) * f64::from(part) / 16.0;
        for row in rows {
            let per_px = turn(seen(px, row), seen(px + 1.0, row));
            px_per_rad = px_per_rad.max(1.0 / per_px.max(1e-6));
        }
        let leant = turn(seen(px, rows[0]), seen(px, rows[1]));
        lean_px = lean_px.max(leant * px_per_rad);
    }
    let columns: f64 = WIDTHS_DEG
        .map(|width| {
            let width = width.to_radians();
            let moved = (width + step).min(2.0 * width) * px_per_rad;
            // Old and new place, each in tiles.
            moved + 2.0 * (TILE_PX + lean_px)
        })
        .iter()
        .sum();
    columns * (rows[1] - rows[0] + TILE_PX)
}
