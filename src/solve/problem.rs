//! Readings that a rig is sought for.

use glam::DVec3;

use super::space::Space;
use crate::geometry::Layout;
use crate::least_squares::{PRECISE, ROUGH, Solution, minimise};
use crate::parts::{Measure, Unit};
use crate::readings::{DrawnLine, Reading};
use crate::rig::Rig;
use crate::seat::{Change, Residuals};

/// Where the sum of squares for each reading exceeds this, other starts are tried.
const POOR: f64 = 6.0;

/// Readings to be explained.
pub(super) struct Problem<'a> {
    space: &'a Space,
    /// `None` for readings that aren't of this rig.
    pub(super) lines: Vec<Option<DrawnLine>>,
    readings: &'a [Reading],
}

impl<'a> Problem<'a> {
    /// Of readings that were taken on `rig`.
    pub(super) fn new(rig: &Rig, readings: &'a [Reading], space: &'a Space) -> Problem<'a> {
        let drawn = |reading: &Reading| DrawnLine::new(reading.line, rig.layout());
        Problem {
            space,
            lines: readings.iter().map(drawn).collect(),
            readings,
        }
    }

    fn slide(&self, index: usize, layout: &Layout) -> Option<f64> {
        self.lines[index]?.slide_px(layout, DVec3::ZERO)
    }

    /// What is left of every reading after these steps, in its 1σ: infinite where no
    /// rig stands so, or nothing would be seen.
    fn left_of_readings(&self, steps: &[f64], into: &mut Vec<f64>) {
        let layout = self.space.layout(steps);
        let residual = |index: usize, reading: &Reading| {
            if self.lines[index].is_none() {
                return 0.0;
            }
            let slide = layout.as_ref().and_then(|layout| self.slide(index, layout));
            slide.map_or(f64::INFINITY, |slide| {
                (reading.slide_px - slide) / reading.sigma_px
            })
        };
        let readings = self.readings.iter().enumerate();
        into.extend(readings.map(|(index, reading)| residual(index, reading)));
    }

    /// Every reading's, then every value's.
    pub(super) fn residuals(&self, steps: &[f64], into: &mut Vec<f64>) {
        self.left_of_readings(steps, into);
        self.space.unusual(steps, into);
    }

    fn solved(&self, start: &[f64], enough: f64) -> Solution {
        let unknowns = self.space.unknowns(start);
        minimise(|steps, into| self.residuals(steps, into), &unknowns, enough)
    }

    /// From the file, and where that explains too little, from elsewhere too.
    pub(super) fn best(&self) -> Solution {
        let still = vec![0.0; self.space.file.len()];
        let first = self.solved(&still, PRECISE);
        if first.cost <= POOR * self.readings.len() as f64 {
            return first;
        }
        let others = [1.5, -1.5, 3.0, -3.0].into_iter().map(|size| {
            let is_turn = |measure: &Measure| measure.spec().unit == Unit::Deg;
            let measures = self.space.priors.measures.iter();
            let start = measures.map(|m| if is_turn(m) { size } else { 0.0 });
            self.solved(&start.collect::<Vec<_>>(), ROUGH)
        });
        let best = others.min_by(|one, other| one.cost.total_cmp(&other.cost));
        match best.filter(|best| best.cost < 0.99 * first.cost) {
            Some(better) => self.solved(&better.values, PRECISE),
            None => first,
        }
    }
}

/// In which few values explain the readings.
impl Residuals for Problem<'_> {
    fn values(&self) -> usize {
        self.space.file.len()
    }

    fn left(&self, changes: &[Change]) -> Option<Vec<f64>> {
        let mut steps = vec![0.0; self.values()];
        for &(value, by) in changes {
            steps[value] += by * self.space.priors.sigma[value] / self.space.scale[value];
        }
        let mut left = Vec::new();
        self.left_of_readings(&steps, &mut left);
        left.iter().all(|left| left.is_finite()).then_some(left)
    }

    fn column(&self, changes: &[Change], value: usize) -> Option<Vec<f64>> {
        const SMALL: f64 = 1e-5;
        let beside = |by: f64| {
            let mut changes = changes.to_vec();
            changes.push((value, by));
            self.left(&changes)
        };
        let (less, more) = (beside(-SMALL)?, beside(SMALL)?);
        let pairs = less.iter().zip(&more);
        Some(pairs.map(|(a, b)| (a - b) / (2.0 * SMALL)).collect())
    }
}
