//! The equal flat screens that come closest to the rig.

use glam::DVec3;

use super::flat_views::FlatViews;
use super::free::Free;
use super::samples::{Fineness, Sample, samples, turn_between};
use super::solve::{PRECISE, ROUGH, Unknown, minimise};
use super::worst::{Worst, worst};
use crate::geometry::{Layout, View};
use crate::rig::{Parts, Rig};

/// A fit of the flat views to a rig.
///
/// The rig is first shifted sideways and up, so that its facing view's middle
/// lies straight ahead at eye level, as the model's does.
#[derive(Debug, Clone, Copy, PartialEq)]
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
}

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
            width_kept: free.width() && !moving.width,
        }
    }
}

/// Sideways and up, so that the facing view's middle lies straight ahead.
pub(super) fn shift(facing: &View) -> DVec3 {
    let middle = facing.middle_mm();
    DVec3::new(-middle.x, -middle.y, 0.0)
}

/// The direction of a point; straight ahead for the eye itself.
pub(super) fn unit(point: DVec3) -> DVec3 {
    point.normalize_or(DVec3::NEG_Z)
}

/// Samples of the rig and where the eye sees them.
pub(super) struct Target {
    samples: Vec<Sample>,
    seen: Vec<DVec3>,
}

impl Target {
    fn new(views: &[View], facing: usize, fineness: Fineness) -> Target {
        Target::at(samples(views, fineness), views, facing)
    }

    /// The same samples on views that stand elsewhere.
    pub(super) fn at(samples: Vec<Sample>, views: &[View], facing: usize) -> Target {
        let seen = directions(&samples, views, facing);
        Target { samples, seen }
    }

    /// Mean square of the angles to a model, and the weighted angles as vectors.
    fn residuals(&self, model: &FlatViews, out: &mut Vec<f64>) {
        residuals(&self.samples, &self.seen, model, out);
    }

    fn cost(&self, model: &FlatViews) -> f64 {
        let mut out = Vec::new();
        self.residuals(model, &mut out);
        out.iter().map(|r| r * r).sum()
    }
}

/// Where the eye sees samples, the rig shifted.
pub(super) fn directions(samples: &[Sample], views: &[View], facing: usize) -> Vec<DVec3> {
    let shift = shift(&views[facing]);
    let seen = |sample: &Sample| unit(views[sample.view].point_mm(sample.u, sample.v) + shift);
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
pub(super) struct Moving {
    angle: bool,
    distance: bool,
    width: bool,
    bezel: bool,
}

impl Moving {
    pub(super) fn of(own: &FlatViews, free: Free) -> Moving {
        let several = own.count > 1;
        let bezel = several && free.bezel();
        let scales = several && own.bezel_mm > 0.0;
        Moving {
            angle: several && free.angle(),
            distance: free.distance(),
            width: free.width() && (!free.distance() || scales),
            bezel,
        }
    }

    /// The unknowns' start at a model, as the model is told from the rig's own.
    pub(super) fn unknowns(self, own: &FlatViews, start: &FlatViews) -> Vec<Unknown> {
        let mut unknowns = Vec::new();
        if self.angle {
            unknowns.push(Unknown {
                start: start.angle_rad,
                min: -std::f64::consts::PI,
                max: std::f64::consts::PI,
            });
        }
        let ratio = |start: f64, own: f64| Unknown {
            start: (start / own).ln(),
            min: -7.0,
            max: 7.0,
        };
        if self.distance {
            unknowns.push(ratio(start.distance_mm, own.distance_mm));
        }
        if self.width {
            unknowns.push(ratio(start.width_mm, own.width_mm));
        }
        if self.bezel {
            unknowns.push(Unknown {
                start: (start.bezel_mm - own.bezel_mm) / own.width_mm,
                min: -5.0,
                max: 50.0,
            });
        }
        unknowns
    }

    /// The model for values of the unknowns.
    pub(super) fn model(self, own: &FlatViews, values: &[f64]) -> FlatViews {
        let mut values = values.iter().copied();
        let mut model = *own;
        let mut next = |moves: bool| if moves { values.next() } else { None };
        if let Some(angle) = next(self.angle) {
            model.angle_rad = angle;
        }
        if let Some(ratio) = next(self.distance) {
            model.distance_mm = own.distance_mm * ratio.exp();
        }
        if let Some(ratio) = next(self.width) {
            model = model.with_width_mm(own.width_mm * ratio.exp());
        }
        if let Some(widths) = next(self.bezel) {
            model.bezel_mm = own.bezel_mm + own.width_mm * widths;
        }
        model
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

/// Models, each the best of its neighbourhood, that may lead to the best of all.
fn candidates(own: &FlatViews, moving: Moving, target: &Target) -> Vec<FlatViews> {
    const TURNS_DEG: [f64; 13] = [
        0.0, -4.0, 4.0, -9.0, 9.0, -15.0, 15.0, -25.0, 25.0, -40.0, 40.0, -60.0, 60.0,
    ];
    const RATIOS: [f64; 5] = [1.0, 0.7, 1.4, 0.4, 2.5];
    let turns = if moving.angle { &TURNS_DEG[..] } else { &[0.0] };
    let ratios = if moving.distance || moving.width {
        &RATIOS[..]
    } else {
        &[1.0]
    };
    let mut starts: Vec<(FlatViews, f64)> = Vec::new();
    for turn in turns {
        for ratio in ratios {
            let mut start = *own;
            start.angle_rad = (own.angle_rad + turn.to_radians()).clamp(-3.0, 3.0);
            if moving.distance {
                start.distance_mm = own.distance_mm * ratio;
            } else if moving.width {
                start = start.with_width_mm(own.width_mm / ratio);
            }
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
