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
use crate::rig::{Measure, PanelQuantity, Parts, Rig, SeamQuantity, SeatQuantity, Unit};

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
    /// Which value.
    pub measure: Measure,
    /// What it is, for people: "fold at seam 1".
    pub what: String,
    /// Its value in the file.
    pub in_file: f64,
    /// By how much the rig exceeds it.
    pub change: f64,
    /// Share of the breaks' and kinks' squares that it explains, 0 to 1.
    pub share: f64,
}

impl std::fmt::Display for Cause {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let what = &self.what;
        let unit = self.measure.spec().unit;
        let digits = match unit {
            Unit::Mm if self.change.abs() >= 1.0 => 1,
            _ => 2,
        };
        let size = self.change.abs();
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
            "{article} {what} {size:.digits$}{} {more} than the file says explains {:.0} % of it",
            unit.symbol(),
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
    let mut fits: Vec<(Measure, f64)> = knobs(file.parts())
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

/// Every measure that may be off, one after the other.
fn knobs(parts: &Parts) -> Vec<Measure> {
    let seams = (0..parts.seams.len()).flat_map(|seam| {
        let lengths = [SeamQuantity::Gap, SeamQuantity::Step, SeamQuantity::Rise];
        let lengths = lengths.map(|what| Measure::Seam(seam, what));
        Measure::turn(parts, seam).into_iter().chain(lengths)
    });
    let panels = (0..parts.panels.len()).flat_map(|panel| {
        [
            PanelQuantity::Tilt,
            PanelQuantity::Roll,
            PanelQuantity::Diagonal,
            PanelQuantity::Width,
        ]
        .map(|what| Measure::Panel(panel, what))
    });
    let curves = (0..parts.panels.len()).map(|i| Measure::Panel(i, PanelQuantity::Radius));
    let all = seams.chain(panels).chain(curves);
    all.chain(SeatQuantity::ALL.map(Measure::Seat))
        .filter(|measure| measure.get(parts).is_some())
        .collect()
}

/// How a search moves a measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Scale {
    /// In its unit.
    Plain,
    /// By a share of it: sizes, both sides alike.
    Share,
    /// By a share of its inverse: the curvature.
    Inverse,
}

fn scale(knob: Measure) -> Scale {
    match knob {
        Measure::Panel(_, PanelQuantity::Diagonal | PanelQuantity::Width) => Scale::Share,
        Measure::Panel(_, PanelQuantity::Radius) => Scale::Inverse,
        _ => Scale::Plain,
    }
}

/// A change small enough to differentiate by.
fn small(knob: Measure) -> f64 {
    match scale(knob) {
        Scale::Plain => 1e-4,
        Scale::Share | Scale::Inverse => 1e-6,
    }
}

/// The parts with a measure changed, as its scale has it.
fn turned(knob: Measure, parts: &Parts, by: f64) -> Parts {
    let mut changed = parts.clone();
    let moved = |now: f64| match scale(knob) {
        Scale::Plain => now + by,
        Scale::Share => now * (1.0 + by),
        Scale::Inverse => now / (1.0 + by),
    };
    // A panel that is larger than its file says keeps its shape.
    let height = match knob {
        Measure::Panel(panel, PanelQuantity::Width) => {
            Some(Measure::Panel(panel, PanelQuantity::Height))
        }
        _ => None,
    };
    for measure in std::iter::once(knob).chain(height) {
        if let Some(now) = measure.get(parts) {
            measure.put(&mut changed, moved(now));
        }
    }
    changed
}

/// What a measure is called in a sentence.
fn phrase(knob: Measure, parts: &Parts) -> String {
    let name = knob.spec().name;
    match knob {
        Measure::Seam(seam, _) => format!("{name} at seam {}", seam + 1),
        Measure::Panel(panel, what) => {
            let name = match what {
                PanelQuantity::Width => "width",
                _ => name,
            };
            format!("{name} of panel \"{}\"", parts.panels[panel].name)
        }
        Measure::Seat(SeatQuantity::Distance) => format!("{name} from the eye"),
        Measure::Seat(SeatQuantity::Height) => format!("{name} of the eye"),
        Measure::Seat(SeatQuantity::Offset) => format!("{name} of the eye to the right"),
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
    fn added(&self, knob: Measure, by: f64) -> Option<Vec<f64>> {
        let rig = Rig::new(turned(knob, self.parts, by)).ok()?;
        let mut angles = self.angles(rig.layout())?;
        for (angle, base) in angles.iter_mut().zip(&self.base) {
            *angle -= base;
        }
        Some(angles)
    }

    fn slope(&self, knob: Measure, at: f64) -> Option<Vec<f64>> {
        let h = small(knob);
        let ahead = self.added(knob, at + h)?;
        let behind = self.added(knob, at - h)?;
        let pairs = ahead.iter().zip(&behind);
        Some(pairs.map(|(a, b)| (a - b) / (2.0 * h)).collect())
    }

    fn rms(&self) -> f64 {
        (dot(&self.seen, &self.seen) / self.seen.len().max(1) as f64).sqrt()
    }

    /// Share explained if the breaks grew evenly with the value.
    fn linear_share(&self, knob: Measure) -> Option<f64> {
        let slope = self.slope(knob, 0.0)?;
        let along = dot(&slope, &self.seen);
        let share = along * along / (dot(&slope, &slope) * dot(&self.seen, &self.seen));
        share.is_finite().then_some(share)
    }

    fn left_over(&self, knob: Measure, by: f64) -> Option<(f64, Vec<f64>)> {
        let added = self.added(knob, by)?;
        let left: Vec<f64> = self.seen.iter().zip(&added).map(|(s, a)| s - a).collect();
        Some((dot(&left, &left), left))
    }

    fn refined(&self, knob: Measure) -> Option<Cause> {
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
        let in_file = knob.get(self.parts)?;
        Some(Cause {
            measure: knob,
            what: phrase(knob, self.parts),
            in_file,
            change: knob.get(&turned(knob, self.parts, at))? - in_file,
            share,
        })
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
