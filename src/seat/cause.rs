//! The single wrong value that explains the breaks best.
//!
//! Every value that an owner can measure wrong is tried in turn: the breaks and
//! kinks it would cause, were it alone off, are fitted to those seen by least
//! squares in that one value. The search starts with a linear fit of each; the
//! best are refined by damped Gauss-Newton steps.

use glam::DVec3;
use rayon::prelude::*;

use super::breaks::{Drawn, Reading};
use crate::geometry::{EyePlane, Layout, edge_break};
use crate::pattern::Line;
use crate::rig::{Parts, Rig, Size, Turn};

/// A kink counts as the displacement it grows to over this turn of the eye, in
/// radians: about a hand's width at the panels' distance.
const KINK_RUN: f64 = 0.2;
/// Values refined after the linear fit.
const FINALISTS: usize = 8;
const ROUNDS: usize = 20;
/// Below this root mean square, in radians, nothing is to be explained: a
/// hundredth of an arc-minute.
const NOTHING: f64 = 3e-6;

/// One value of a rig file, and by how much it would have to be off.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// The value's path, as a setting spells it.
    pub path: String,
    /// What it is, for people: "fold at seam 1".
    pub what: String,
    /// Its value in the file.
    pub in_file: f64,
    /// By how much the rig exceeds it.
    pub change: f64,
    /// Unit of both: "°" or "mm" or "in".
    pub unit: &'static str,
    /// Share of the breaks' and kinks' squares that it explains, 0 to 1.
    pub share: f64,
}

impl std::fmt::Display for Cause {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Cause { what, unit, .. } = self;
        let digits = match *unit {
            "mm" if self.change.abs() >= 1.0 => 1,
            _ => 2,
        };
        let size = self.change.abs();
        let space = if *unit == "°" { "" } else { " " };
        let more = if self.change < 0.0 {
            "smaller"
        } else {
            "larger"
        };
        let article = if what.starts_with(['a', 'e', 'i', 'o', 'u']) {
            "an"
        } else {
            "a"
        };
        write!(
            f,
            "{article} {what} {size:.digits$}{space}{unit} {more} than the file says explains {:.0} % of it",
            self.share * 100.0
        )
    }
}

/// The value of `file` whose one change explains `seen` best: the readings of
/// `lines`, drawn for `drawn`, on the rig as it really stands. `None` where
/// nothing breaks, or no value of the file explains anything.
pub fn likeliest(file: &Rig, drawn: &Drawn, lines: &[Line], seen: &[Reading]) -> Option<Cause> {
    let problem = Problem::new(file, drawn, lines, seen);
    if problem.rms() < NOTHING {
        return None;
    }
    let mut fits: Vec<(Knob, f64)> = knobs(file.parts())
        .into_par_iter()
        .filter_map(|knob| Some((knob, problem.linear_share(knob)?)))
        .collect();
    fits.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    fits.truncate(FINALISTS);
    let refined = fits
        .into_par_iter()
        .filter_map(|(knob, _)| problem.refined(knob))
        .max_by(|one, other| one.share.total_cmp(&other.share))?;
    (refined.share > 0.0).then_some(refined)
}

/// One value that may be off.
#[derive(Debug, Clone, Copy)]
enum Knob {
    Turn(usize),
    Gap(usize),
    Step(usize),
    Rise(usize),
    Tilt(usize),
    Roll(usize),
    /// Relative.
    Size(usize),
    /// Relative change of the curvature.
    Radius(usize),
    Distance,
    Height,
    Offset,
}

fn knobs(parts: &Parts) -> Vec<Knob> {
    let seams = (0..parts.seams.len())
        .flat_map(|i| [Knob::Turn(i), Knob::Gap(i), Knob::Step(i), Knob::Rise(i)]);
    let panels =
        (0..parts.panels.len()).flat_map(|i| [Knob::Tilt(i), Knob::Roll(i), Knob::Size(i)]);
    let curved = (0..parts.panels.len())
        .filter(|&i| parts.panels[i].curve_radius_mm.is_some())
        .map(Knob::Radius);
    seams
        .chain(panels)
        .chain(curved)
        .chain([Knob::Distance, Knob::Height, Knob::Offset])
        .collect()
}

impl Knob {
    /// The parts with the value changed, in the knob's own unit.
    fn turned(self, parts: &Parts, by: f64) -> Parts {
        let mut parts = parts.clone();
        match self {
            Knob::Turn(i) => match &mut parts.seams[i].turn {
                Turn::AngleDeg(value) | Turn::FoldDeg(value) => *value += by,
            },
            Knob::Gap(i) => parts.seams[i].gap_mm += by,
            Knob::Step(i) => parts.seams[i].step_mm += by,
            Knob::Rise(i) => parts.seams[i].rise_mm += by,
            Knob::Tilt(i) => parts.panels[i].tilt_deg += by,
            Knob::Roll(i) => parts.panels[i].roll_deg += by,
            Knob::Size(i) => match &mut parts.panels[i].size {
                Size::DiagonalIn(value) => *value *= 1.0 + by,
                Size::LitMm(size) => *size = size.map(|mm| mm * (1.0 + by)),
            },
            Knob::Radius(i) => {
                let radius = &mut parts.panels[i].curve_radius_mm;
                *radius = radius.map(|mm| mm / (1.0 + by));
            }
            Knob::Distance => parts.seat.distance_mm += by,
            Knob::Height => parts.seat.height_mm += by,
            Knob::Offset => parts.seat.offset_mm += by,
        }
        parts
    }

    /// A change small enough to differentiate by.
    fn small(self) -> f64 {
        match self {
            Knob::Size(_) | Knob::Radius(_) => 1e-6,
            _ => 1e-4,
        }
    }

    fn cause(self, parts: &Parts, by: f64, share: f64) -> Cause {
        let after = self.turned(parts, by);
        let value = |parts: &Parts| match self {
            Knob::Turn(i) => match parts.seams[i].turn {
                Turn::AngleDeg(value) | Turn::FoldDeg(value) => value,
            },
            Knob::Gap(i) => parts.seams[i].gap_mm,
            Knob::Step(i) => parts.seams[i].step_mm,
            Knob::Rise(i) => parts.seams[i].rise_mm,
            Knob::Tilt(i) => parts.panels[i].tilt_deg,
            Knob::Roll(i) => parts.panels[i].roll_deg,
            Knob::Size(i) => match parts.panels[i].size {
                Size::DiagonalIn(value) => value,
                Size::LitMm([width, _]) => width,
            },
            Knob::Radius(i) => parts.panels[i].curve_radius_mm.unwrap_or(f64::INFINITY),
            Knob::Distance => parts.seat.distance_mm,
            Knob::Height => parts.seat.height_mm,
            Knob::Offset => parts.seat.offset_mm,
        };
        let seam = |i: usize, key: &str, word: &str| {
            (
                format!("seam.{}.{key}", i + 1),
                format!("{word} at seam {}", i + 1),
            )
        };
        let panel = |i: usize, key: &str, word: &str| {
            let name = &parts.panels[i].name;
            (
                format!("panel.{name}.{key}"),
                format!("{word} of panel \"{name}\""),
            )
        };
        let seat = |key: &str, word: &str| (format!("seat.{key}"), word.to_owned());
        let (path, what) = match self {
            Knob::Turn(i) => match parts.seams[i].turn {
                Turn::AngleDeg(_) => seam(i, "angle_deg", "angle"),
                Turn::FoldDeg(_) => seam(i, "fold_deg", "fold"),
            },
            Knob::Gap(i) => seam(i, "gap_mm", "gap"),
            Knob::Step(i) => seam(i, "step_mm", "step"),
            Knob::Rise(i) => seam(i, "rise_mm", "rise"),
            Knob::Tilt(i) => panel(i, "tilt_deg", "tilt"),
            Knob::Roll(i) => panel(i, "roll_deg", "roll"),
            Knob::Size(i) => match parts.panels[i].size {
                Size::DiagonalIn(_) => panel(i, "diagonal_in", "diagonal"),
                Size::LitMm(_) => panel(i, "size_mm", "width"),
            },
            Knob::Radius(i) => panel(i, "curve_radius_mm", "curve radius"),
            Knob::Distance => seat("distance_mm", "distance from the eye"),
            Knob::Height => seat("height_mm", "height of the eye"),
            Knob::Offset => seat("offset_mm", "offset of the eye to the right"),
        };
        let unit = match self {
            Knob::Turn(_) | Knob::Tilt(_) | Knob::Roll(_) => "°",
            Knob::Size(i) if matches!(parts.panels[i].size, Size::DiagonalIn(_)) => "in",
            _ => "mm",
        };
        let in_file = value(parts);
        Cause {
            path,
            what,
            in_file,
            change: value(&after) - in_file,
            unit,
            share,
        }
    }
}

/// What is to be explained, as one column of angles.
struct Problem<'a> {
    parts: &'a Parts,
    drawn: &'a Drawn,
    /// Seam and plane of every reading.
    places: Vec<(usize, EyePlane)>,
    /// Angles on the rig as the file says.
    base: Vec<f64>,
    /// Angles seen, less those.
    seen: Vec<f64>,
}

impl<'a> Problem<'a> {
    fn new(file: &'a Rig, drawn: &'a Drawn, lines: &[Line], seen: &[Reading]) -> Problem<'a> {
        let plane_of = |name: &str| lines.iter().find(|line| line.name == name);
        let (places, angles): (Vec<_>, Vec<_>) = seen
            .iter()
            .filter(|reading| reading.is_drawn())
            .filter_map(|reading| {
                let plane = plane_of(&reading.line)?.plane;
                let found = reading.found;
                Some((
                    (reading.seam, plane),
                    [found.break_rad, found.kink_rad * KINK_RUN],
                ))
            })
            .unzip();
        let mut problem = Problem {
            parts: file.parts(),
            drawn,
            places,
            base: Vec::new(),
            seen: angles.into_iter().flatten().collect(),
        };
        problem.base = problem
            .angles(file.layout())
            .unwrap_or_else(|| vec![0.0; problem.seen.len()]);
        for (seen, base) in problem.seen.iter_mut().zip(&problem.base) {
            *seen -= base;
        }
        problem
    }

    fn angles(&self, built: &Layout) -> Option<Vec<f64>> {
        let mut angles = Vec::with_capacity(self.seen.len());
        for &(seam, plane) in &self.places {
            let [left, right] = &self.drawn[seam];
            let found = edge_break([left, right], built.seam(seam), plane, DVec3::ZERO)?;
            angles.extend([found.break_rad, found.kink_rad * KINK_RUN]);
        }
        Some(angles)
    }

    /// What a change of one value would add; `None` where no rig has it.
    fn added(&self, knob: Knob, by: f64) -> Option<Vec<f64>> {
        let rig = Rig::new(knob.turned(self.parts, by)).ok()?;
        let mut angles = self.angles(rig.layout())?;
        for (angle, base) in angles.iter_mut().zip(&self.base) {
            *angle -= base;
        }
        Some(angles)
    }

    fn slope(&self, knob: Knob, at: f64) -> Option<Vec<f64>> {
        let h = knob.small();
        let ahead = self.added(knob, at + h)?;
        let behind = self.added(knob, at - h)?;
        let pairs = ahead.iter().zip(&behind);
        Some(pairs.map(|(a, b)| (a - b) / (2.0 * h)).collect())
    }

    fn rms(&self) -> f64 {
        (dot(&self.seen, &self.seen) / self.seen.len().max(1) as f64).sqrt()
    }

    /// Share explained if the breaks grew evenly with the value.
    fn linear_share(&self, knob: Knob) -> Option<f64> {
        let slope = self.slope(knob, 0.0)?;
        let along = dot(&slope, &self.seen);
        let share = along * along / (dot(&slope, &slope) * dot(&self.seen, &self.seen));
        share.is_finite().then_some(share)
    }

    fn left_over(&self, knob: Knob, by: f64) -> Option<(f64, Vec<f64>)> {
        let added = self.added(knob, by)?;
        let left: Vec<f64> = self.seen.iter().zip(&added).map(|(s, a)| s - a).collect();
        Some((dot(&left, &left), left))
    }

    fn refined(&self, knob: Knob) -> Option<Cause> {
        let mut at = 0.0;
        let (mut error, mut left) = self.left_over(knob, at)?;
        for _ in 0..ROUNDS {
            let slope = self.slope(knob, at)?;
            let mut step = dot(&slope, &left) / dot(&slope, &slope);
            if !step.is_finite() {
                break;
            }
            let better = (0..10).find_map(|_| {
                let tried = self.left_over(knob, at + step);
                match tried {
                    Some((tried_error, tried_left)) if tried_error < error => {
                        Some((step, tried_error, tried_left))
                    }
                    _ => {
                        step /= 2.0;
                        None
                    }
                }
            });
            let Some((step, next_error, next_left)) = better else {
                break;
            };
            let gain = error - next_error;
            (at, error, left) = (at + step, next_error, next_left);
            if gain < 1e-12 * error {
                break;
            }
        }
        let share = 1.0 - error / dot(&self.seen, &self.seen);
        Some(knob.cause(self.parts, at, share))
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
