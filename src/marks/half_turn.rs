//! The point about which a corner is its own image when turned by half a turn.
//!
//! Four cells that meet are that about their corner, whatever the tones, the blur and
//! what a camera makes of edges, and at a slant, too, but for the little that cells shrink
//! within reach. So each pixel
//! is held against what lies opposite, and the point is the one for which they differ
//! least. No line has to be told for that, and every edge within reach says where it
//! lies; what still differs is noise, and says how far the point may be off.

use glam::{DMat2, DVec2};

use super::refine::Refined;
use crate::grey::Grey;

/// How far around a corner, in cells along its two edges added up, pixels count: dots
/// begin farther off.
const REACH: f64 = 0.6;
/// The same at most, in pixels: farther off, edges may be bent.
const MOST_PX: f64 = 20.0;
/// Rounds: each begins where the one before ended.
const ROUNDS: usize = 3;
/// A step shorter than this is the last one.
const LAST_PX: f64 = 1e-3;
/// Most that a corner may be from where it is looked for, in pixels and in cells.
const MOST_OFF: [f64; 2] = [1.5, 0.35];
/// Most that a corner may differ from its image, as a share of its contrast.
const MOST_UNLIKE: f64 = 0.35;
/// What is blended of several pixels has less noise than one: a pair's variance, in that
/// of a pixel.
const OF_PAIR: f64 = 1.7;
/// Least error along an axis, in pixels: a lens bends edges, and files are packed.
const FLOOR_PX: f64 = 0.016;
/// Noise that neighbouring pixels share makes as much more of an error.
const SHARED: f64 = 1.6;

/// Looks for the point from near it; `along` are the ways to the next corners of both
/// edges. `None` where there is none within reach.
pub(super) fn about(grey: &Grey, near: DVec2, along: [DVec2; 2]) -> Option<Refined> {
    let lengths = along.map(DVec2::length);
    let reach = [0, 1].map(|axis| along[axis] * REACH.min(MOST_PX / lengths[axis]));
    let into_reach = DMat2::from_cols(reach[0], reach[1]).inverse();
    if !into_reach.is_finite() {
        return None;
    }
    let half = reach[0].abs().max(reach[1].abs());
    let [pixels, cells] = MOST_OFF;
    let most_off = pixels.max(cells * lengths[0].min(lengths[1]));
    let mut at = near;
    for round in 1..=ROUNDS {
        let pairs = Pairs::around(grey, at, half, into_reach);
        let step = pairs.step()?;
        let is_near = (at + step).distance(near) <= most_off;
        if !is_near {
            return None;
        }
        at += step;
        if round == ROUNDS || step.length() < LAST_PX {
            let is_like = pairs.unlike() <= MOST_UNLIKE;
            let sigma_px = pairs.sigma_px()?;
            return is_like.then_some(Refined { at, sigma_px });
        }
    }
    None
}

/// Sums over pixels and what lies opposite, weighted.
#[derive(Default)]
struct Pairs {
    weight: f64,
    /// Of codes, and of their squares.
    codes: f64,
    code_squares: f64,
    /// Of what the codes of a pair differ by, squared.
    differences: f64,
    /// How a pair's difference changes with the point: outer products, those with the
    /// weights squared, and times the difference.
    slopes: DMat2,
    squared_slopes: DMat2,
    towards: DVec2,
}

impl Pairs {
    /// Those of which both are inside the picture.
    fn around(grey: &Grey, at: DVec2, half: DVec2, into_reach: DMat2) -> Pairs {
        let mut sums = Pairs::default();
        let [w, h] = grey.size_px().map(f64::from);
        let [from, to] = [at - half, (at + half).min(DVec2::new(w, h) - 1.0)];
        // Casts take what lies left of the picture or above it to the edge; of what lies
        // beyond the other edges there are none.
        for y in from.y as usize..=to.y as usize {
            let row = grey.row(y).iter().enumerate();
            for (x, &code) in row.take(to.x as usize + 1).skip(from.x as usize) {
                let way = DVec2::new(x as f64 + 0.5, y as f64 + 0.5) - at;
                let far = (into_reach * way).abs().element_sum();
                if far < 1.0
                    && let Some(opposite) = between(grey, at - way)
                {
                    sums.add(1.0 - far * far, f64::from(code), opposite);
                }
            }
        }
        sums
    }

    fn add(&mut self, weight: f64, code: f64, [opposite, across, down]: [f64; 3]) {
        let difference = code - opposite;
        // What lies opposite moves twice as far as the point.
        let slope = DVec2::new(across, down) * 2.0;
        let product = DMat2::from_cols(slope * slope.x, slope * slope.y);
        self.weight += weight;
        self.codes += weight * code;
        self.code_squares += weight * code * code;
        self.differences += weight * difference * difference;
        self.slopes += product * weight;
        self.squared_slopes += product * (weight * weight);
        self.towards += slope * (weight * difference);
    }

    fn inverse(&self) -> Option<DMat2> {
        let inverse = self.slopes.inverse();
        inverse.is_finite().then_some(inverse)
    }

    /// To the point for which pairs differ least, their slopes being what they are here.
    fn step(&self) -> Option<DVec2> {
        Some(self.inverse()? * self.towards)
    }

    /// What pairs differ by, as a share of the contrast.
    fn unlike(&self) -> f64 {
        let mean = self.codes / self.weight;
        let contrast = self.code_squares / self.weight - mean * mean;
        (self.differences / self.weight / OF_PAIR / contrast.max(1e-9)).sqrt()
    }

    /// One sigma of the point along an axis. Each pair is there twice, once from either
    /// end.
    fn sigma_px(&self) -> Option<f64> {
        let inverse = self.inverse()?;
        let spread = inverse * self.squared_slopes * inverse;
        let variance =
            2.0 * self.differences / self.weight * (spread.x_axis.x + spread.y_axis.y) / 2.0;
        let sigma = (SHARED * variance.sqrt()).hypot(FLOOR_PX);
        sigma.is_finite().then_some(sigma)
    }
}

/// The code at a place and its slopes to the right and down, by cubics through the four
/// pixels next to it each way; `None` where those aren't all there.
fn between(grey: &Grey, place: DVec2) -> Option<[f64; 3]> {
    let [w, h] = grey.size_px().map(f64::from);
    let corner = (place - 0.5).floor();
    let is_inside = corner.x >= 1.0 && corner.y >= 1.0 && corner.x < w - 2.0 && corner.y < h - 2.0;
    if !is_inside {
        return None;
    }
    let [x, y] = (place - 0.5 - corner).to_array();
    let [across, down] = [cubic(x), cubic(y)];
    let [left, top] = [corner.x as usize - 1, corner.y as usize - 1];
    let mut sums = [0.0; 3];
    for (row, [share, slope]) in (top..).zip(down) {
        let codes = &grey.row(row)[left..left + 4];
        let [mut code, mut rise] = [0.0; 2];
        for (&here, [share, slope]) in codes.iter().zip(across) {
            code += share * f64::from(here);
            rise += slope * f64::from(here);
        }
        sums[0] += share * code;
        sums[1] += share * rise;
        sums[2] += slope * code;
    }
    Some(sums)
}

/// Shares of four values in a row in what lies between the middle two, `t` of the way, and
/// in its slope: the cubic of E. Catmull and R. Rom (1974), from memory.
fn cubic(t: f64) -> [[f64; 2]; 4] {
    [
        [t * (-0.5 + t * (1.0 - 0.5 * t)), -0.5 + t * (2.0 - 1.5 * t)],
        [1.0 + t * t * (-2.5 + 1.5 * t), t * (-5.0 + 4.5 * t)],
        [t * (0.5 + t * (2.0 - 1.5 * t)), 0.5 + t * (4.0 - 4.5 * t)],
        [t * t * (-0.5 + 0.5 * t), t * (-1.0 + 1.5 * t)],
    ]
}

#[cfg(test)]
mod tests {
    use super::super::refine::refined;
    use super::*;

    /// Three waves across one another, and what a hash makes of each pixel.
    fn waves([w, h]: [u32; 2]) -> Grey {
        let code = |at: u32| {
            let [x, y] = [at % w, at / w].map(f64::from);
            let waves = (0.11 * x + 0.23 * y).sin() + (0.31 * x - 0.07 * y).sin();
            let dice = f64::from(at.wrapping_mul(0x9e37_79b9) >> 26);
            (127.0 + 40.0 * waves + dice - 32.0) as u8
        };
        Grey::new([w, h], (0..w * h).map(code).collect()).expect("as many codes as pixels")
    }

    #[test]
    fn corners_near_the_edge_and_strongly_slanted_ways_are_found_or_not() {
        let grey = waves([200, 200]);
        // Ways that run nearly alike leave a window of a few columns, and let a corner wander
        // by tens of pixels: out of the picture, too.
        let (mut found, mut tried) = (0, 0);
        for step in 0..4000_u32 {
            let dice = |n: u32| {
                let dice = (step * 8 + n).wrapping_mul(0x9e37_79b9) ^ step << 7;
                f64::from(dice >> 8) / f64::from(1 << 24)
            };
            let near = 200.0 - 5.0 * dice(0);
            let along = [
                DVec2::new(16.0 * dice(1) - 8.0, 80.0 + 60.0 * dice(2)),
                DVec2::new(16.0 * dice(3) - 8.0, 80.0 + 60.0 * dice(4)),
            ];
            for at in [
                DVec2::new(near, 200.0 * dice(5)),
                DVec2::new(200.0 * dice(5), near),
            ] {
                let along = if at.x == near {
                    along
                } else {
                    along.map(|way| DVec2::new(way.y, way.x))
                };
                found += u32::from(refined(&grey, at, along).is_some());
                found += u32::from(about(&grey, at, along).is_some());
                // As one that has wandered out.
                found += u32::from(about(&grey, at + 40.0 * dice(6), along).is_some());
                tried += 3;
            }
        }
        assert!(found < tried, "{found} of {tried}");
    }
}
