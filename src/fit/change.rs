//! The one change to the rig itself that would help the flat views most.

use std::f64::consts::PI;

use rayon::prelude::*;

use super::eye_level::level_step;
use super::flat_views::FlatViews;
use super::flat_views_fit::{FlatViewsFit, Moving, directions, residuals, shift, views_of};
use super::samples::{Fineness, Sample, samples};
use crate::least_squares::{ROUGH, Unknown, minimise};
use crate::numbers;
use crate::rig::{Measure, PanelQuantity, Parts, Rig, SeamQuantity, SeatQuantity, Unit};

/// A change to one measure of the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Improvement {
    /// Which measure.
    pub measure: Measure,
    /// What it is now, in the file's unit.
    pub from: f64,
    /// What it would be.
    pub to: f64,
    /// Rms of the flat views' fit after the change, in radians.
    pub rms_rad: f64,
}

/// A fit whose rms is below this leaves nothing that is easily seen.
pub const GOOD_RAD: f64 = 0.3 / 180.0 * PI;
/// A fit whose rms and whose step of eye level are below this can be lived with.
pub const USABLE_RAD: f64 = 1.0 / 180.0 * PI;
/// Share of the rig's span that a change must leave.
const KEPT_SPAN: f64 = 0.95;
/// The most promising changes that are looked at.
const TRIED: usize = 8;

/// Samples that all searches together may take.
const SAMPLES: usize = 6_000;

impl Improvement {
    /// The change that brings the fit's rms down most, to whole millimetres and
    /// tenths of a degree. `None` where the fit is good already, and where no single
    /// change makes it usable, a quarter better at least and without shrinking the
    /// view.
    pub fn of(rig: &Rig, fit: &FlatViewsFit) -> Option<Improvement> {
        if fit.rms_rad < GOOD_RAD {
            return None;
        }
        let parts = rig.parts();
        let levers = levers(parts);
        let samples = thinned(rig, (SAMPLES / levers.len()).max(120));
        let mut found: Vec<(Measure, f64, f64)> = levers
            .par_iter()
            .map(|&lever| {
                let (value, cost) = search(parts, &samples, lever, fit);
                (lever, value, cost)
            })
            .collect();
        found.sort_by(|a, b| a.2.total_cmp(&b.2));
        let span_rad = whole_rad(rig);
        found.iter().take(TRIED).find_map(|&(lever, value, _)| {
            let to = rounded(lever, value);
            let mut changed = parts.clone();
            lever.put(&mut changed, to);
            // A change after which a panel turns its back to the eye is none.
            let changed = Rig::new(changed).ok()?;
            let after = FlatViewsFit::of(&changed, fit.free);
            let step = level_step(&changed.views(), &after.model);
            let is_usable = after.rms_rad < USABLE_RAD.min(0.75 * fit.rms_rad)
                && step.is_none_or(|(step, _)| step.abs() < USABLE_RAD)
                && whole_rad(&changed) >= KEPT_SPAN * span_rad;
            is_usable.then_some(Improvement {
                measure: lever,
                from: lever.get(parts)?,
                to,
                rms_rad: after.rms_rad,
            })
        })
    }
}

/// Azimuth in radians from the leftmost lit edge to the rightmost.
fn whole_rad(rig: &Rig) -> f64 {
    numbers::fov(rig, &numbers::views(rig)).whole_rad
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
fn search(parts: &Parts, samples: &[Sample], lever: Measure, fit: &FlatViewsFit) -> (f64, f64) {
    let moving = Moving::of(&fit.model, fit.free);
    let mut unknowns = moving.unknowns(&FlatViews::of_parts(parts), &fit.model);
    let now = lever.get(parts).unwrap_or_default();
    unknowns.push(unknown(lever, now));
    let together = |values: &[f64], out: &mut Vec<f64>| {
        let Some((&moved, model)) = values.split_last() else {
            return;
        };
        let mut changed = parts.clone();
        lever.put(&mut changed, value(lever, now, moved));
        let own = FlatViews::of_parts(&changed);
        let seen = {
            let views = views_of(&changed);
            directions(samples, &views, shift(&views[own.facing]))
        };
        residuals(samples, &seen, &moving.model(&own, model), out);
    };
    let found = minimise(together, &unknowns, ROUGH);
    let moved = found.values.last().copied().unwrap_or(0.0);
    (value(lever, now, moved), found.cost)
}

/// Every measure that can be changed on the desk.
fn levers(parts: &Parts) -> Vec<Measure> {
    let seams = (0..parts.seams.len()).flat_map(|seam| {
        let lengths = [SeamQuantity::Gap, SeamQuantity::Rise];
        let lengths = lengths.map(|what| Measure::Seam(seam, what));
        Measure::turn(parts, seam).into_iter().chain(lengths)
    });
    let panels = (0..parts.panels.len()).flat_map(|panel| {
        [PanelQuantity::Tilt, PanelQuantity::Roll].map(|what| Measure::Panel(panel, what))
    });
    std::iter::once(Measure::Seat(SeatQuantity::Distance))
        .chain(seams)
        .chain(panels)
        .collect()
}

/// Millimetres that make one unit of a search.
const SPAN_MM: f64 = 500.0;

/// How far a lever may move: as far as a person would shift things on a desk.
fn unknown(lever: Measure, now: f64) -> Unknown {
    let [min, max] = match lever {
        // Far away everything looks small, errors too, so that is no help.
        Measure::Seat(_) => [-0.2, 0.2],
        // Cases can't be pushed into each other.
        Measure::Seam(_, SeamQuantity::Gap) => [-now.max(0.0) / SPAN_MM, 0.4],
        Measure::Seam(_, SeamQuantity::Rise) => [-0.8, 0.8],
        Measure::Seam(..) | Measure::Panel(..) => [-0.4, 0.4],
    };
    Unknown {
        start: 0.0,
        min,
        max,
    }
}

/// A lever's value for an unknown.
fn value(lever: Measure, now: f64, moved: f64) -> f64 {
    match (lever, lever.spec().unit) {
        (Measure::Seat(_), _) => now * moved.exp(),
        (_, Unit::Deg) => now + moved.to_degrees(),
        _ => now + moved * SPAN_MM,
    }
}

/// To what a person can measure.
fn rounded(lever: Measure, value: f64) -> f64 {
    match lever.spec().unit {
        Unit::Deg => (value * 10.0).round() / 10.0 + 0.0,
        // No minus before a zero.
        _ => value.round() + 0.0,
    }
}
