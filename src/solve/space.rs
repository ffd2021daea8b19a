//! The rigs that an estimate chooses from: one for each step from the file.

use crate::geometry::Layout;
use crate::least_squares::Unknown;
use crate::parts::{Measure, PanelQuantity, Parts};
use crate::rig::Rig;

use super::priors::Priors;

/// How far an open range's end is kept away from, as a share of the range.
const INSIDE: f64 = 1e-9;

/// Least and largest length of a step, in millimetres or degrees: slopes are taken over
/// a millionth of it, which must be felt and must not leave the rig's surroundings,
/// however well or badly a value is known.
const STEP: [f64; 2] = [0.01, 20.0];

/// The rigs around a file's, by steps: how far each number that may move is from what
/// the file says, in about 1σ of what is known of it beforehand.
#[derive(Debug, Clone)]
pub(crate) struct Space {
    /// As the file gives turns and sizes.
    like: Parts,
    /// Turns given as folds.
    parts: Parts,
    pub(crate) priors: Priors,
    pub(crate) file: Vec<f64>,
    /// What a step of 1 is of each value, in its unit.
    pub(crate) scale: Vec<f64>,
}

impl Space {
    /// Around a rig's file.
    pub(crate) fn new(rig: &Rig, priors: &Priors) -> Space {
        let parts = rig.parts().with_folds();
        let measures = &priors.measures;
        // A prior of another rig may know more than this one has.
        let number = |measure: &Measure| measure.plain(&parts).unwrap_or_default();
        Space {
            like: rig.parts().clone(),
            file: measures.iter().map(number).collect(),
            scale: priors
                .sigma
                .iter()
                .map(|sigma| sigma.clamp(STEP[0], STEP[1]))
                .collect(),
            priors: priors.clone(),
            parts,
        }
    }

    /// The numbers after these steps.
    pub(crate) fn values(&self, steps: &[f64]) -> Vec<f64> {
        let pairs = self.file.iter().zip(&self.scale).zip(steps);
        pairs
            .map(|((file, sigma), step)| file + sigma * step)
            .collect()
    }

    /// The parts after these steps, turns given as folds.
    fn parts(&self, steps: &[f64]) -> Parts {
        let mut parts = self.parts.clone();
        let pairs = self
            .priors
            .measures
            .iter()
            .zip(self.values(steps))
            .zip(steps);
        for ((measure, value), step) in pairs {
            // What doesn't move keeps its digits, and its diagonal.
            if *step != 0.0 {
                measure.put(&mut parts, value);
            }
        }
        parts
    }

    /// Where the surfaces stand after these steps; `None` where no rig stands so.
    pub(crate) fn layout(&self, steps: &[f64]) -> Option<Layout> {
        Layout::facing(&self.parts(steps)).ok()
    }

    /// Where the surfaces would stand after these steps, whether they face the eye or not.
    pub(crate) fn placed(&self, steps: &[f64]) -> Layout {
        Layout::place(&self.parts(steps))
    }

    /// How many numbers may move.
    pub(crate) fn count(&self) -> usize {
        self.file.len()
    }

    /// The checked rig after these steps, or after as much of them as a rig can take.
    pub(crate) fn rig(&self, steps: &[f64]) -> Option<(Rig, Vec<f64>)> {
        const HALVINGS: i32 = 40;
        (0..HALVINGS).find_map(|halvings| {
            let part = 0.5_f64.powi(halvings);
            let steps: Vec<f64> = steps.iter().map(|step| part * step).collect();
            let parts = self.parts(&steps).spelt_like(&self.like);
            Some((Rig::new(parts).ok()?, steps))
        })
    }

    /// The range of each step.
    pub(crate) fn unknowns(&self, start: &[f64]) -> Vec<Unknown> {
        let measures = self.priors.measures.iter().zip(start).enumerate();
        measures
            .map(|(index, (&measure, &start))| {
                let limit = measure.spec().limit;
                let inside = INSIDE * (limit.max() - limit.min());
                let mut least = limit.min() + inside;
                if let Measure::Panel(panel, PanelQuantity::Radius) = measure {
                    least = least.max(self.parts.panels[panel].size_mm()[0] * (0.5 + INSIDE));
                }
                let step = |value: f64| (value - self.file[index]) / self.scale[index];
                Unknown {
                    start,
                    min: step(least).min(0.0),
                    max: step(limit.max() - inside).max(0.0),
                }
            })
            .collect()
    }

    /// How unusual these steps are: as many figures as numbers, each of variance 1.
    pub(crate) fn unusual(&self, steps: &[f64], into: &mut Vec<f64>) {
        let off: Vec<f64> = (self.values(steps).iter().zip(&self.priors.centre))
            .map(|(value, centre)| value - centre)
            .collect();
        let rows = self.priors.whitening.iter();
        into.extend(rows.map(|row| crate::least_squares::dot(row, &off)));
    }
}
