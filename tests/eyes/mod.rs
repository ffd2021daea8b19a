//! A person who reads at seams, made up: errors of rigs, pointings, a swaying eye.

#![allow(dead_code, reason = "each test file uses a part of it")]

use glam::DVec3;
use throughline::geometry::{EyePlane, Layout, azimuth, edge_break, elevation};
use throughline::readings::{DrawnLine, Eye};
use throughline::rig::{Measure, Parts, Rig, Turn};
use throughline::solve::{Choice, Course, Priors};

/// Numbers by chance, the same ones in every run: SplitMix64 (Steele, Lea and Flood,
/// 2014), from memory.
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn new(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x1234_5678)
    }

    /// From 0 to 1.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        ((z >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Normally distributed, of variance 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.share().ln()).sqrt();
        radius * (2.0 * std::f64::consts::PI * self.share()).cos()
    }
}

/// What rig files are usually off by, as the command line's contract has it.
pub(crate) fn usual(measure: Measure) -> f64 {
    match measure.spec().key {
        "distance_mm" | "height_mm" => 15.0,
        "offset_mm" => 10.0,
        "fold_deg" => 2.0,
        "gap_mm" | "tilt_deg" => 1.0,
        "step_mm" | "rise_mm" => 2.0,
        "roll_deg" => 0.5,
        other => panic!("{other} is held"),
    }
}

fn with_folds(parts: &Parts) -> Parts {
    let mut parts = parts.clone();
    for seam in 0..parts.seams.len() {
        parts.seams[seam].turn = Turn::FoldDeg(parts.fold_rad(seam).to_degrees());
    }
    parts
}

/// A number of a rig, turns as folds.
pub(crate) fn number(rig: &Rig, measure: Measure) -> f64 {
    measure.get(&with_folds(rig.parts())).expect("it is there")
}

/// A rig that stands otherwise than its file says, as is usual.
pub(crate) fn wrong(file: &Rig, chance: &mut Chance) -> Rig {
    let measures = Priors::new(file, &[]).measures().to_vec();
    loop {
        let mut parts = with_folds(file.parts());
        for &measure in &measures {
            let now = measure.get(&parts).expect("it is there");
            measure.put(&mut parts, now + usual(measure) * chance.normal());
        }
        if let Ok(rig) = Rig::new(parts) {
            return rig;
        }
    }
}

/// How a person reads.
#[derive(Clone, Copy)]
pub(crate) struct Person {
    pub eye: Eye,
    /// Share of slides that are simply wrong.
    pub blunders: f64,
}

/// Size of a blunder, in radians: ten to twenty arc-minutes, either way.
const BLUNDER_RAD: f64 = 10.0 / 60.0 / 180.0 * std::f64::consts::PI;

impl Person {
    /// One slide of a line on a rig that stands as `built`.
    pub(crate) fn slide(&self, line: &DrawnLine, built: &Layout, chance: &mut Chance) -> f64 {
        let mut sway = || self.eye.sway_mm * chance.normal();
        let eye = DVec3::new(sway(), sway(), sway());
        let per_rad = line.px_per_rad(built, eye).expect("it is seen");
        let mut off = self.eye.pointing_rad * chance.normal();
        if chance.share() < self.blunders {
            off += BLUNDER_RAD * (1.0 + chance.share()) * (chance.share() - 0.5).signum();
        }
        line.slide_px(built, eye).expect("it is seen") + off * per_rad
    }

    /// Reads every line that a course asks for, on a rig that stands as `built`; how
    /// many slides it took.
    pub(crate) fn run(&self, course: &mut Course, built: &Rig, chance: &mut Chance) -> usize {
        let mut slides = 0;
        while let Some(Choice { line, sigma_px, .. }) = course.next() {
            let drawn = DrawnLine::new(line, course.rig().layout()).expect("it is drawn");
            let mut slide = || self.slide(&drawn, built.layout(), chance);
            let pair = [slide(), slide()];
            course.add(line, pair, sigma_px);
            slides += 2;
            assert!(slides < 1000, "a course ends");
        }
        slides
    }
}

/// The four slants at a seam's edge by which alignment is judged: height as a share of
/// half the height that both edges reach, and slope in degrees.
pub(crate) const NEAR: [[f64; 2]; 4] = [[-0.84, -45.0], [-0.42, 30.0], [0.42, -30.0], [0.84, 45.0]];

/// The largest break, in arc-minutes, of near lines drawn for one rig on another.
pub(crate) fn worst_near(drawn: &Rig, built: &Rig) -> f64 {
    worst_of(drawn, built, &NEAR)
}

/// The same of lines all over the seams: nine heights, five slopes.
pub(crate) fn worst_of_all(drawn: &Rig, built: &Rig) -> f64 {
    let heights = (-4..=4).map(|height| 0.22 * f64::from(height));
    let slopes = [-45.0, -20.0, 0.0, 20.0, 45.0];
    let lines = heights.flat_map(|height| slopes.map(|slope| [height, slope]));
    worst_of(drawn, built, &lines.collect::<Vec<_>>())
}

fn worst_of(drawn: &Rig, built: &Rig, lines: &[[f64; 2]]) -> f64 {
    let mut worst = 0.0_f64;
    for seam in 0..drawn.seams().len() {
        let [left, right] = drawn.layout().seam(seam);
        let edges = [(left, left.pixels[0]), (right, 0.0)];
        let ends =
            |down: f64| edges.map(|(surface, px)| surface.point_px(px, surface.pixels[1] * down).y);
        let (bottom, top) = (ends(1.0), ends(0.0));
        let (low, high) = (bottom[0].max(bottom[1]), top[0].min(top[1]));
        for &[share, slope] in lines {
            let height = (low + high) / 2.0 + share * (high - low) / 2.0;
            let [from, to] = edges.map(|(surface, px)| {
                let middle = surface.point_px(px, surface.pixels[1] / 2.0);
                middle + surface.y * ((height - middle.y) / surface.y.y)
            });
            let middle = (from + to) / 2.0;
            let plane = EyePlane::at_slope(azimuth(middle), elevation(middle), slope.to_radians());
            let seen = built.layout().seam(seam);
            if let Some(found) = edge_break([left, right], seen, plane, DVec3::ZERO) {
                worst = worst.max(found.break_rad.abs().to_degrees() * 60.0);
            }
        }
    }
    worst
}
