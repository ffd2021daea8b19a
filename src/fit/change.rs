//! The one change to the rig itself that would help the flat views most.

use rayon::prelude::*;

use super::flat_views::FlatViews;
use super::flat_views_fit::{FlatViewsFit, Moving, directions, residuals, views_of};
use super::samples::{Fineness, Sample, samples};
use super::solve::{ROUGH, Unknown, minimise};
use crate::rig::{Parts, Rig, Subject, Turn};

/// A change to one measure of the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Which measure, as `--set` calls it.
    pub subject: Subject,
    /// What it is now, in the file's unit.
    pub from: f64,
    /// What it would be.
    pub to: f64,
    /// Rms of the flat views' fit after the change, in radians.
    pub rms_rad: f64,
}

/// A measure that can be changed on the desk.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Lever {
    Distance,
    Turn(usize),
    Gap(usize),
    Rise(usize),
    Tilt(usize),
    Roll(usize),
}

/// Samples that all searches together may take.
const SAMPLES: usize = 6_000;

impl Change {
    /// The change that brings the fit's rms down most, to whole millimetres and
    /// tenths of a degree; `None` where no single change brings it down by a
    /// twentieth.
    pub fn of(rig: &Rig, fit: &FlatViewsFit) -> Option<Change> {
        if fit.rms_rad < 1e-6 {
            return None;
        }
        let parts = rig.parts();
        let levers = levers(parts);
        let samples = thinned(rig, (SAMPLES / levers.len()).max(120));
        let mut found: Vec<(Lever, f64, f64)> = levers
            .par_iter()
            .map(|&lever| {
                let (value, cost) = search(parts, &samples, lever, fit);
                (lever, value, cost)
            })
            .collect();
        found.sort_by(|a, b| a.2.total_cmp(&b.2));
        let best = found.iter().find_map(|&(lever, value, _)| {
            let to = lever.rounded(value);
            let mut changed = parts.clone();
            lever.put(&mut changed, to);
            // A change after which a panel turns its back to the eye is none.
            let after = FlatViewsFit::of(&Rig::new(changed).ok()?, fit.free);
            Some(Change {
                subject: lever.subject(parts),
                from: lever.get(parts),
                to,
                rms_rad: after.rms_rad,
            })
        });
        best.filter(|best| best.rms_rad < 0.95 * fit.rms_rad)
    }
}

/// Coarse samples, of fewer views where there are too many.
fn thinned(rig: &Rig, most: usize) -> Vec<Sample> {
    let views = views_of(rig.parts());
    let mut samples = samples(&views, Fineness::Coarse);
    let stride = samples.len().div_ceil(most.max(1));
    if stride > 1 {
        let kept = (views.len() / stride).max(3);
        let every = (views.len() / kept).max(1);
        samples.retain(|sample| sample.view % every == every / 2);
    }
    samples
}

/// Moves the lever and the model together; the lever's value and the cost.
fn search(parts: &Parts, samples: &[Sample], lever: Lever, fit: &FlatViewsFit) -> (f64, f64) {
    let moving = Moving::of(&fit.model, fit.free);
    let mut unknowns = moving.unknowns(&FlatViews::of_parts(parts), &fit.model);
    unknowns.push(lever.unknown(parts));
    let together = |values: &[f64], out: &mut Vec<f64>| {
        let Some((&moved, model)) = values.split_last() else {
            return;
        };
        let mut changed = parts.clone();
        lever.put(&mut changed, lever.value(parts, moved));
        let own = FlatViews::of_parts(&changed);
        let seen = directions(samples, &views_of(&changed), own.facing);
        residuals(samples, &seen, &moving.model(&own, model), out);
    };
    let found = minimise(together, &unknowns, ROUGH);
    let moved = found.values.last().copied().unwrap_or(0.0);
    (lever.value(parts, moved), found.cost)
}

/// Every measure that can be changed.
fn levers(parts: &Parts) -> Vec<Lever> {
    let seams = (0..parts.seams.len())
        .flat_map(|seam| [Lever::Turn(seam), Lever::Gap(seam), Lever::Rise(seam)]);
    let panels = (0..parts.panels.len()).flat_map(|panel| [Lever::Tilt(panel), Lever::Roll(panel)]);
    std::iter::once(Lever::Distance)
        .chain(seams)
        .chain(panels)
        .collect()
}

/// Millimetres that make one unit of a search.
const SPAN_MM: f64 = 500.0;

impl Lever {
    /// How far it may move: as far as a person would shift things on a desk.
    fn unknown(self, parts: &Parts) -> Unknown {
        let [min, max] = match self {
            // Far away everything looks small, errors too, so that is no help.
            Lever::Distance => [-0.2, 0.2],
            Lever::Turn(_) | Lever::Tilt(_) | Lever::Roll(_) => [-0.4, 0.4],
            // Cases can't be pushed into each other.
            Lever::Gap(seam) => [-parts.seams[seam].gap_mm.max(0.0) / SPAN_MM, 0.4],
            Lever::Rise(_) => [-0.8, 0.8],
        };
        Unknown {
            start: 0.0,
            min,
            max,
        }
    }

    /// Its value for an unknown.
    fn value(self, parts: &Parts, moved: f64) -> f64 {
        let now = self.get(parts);
        match self {
            Lever::Distance => now * moved.exp(),
            Lever::Turn(_) | Lever::Tilt(_) | Lever::Roll(_) => now + moved.to_degrees(),
            Lever::Gap(_) | Lever::Rise(_) => now + moved * SPAN_MM,
        }
    }

    /// To what a person can measure.
    fn rounded(self, value: f64) -> f64 {
        match self {
            Lever::Turn(_) | Lever::Tilt(_) | Lever::Roll(_) => (value * 10.0).round() / 10.0,
            _ => value.round(),
        }
    }

    fn get(self, parts: &Parts) -> f64 {
        match self {
            Lever::Distance => parts.seat.distance_mm,
            Lever::Turn(seam) => match parts.seams[seam].turn {
                Turn::AngleDeg(angle) => angle,
                Turn::FoldDeg(fold) => fold,
            },
            Lever::Gap(seam) => parts.seams[seam].gap_mm,
            Lever::Rise(seam) => parts.seams[seam].rise_mm,
            Lever::Tilt(panel) => parts.panels[panel].tilt_deg,
            Lever::Roll(panel) => parts.panels[panel].roll_deg,
        }
    }

    fn put(self, parts: &mut Parts, value: f64) {
        match self {
            Lever::Distance => parts.seat.distance_mm = value,
            Lever::Turn(seam) => {
                let turn = &mut parts.seams[seam].turn;
                *turn = match turn {
                    Turn::AngleDeg(_) => Turn::AngleDeg(value),
                    Turn::FoldDeg(_) => Turn::FoldDeg(value),
                };
            }
            Lever::Gap(seam) => parts.seams[seam].gap_mm = value,
            Lever::Rise(seam) => parts.seams[seam].rise_mm = value,
            Lever::Tilt(panel) => parts.panels[panel].tilt_deg = value,
            Lever::Roll(panel) => parts.panels[panel].roll_deg = value,
        }
    }

    fn subject(self, parts: &Parts) -> Subject {
        match self {
            Lever::Distance => Subject::seat("distance_mm"),
            Lever::Turn(seam) => Subject::seam(seam, parts.seams[seam].turn.key()),
            Lever::Gap(seam) => Subject::seam(seam, "gap_mm"),
            Lever::Rise(seam) => Subject::seam(seam, "rise_mm"),
            Lever::Tilt(panel) => Subject::panel(panel, "tilt_deg"),
            Lever::Roll(panel) => Subject::panel(panel, "roll_deg"),
        }
    }
}
