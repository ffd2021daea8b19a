//! The rig as it stands, as readings and what was known before tell it.

use super::priors::Priors;
use super::problem::Problem;
use super::space::Space;
use crate::least_squares::{covariance, dot, slopes};
use crate::parts::Measure;
use crate::readings::Reading;
use crate::rig::Rig;

/// A value is determined where the readings leave at most this share of what it was
/// uncertain by before.
const DETERMINED: f64 = 0.7;
/// Correlation from which on one value, once known, would halve the other's
/// uncertainty: √3/2.
const TOGETHER: f64 = 0.866;
/// Values known to this share of their prior are known well enough apart.
const APART: f64 = 0.2;
/// Largest residual, in what its own uncertainty and the fit leave it, of a sound one.
const MOST_OFF: f64 = 3.5;
/// A residual with less of its own error left in it than this tells nothing.
const LEAST_REDUNDANCY: f64 = 0.005;
/// One number of the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// Which one; turns are folds.
    pub measure: Measure,
    /// What the file says.
    pub file: f64,
    /// What is likeliest.
    pub solved: f64,
    /// What that is uncertain by, 1σ.
    pub sigma: f64,
    /// What it was uncertain by before, 1σ.
    pub before: f64,
}

impl Value {
    /// Whether the readings tell it: they leave at most seven tenths of what it was
    /// uncertain by.
    pub fn is_determined(&self) -> bool {
        self.sigma <= DETERMINED * self.before
    }

    /// By how much the rig exceeds its file.
    pub fn change(&self) -> f64 {
        self.solved - self.file
    }
}

/// What the estimate leaves of one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The slide that was read above the one that the estimate foresees, in rows.
    pub residual_px: f64,
    /// How much of an error of this reading alone shows in its residual, 0 to 1; the
    /// rest moves the estimate.
    pub redundancy: f64,
    /// It should be taken again: its two slides differ too much, or it doesn't go with
    /// the others.
    pub repeat: bool,
}

/// The rig as it stands, as far as is known.
#[derive(Debug, Clone)]
pub struct Estimate {
    pub(super) space: Space,
    pub(super) steps: Vec<f64>,
    /// Of the steps.
    pub(super) spread: Vec<Vec<f64>>,
    values: Vec<Value>,
    chi2: f64,
    fits: Vec<Fit>,
    rig: Rig,
}

/// The rig as it stands: of all rigs around `rig`'s file the one with the least sum of
/// squares of what it leaves of the readings, which were taken on `rig`, and of how
/// far it is from what was known, each in 1σ.
///
/// It never fails. A reading that isn't of this rig ([`Readings::fit`]) counts nothing
/// and is to be repeated.
///
/// [`Readings::fit`]: crate::readings::Readings::fit
pub fn solve(rig: &Rig, readings: &[Reading], priors: &Priors) -> Estimate {
    let space = Space::new(rig, priors);
    let problem = Problem::new(rig, readings, &space);
    let still = vec![0.0; space.file.len()];
    // The file's own rig is one.
    let found = space.rig(&problem.best().values);
    let (solved, steps) = found.unwrap_or_else(|| (rig.clone(), still));

    let evaluate = |steps: &[f64], into: &mut Vec<f64>| problem.residuals(steps, into);
    let mut left = Vec::new();
    evaluate(&steps, &mut left);
    let columns = slopes(evaluate, &steps);
    // The priors keep every value from being open.
    let spread = covariance(columns.clone()).unwrap_or_else(|| identity(steps.len()));
    let fits = readings
        .iter()
        .enumerate()
        .map(|(index, reading)| {
            let row: Vec<f64> = columns.iter().map(|column| column[index]).collect();
            let redundancy = (1.0 - quadratic(&spread, &row)).clamp(0.0, 1.0);
            let off = left[index];
            let is_off = redundancy > LEAST_REDUNDANCY && off.abs() > MOST_OFF * redundancy.sqrt();
            Fit {
                residual_px: off * reading.sigma_px,
                redundancy,
                repeat: problem.lines[index].is_none() || reading.is_apart() || is_off,
            }
        })
        .collect();
    let numbers = space.values(&steps);
    let values = space
        .priors
        .measures
        .iter()
        .enumerate()
        .map(|(index, &measure)| Value {
            measure,
            file: space.file[index],
            solved: numbers[index],
            sigma: space.scale[index] * spread[index][index].sqrt(),
            before: space.priors.sigma[index],
        })
        .collect();
    Estimate {
        steps,
        spread,
        values,
        chi2: dot(&left, &left),
        fits,
        rig: solved,
        space,
    }
}

fn identity(count: usize) -> Vec<Vec<f64>> {
    let row = |i| (0..count).map(|j| if i == j { 1.0 } else { 0.0 }).collect();
    (0..count).map(row).collect()
}

/// row · matrix · rowᵀ
pub(super) fn quadratic(matrix: &[Vec<f64>], row: &[f64]) -> f64 {
    matrix
        .iter()
        .zip(row)
        .map(|(line, x)| x * dot(line, row))
        .sum()
}

impl Estimate {
    /// Every number that may be otherwise than the file says, in the rig file's order.
    pub fn values(&self) -> &[Value] {
        &self.values
    }

    /// The covariance of the solved values, in their order and units.
    pub fn covariance(&self) -> Vec<Vec<f64>> {
        let scale = &self.space.scale;
        let row = |(i, row): (usize, &Vec<f64>)| {
            let entries = row.iter().zip(scale);
            entries
                .map(|(entry, other)| entry * scale[i] * other)
                .collect()
        };
        self.spread.iter().enumerate().map(row).collect()
    }

    /// The sum of squares that is least here: with sound readings and priors about as
    /// many as there are readings.
    pub fn chi2(&self) -> f64 {
        self.chi2
    }

    /// What is left of every reading, in their order.
    pub fn fits(&self) -> &[Fit] {
        &self.fits
    }

    /// The rig as it stands, likeliest.
    pub fn rig(&self) -> &Rig {
        &self.rig
    }

    /// Pairs of values that can be told only together: to know one would halve what
    /// the other is uncertain by, and neither is known well alone.
    pub fn together(&self) -> Vec<[Measure; 2]> {
        let count = self.values.len();
        let pairs = (0..count).flat_map(|i| (i + 1..count).map(move |j| (i, j)));
        let is_open = |i: usize| self.values[i].sigma > APART * self.values[i].before;
        pairs
            .filter(|&(i, j)| {
                let scale = (self.spread[i][i] * self.spread[j][j]).sqrt();
                let is_bound = self.spread[i][j].abs() > TOGETHER * scale;
                is_bound && is_open(i) && is_open(j)
            })
            .map(|(i, j)| [self.values[i].measure, self.values[j].measure])
            .collect()
    }
}
