//! The equal flat screens that come closest to the rig.

use glam::DVec3;

use super::eye_level::EyeLevel;
use super::flat_views::FlatViews;
use super::free::Free;
use super::samples::{Fineness, Sample, samples, turn_between};
use super::typed::Typed;
use super::worst::{Worst, worst};
use crate::geometry::{Layout, View};
use crate::least_squares::{PRECISE, ROUGH, Unknown, minimise};
use crate::rig::{Parts, Rig};

/// A fit of the flat views to a rig.
///
/// The rig is first shifted sideways and up, so that its facing view's middle
/// lies straight ahead at eye level, as the model's does.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatViewsFit {
    /// The screens found.
    pub model: FlatViews,
    /// What could move.
    pub free: Free,
    /// Root mean square, over all pixels of all views, of the angle between
    /// where the eye sees a pixel and where the model has it.
    pub rms_rad: f64,
    /// Where that angle is largest.
    pub worst: Worst,
    /// Distance and width were both free, but only their ratio matters to this
    /// rig, so the width kept the rig's own value.
    pub width_kept: bool,
    /// The numbers that came to a bound of what people can type.
    pub at_limit: Vec<Typed>,
    /// Where eye level is, which the shift leaves out.
    pub eye_level: EyeLevel,
}

/// A fit as close as this is the rig itself, which no bound holds.
const EXACT_RAD: f64 = 1e-9;

impl FlatViewsFit {
    /// Fits the screens to a rig. It can't fail; how good the fit is it says itself.
    pub fn of(rig: &Rig, free: Free) -> FlatViewsFit {
        let views = rig.views();
        let own = FlatViews::of(rig);
        let moving = Moving::of(&own, free);
        let coarse = Target::new(&views, own.facing, Fineness::Coarse);
        let full = Target::new(&views, own.facing, Fineness::Full);
        let nearest = candidates(&own, moving, &coarse)
            .into_iter()
            .map(|start| moving.fit(&own, &start, &full, PRECISE))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let (model, cost) = nearest.expect("the rig's own values are a candidate");
        let shift = shift(&views[own.facing]);
        let screens = model.screens();
        let worst = worst(&views, |view, u, v| {
            let seen = unit(views[view].point_mm(u, v) + shift);
            [seen, unit(screens[view].point_mm(u, v))]
        });
        FlatViewsFit {
            model,
            free,
            rms_rad: cost.sqrt(),
            worst,
            width_kept: free.has(Typed::Width) && !moving.has(Typed::Width),
            at_limit: if cost.sqrt() < EXACT_RAD {
                Vec::new()
            } else {
                moving.at_limit(&model)
            },
            eye_level: EyeLevel::of(&views, &model),
        }
    }
}

/// Sideways and up, so that the facing view's middle lies straight ahead.
pub(crate) fn shift(facing: &View) -> DVec3 {
    let middle = facing.middle_mm();
    DVec3::new(-middle.x, -middle.y, 0.0)
}

/// The direction of a point; straight ahead for the eye itself.
pub(crate) fn unit(point: DVec3) -> DVec3 {
    point.normalize_or(DVec3::NEG_Z)
}

/// Samples of the rig and where the eye sees them.
pub(super) struct Target {
    samples: Vec<Sample>,
    seen: Vec<DVec3>,
}

impl Target {
    fn new(views: &[View], facing: usize, fineness: Fineness) -> Target {
        Target::shifted(samples(views, fineness), views, shift(&views[facing]))
    }

    /// Samples on views that stand elsewhere, by their distance from the model's eye.
    pub(super) fn shifted(samples: Vec<Sample>, views: &[View], shift_mm: DVec3) -> Target {
        let seen = directions(&samples, views, shift_mm);
        Target { samples, seen }
    }

    /// Mean square of the angles to a model, and the weighted angles as vectors.
    fn residuals(&self, model: &FlatViews, out: &mut Vec<f64>) {
        residuals(&self.samples, &self.seen, model, out);
    }

    pub(super) fn cost(&self, model: &FlatViews) -> f64 {
        let mut out = Vec::new();
        self.residuals(model, &mut out);
        out.iter().map(|r| r * r).sum()
    }
}

/// Where the eye sees samples, the rig shifted.
pub(super) fn directions(samples: &[Sample], views: &[View], shift_mm: DVec3) -> Vec<DVec3> {
    let seen = |sample: &Sample| unit(views[sample.view].point_mm(sample.u, sample.v) + shift_mm);
    samples.iter().map(seen).collect()
}

/// The angles between seen and modelled directions, as weighted vectors.
pub(super) fn residuals(samples: &[Sample], seen: &[DVec3], model: &FlatViews, out: &mut Vec<f64>) {
    let screens = model.screens();
    for (sample, &seen) in samples.iter().zip(seen) {
        let modelled = unit(screens[sample.view].point_mm(sample.u, sample.v));
        out.extend((turn_between(seen, modelled) * sample.weight.sqrt()).to_array());
    }
}

/// Which of the model's numbers a fit of this rig really moves.
///
/// A number without effect, or one that another stands in for, stays: for one
/// screen the angle and the bezel don't matter, and without a bezel only the
/// ratio of distance and width does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Moving([bool; Typed::ALL.len()]);

impl Moving {
    pub(crate) fn of(own: &FlatViews, free: Free) -> Moving {
        let several = own.count > 1;
        let scales = several && own.bezel_mm > 0.0;
        Moving(Typed::ALL.map(|typed| {
            free.has(typed)
                && match typed {
                    Typed::Angle | Typed::Bezel => several,
                    Typed::Distance => true,
                    Typed::Width => !free.has(Typed::Distance) || scales,
                }
        }))
    }

    pub(crate) fn has(self, typed: Typed) -> bool {
        self.0[typed as usize]
    }

    pub(crate) fn moving(self) -> impl Iterator<Item = Typed> {
        let all = Typed::ALL.into_iter();
        all.filter(move |&typed| self.has(typed))
    }

    /// The unknowns' start at a model, as the model is told from the rig's own.
    pub(crate) fn unknowns(self, own: &FlatViews, start: &FlatViews) -> Vec<Unknown> {
        let unknown = |typed: Typed| {
            let [start, min, max] = [typed.get(start), typed.bounds()[0], typed.bounds()[1]]
                .map(|number| to_unknown(typed, own, number));
            Unknown { start, min, max }
        };
        self.moving().map(unknown).collect()
    }

    /// The model for values of the unknowns.
    pub(crate) fn model(self, own: &FlatViews, values: &[f64]) -> FlatViews {
        let moved = self.moving().zip(values);
        moved.fold(*own, |model, (typed, &value)| {
            typed.put(model, from_unknown(typed, own, value))
        })
    }

    /// A model with what moves taken into its bounds.
    fn within_bounds(self, own: &FlatViews, model: &FlatViews) -> FlatViews {
        let unknowns = self.unknowns(own, model);
        let values: Vec<f64> = (unknowns.iter())
            .map(|unknown| unknown.start.clamp(unknown.min, unknown.max))
            .collect();
        self.model(own, &values)
    }

    /// The numbers of a model that moved as far as a person can type.
    pub(crate) fn at_limit(self, model: &FlatViews) -> Vec<Typed> {
        let is_at_limit = |typed: &Typed| {
            let number = typed.get(model);
            let near = |bound: f64| (number - bound).abs() <= 1e-9 * bound.abs().max(1.0);
            typed.bounds().into_iter().any(near)
        };
        self.moving().filter(is_at_limit).collect()
    }

    /// The best model near a start, and the mean square of its angles.
    fn fit(
        self,
        own: &FlatViews,
        start: &FlatViews,
        target: &Target,
        enough: f64,
    ) -> (FlatViews, f64) {
        let found = minimise(
            |values, out| target.residuals(&self.model(own, values), out),
            &self.unknowns(own, start),
            enough,
        );
        (self.model(own, &found.values), found.cost)
    }
}

/// A number as the search has it, of about one: an angle in radians, lengths as the
/// logarithm of their ratio to the rig's own, a bezel in widths more than its own.
fn to_unknown(typed: Typed, own: &FlatViews, number: f64) -> f64 {
    match typed {
        Typed::Angle => number,
        Typed::Distance | Typed::Width => (number / typed.get(own)).ln(),
        Typed::Bezel => (number - own.bezel_mm) / own.width_mm,
    }
}

/// The number for a value of its unknown.
fn from_unknown(typed: Typed, own: &FlatViews, value: f64) -> f64 {
    match typed {
        Typed::Angle => value,
        Typed::Distance | Typed::Width => typed.get(own) * value.exp(),
        Typed::Bezel => own.bezel_mm + own.width_mm * value,
    }
}

/// Models, each the best of its neighbourhood, that may lead to the best of all.
fn candidates(own: &FlatViews, moving: Moving, target: &Target) -> Vec<FlatViews> {
    const TURNS_DEG: [f64; 13] = [
        0.0, -4.0, 4.0, -9.0, 9.0, -15.0, 15.0, -25.0, 25.0, -40.0, 40.0, -60.0, 60.0,
    ];
    const RATIOS: [f64; 5] = [1.0, 0.7, 1.4, 0.4, 2.5];
    let turns = if moving.has(Typed::Angle) {
        &TURNS_DEG[..]
    } else {
        &[0.0]
    };
    let ratios = if moving.has(Typed::Distance) || moving.has(Typed::Width) {
        &RATIOS[..]
    } else {
        &[1.0]
    };
    let mut starts: Vec<(FlatViews, f64)> = Vec::new();
    for turn in turns {
        for ratio in ratios {
            let mut start = *own;
            start.angle_rad = own.angle_rad + turn.to_radians();
            if moving.has(Typed::Distance) {
                start.distance_mm = own.distance_mm * ratio;
            } else if moving.has(Typed::Width) {
                start = start.with_width_mm(own.width_mm / ratio);
            }
            let start = moving.within_bounds(own, &start);
            starts.push((start, target.cost(&start)));
        }
    }
    starts[1..].sort_by(|a, b| a.1.total_cmp(&b.1));
    starts.truncate(5);
    let mut found: Vec<(FlatViews, f64)> = starts
        .iter()
        .map(|(start, _)| moving.fit(own, start, target, ROUGH))
        .collect();
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    // The coarse costs of two neighbourhoods may be in the wrong order.
    found.dedup_by(|a, b| (a.1 - b.1).abs() <= 1e-3 * (a.1 + b.1));
    found.truncate(3);
    found.into_iter().map(|(model, _)| model).collect()
}

/// Samples for models of a rig whose parts change.
pub(super) fn views_of(parts: &Parts) -> Vec<View> {
    Layout::place(parts).views(parts)
}
