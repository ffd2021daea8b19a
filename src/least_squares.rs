//! Least squares of a few unknowns: Gauss-Newton steps, damped where they fail.
//!
//! Steps and covariances come from Householder's QR of the slopes themselves, not of
//! their products, which would square how nearly values go together.

mod triangle;

use triangle::Reduced;
pub(crate) use triangle::{Block, dot};

/// An unknown's range; a step that would leave it ends at its border.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Unknown {
    /// Where the search starts.
    pub start: f64,
    /// Least value.
    pub min: f64,
    /// Greatest value.
    pub max: f64,
}

/// Where the search ended.
#[derive(Debug, Clone)]
pub(crate) struct Solution {
    /// One value for each unknown.
    pub values: Vec<f64>,
    /// Sum of the squared residuals.
    pub cost: f64,
}

/// For the last digit of an answer, and for a rough one.
pub(crate) const PRECISE: f64 = 1e-14;
pub(crate) const ROUGH: f64 = 1e-5;

const MAX_STEPS: usize = 80;
/// Step of the central differences; unknowns are scaled to about one.
const DIFFERENCE: f64 = 1e-6;
/// A step shorter than this ends the search.
const SHORT: f64 = 1e-13;

/// Seeks the values whose residuals have the least sum of squares.
///
/// `residuals` fills the vector it gets, which it finds empty; the number of
/// residuals must not depend on the values. Residuals that are not finite count
/// as infinitely bad, and the answer is never worse than the start. The search
/// ends once a step lowers the sum by no more than the share `enough` of it.
pub(crate) fn minimise(
    residuals: impl Fn(&[f64], &mut Vec<f64>),
    unknowns: &[Unknown],
    enough: f64,
) -> Solution {
    let blocks = |values: &[f64]| vec![Block::whole(slopes(&residuals, values))];
    minimise_in_blocks(&residuals, blocks, unknowns, enough)
}

/// The same with slopes of the caller's own, at the values that it is given: blocks
/// that hold all residuals in their order. Where many unknowns each move few residuals,
/// turning each block to a triangle first saves most of the work.
pub(crate) fn minimise_in_blocks(
    residuals: impl Fn(&[f64], &mut Vec<f64>),
    blocks: impl Fn(&[f64]) -> Vec<Block>,
    unknowns: &[Unknown],
    enough: f64,
) -> Solution {
    let evaluate = |values: &[f64], into: &mut Vec<f64>| {
        into.clear();
        residuals(values, into);
        let cost: f64 = into.iter().map(|r| r * r).sum();
        if cost.is_finite() {
            cost
        } else {
            f64::INFINITY
        }
    };
    let mut values: Vec<f64> = unknowns
        .iter()
        .map(|unknown| unknown.start.clamp(unknown.min, unknown.max))
        .collect();
    let mut here = Vec::new();
    let mut cost = evaluate(&values, &mut here);
    let mut damping = 1e-4;
    let mut there = Vec::new();

    for _ in 0..MAX_STEPS {
        if !cost.is_finite() || cost == 0.0 {
            break;
        }
        let mut blocks = blocks(&values);
        let ahead: Vec<f64> = here.iter().map(|residual| -residual).collect();
        let mut downhill = vec![0.0; values.len()];
        let mut rest = ahead.as_slice();
        for block in &blocks {
            let (own, others) = rest.split_at(block.rows());
            for (unknown, column) in block.unknowns.iter().zip(&block.columns) {
                downhill[*unknown] += dot(column, own);
            }
            rest = others;
        }
        // What would leave its range from the border stays, so that the others'
        // steps don't count on it.
        for block in &mut blocks {
            for (&i, column) in block.unknowns.iter().zip(&mut block.columns) {
                let leaves = (values[i] <= unknowns[i].min && downhill[i] < 0.0)
                    || (values[i] >= unknowns[i].max && downhill[i] > 0.0);
                if leaves {
                    column.fill(0.0);
                }
            }
        }
        let reduced = Reduced::of_blocks(blocks, ahead, values.len());

        let mut moved = None;
        while damping < 1e12 {
            let trial: Option<Vec<f64>> = reduced.step(damping).map(|step| {
                let pairs = values.iter().zip(step).zip(unknowns);
                pairs
                    .map(|((value, step), unknown)| (value + step).clamp(unknown.min, unknown.max))
                    .collect()
            });
            if let Some(trial) = trial {
                let trial_cost = evaluate(&trial, &mut there);
                let way = (values.iter().zip(&trial))
                    .map(|(from, to)| (to - from).abs())
                    .fold(0.0, f64::max);
                if trial_cost < cost {
                    moved = Some((trial, trial_cost, way));
                    damping = (damping / 8.0).max(1e-14);
                    break;
                }
                if way < SHORT {
                    break;
                }
            }
            damping *= 6.0;
        }
        let Some((trial, trial_cost, way)) = moved else {
            break;
        };
        let gain = cost - trial_cost;
        std::mem::swap(&mut here, &mut there);
        values = trial;
        cost = trial_cost;
        if way < SHORT || gain <= enough * cost {
            break;
        }
    }
    Solution { values, cost }
}

/// How the residuals change with each unknown, scaled to about one: a column each.
/// What is not finite counts as no change.
pub(crate) fn slopes(residuals: impl Fn(&[f64], &mut Vec<f64>), values: &[f64]) -> Vec<Vec<f64>> {
    let (mut ahead, mut behind) = (Vec::new(), Vec::new());
    let mut at = values.to_vec();
    let column = |unknown: usize| {
        ahead.clear();
        behind.clear();
        at[unknown] = values[unknown] + DIFFERENCE;
        residuals(&at, &mut ahead);
        at[unknown] = values[unknown] - DIFFERENCE;
        residuals(&at, &mut behind);
        at[unknown] = values[unknown];
        let slope = |(a, b): (&f64, &f64)| {
            let slope = (a - b) / (2.0 * DIFFERENCE);
            if slope.is_finite() { slope } else { 0.0 }
        };
        ahead.iter().zip(&behind).map(slope).collect()
    };
    (0..values.len()).map(column).collect()
}

/// The step that minimises |columns · step − right|² + |weight · step − pull|²,
/// with `weight` above 0; `None` where there is none in finite numbers.
pub(crate) fn held_back(
    mut columns: Vec<Vec<f64>>,
    mut right: Vec<f64>,
    weight: f64,
    pull: &[f64],
) -> Option<Vec<f64>> {
    let count = columns.len();
    for (i, column) in columns.iter_mut().enumerate() {
        column.extend((0..count).map(|j| if i == j { weight } else { 0.0 }));
    }
    right.extend_from_slice(pull);
    Reduced::new(columns, right).solved()
}

/// (JᵀJ)⁻¹ of the slopes' columns; `None` where they leave some value open.
pub(crate) fn covariance(columns: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let count = columns.len();
    covariance_of_blocks(vec![Block::whole(columns)], count)
}

/// The same of `count` unknowns' slopes in blocks.
pub(crate) fn covariance_of_blocks(blocks: Vec<Block>, count: usize) -> Option<Vec<Vec<f64>>> {
    let reduced = Reduced::of_blocks(blocks, Vec::new(), count);
    // R⁻¹ R⁻ᵀ, by the columns of R⁻ᵀ.
    let inverse = lower_inverse(count, |i, j| reduced.upper[i][j]);
    let column = |i: usize| -> Vec<f64> { inverse.iter().map(|row| row[i]).collect() };
    let columns: Vec<Vec<f64>> = (0..count).map(column).collect();
    let product = |a: &Vec<f64>| columns.iter().map(|b| dot(a, b)).collect();
    let found: Vec<Vec<f64>> = columns.iter().map(product).collect();
    let is_finite = found.iter().flatten().all(|entry: &f64| entry.is_finite());
    is_finite.then_some(found)
}

/// The inverse, by rows, of a lower triangle with these entries.
fn lower_inverse(count: usize, entry: impl Fn(usize, usize) -> f64) -> Vec<Vec<f64>> {
    let mut inverse: Vec<Vec<f64>> = Vec::with_capacity(count);
    for i in 0..count {
        let mut row = vec![0.0; count];
        row[i] = 1.0;
        for (j, above) in inverse.iter().enumerate() {
            let factor = entry(i, j);
            for (entry, above) in row.iter_mut().zip(above) {
                *entry -= factor * above;
            }
        }
        let lead = entry(i, i);
        row.iter_mut().for_each(|entry| *entry /= lead);
        inverse.push(row);
    }
    inverse
}

/// W with WᵀW = covariance⁻¹, lower triangular by rows, so that W · error has the
/// covariance 1; `None` for what is no covariance. Scaled, and lifted by a billionth,
/// so that values that go together exactly have one too.
pub(crate) fn whitening(covariance: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    const LIFT: f64 = 1e-9;
    let count = covariance.len();
    let sigma: Vec<f64> = (0..count).map(|i| covariance[i][i].sqrt()).collect();
    if !sigma.iter().all(|sigma| sigma.is_finite() && *sigma > 0.0) {
        return None;
    }
    let mut factor = vec![vec![0.0; count]; count];
    for i in 0..count {
        for j in 0..=i {
            let known: f64 = dot(&factor[i][..j], &factor[j][..j]);
            let scaled = covariance[i][j] / (sigma[i] * sigma[j]);
            let left = if i == j { 1.0 + LIFT } else { scaled } - known;
            factor[i][j] = if i == j {
                left.sqrt()
            } else {
                left / factor[j][j]
            };
            if !factor[i][j].is_finite() || (i == j && factor[i][j] == 0.0) {
                return None;
            }
        }
    }
    let mut inverse = lower_inverse(count, |i, j| factor[i][j]);
    for row in &mut inverse {
        for (entry, sigma) in row.iter_mut().zip(&sigma) {
            *entry /= sigma;
        }
    }
    Some(inverse)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unknown(start: f64) -> Unknown {
        Unknown {
            start,
            min: -10.0,
            max: 10.0,
        }
    }

    /// Rosenbrock's valley, a common test of such searches: least at (1, 1).
    #[test]
    fn a_bent_valley_is_followed_to_its_floor() {
        let valley = |v: &[f64], out: &mut Vec<f64>| {
            out.extend([10.0 * (v[1] - v[0] * v[0]), 1.0 - v[0]]);
        };
        let found = minimise(valley, &[unknown(-1.2), unknown(1.0)], PRECISE);
        assert!((found.values[0] - 1.0).abs() < 1e-9, "{found:?}");
        assert!((found.values[1] - 1.0).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn an_unknown_without_effect_stays_and_borders_hold() {
        let residuals = |v: &[f64], out: &mut Vec<f64>| out.extend([v[0] - 30.0, 1.0]);
        let found = minimise(residuals, &[unknown(0.0), unknown(3.5)], PRECISE);
        assert_eq!(found.values, [10.0, 3.5]);
    }

    #[test]
    fn at_a_border_the_others_still_find_their_best() {
        // Least, without borders, at (30, -20) along a narrow slanting valley.
        let valley = |v: &[f64], out: &mut Vec<f64>| {
            out.extend([
                10.0 * (v[0] + v[1] - 10.0),
                v[0] - 30.0,
                0.1 * (v[1] + 20.0),
            ]);
        };
        let found = minimise(valley, &[unknown(0.0), unknown(3.5)], PRECISE);
        assert_eq!(found.values[0], 10.0);
        // With the first at 10: 100 v + 0.01 (v + 20) = 0.
        assert!((found.values[1] + 0.2 / 100.01).abs() < 1e-9, "{found:?}");
    }

    /// Two values of which the sum is known well and the difference hardly: squared,
    /// the second would drown.
    #[test]
    fn what_nearly_goes_together_keeps_its_covariance() {
        let tiny = 1e-9;
        let columns = vec![vec![1.0, 1.0, 0.0], vec![1.0, 1.0 + tiny, 0.0]];
        let found = covariance(columns).expect("not quite together");
        // (JᵀJ)⁻¹ = [[b², -ab], [-ab, a²]] / tiny²
        let expected = [[2.0, -2.0], [-2.0, 2.0]].map(|row| row.map(|x| x / tiny / tiny));
        for (found, expected) in found.iter().flatten().zip(expected.iter().flatten()) {
            assert!((found / expected - 1.0).abs() < 1e-6, "{found} {expected}");
        }
        assert_eq!(covariance(vec![vec![1.0], vec![1.0]]), None);
    }

    #[test]
    fn whitened_errors_have_the_covariance_one() {
        let covariance = [
            vec![4.0, 2.7, 0.1],
            vec![2.7, 2.0, 0.0],
            vec![0.1, 0.0, 9.0],
        ];
        let white = whitening(&covariance).expect("it is one");
        for i in 0..3 {
            for j in 0..3 {
                let turned = |row: &Vec<f64>, k: usize| dot(row, &covariance[k]);
                let all: Vec<f64> = (0..3).map(|k| turned(&white[i], k)).collect();
                let unit = if i == j { 1.0 } else { 0.0 };
                assert!((dot(&all, &white[j]) - unit).abs() < 1e-6, "{i} {j}");
            }
        }
        assert_eq!(whitening(&[vec![1.0, 2.0], vec![2.0, 1.0]]), None);
        assert!(whitening(&[vec![1.0, 1.0], vec![1.0, 1.0]]).is_some());
    }

    #[test]
    fn a_held_back_step_balances_both_sides() {
        // |2 s − 6|² + |s − 1|²: least where 4 s − 12 + s − 1 = 0.
        let step = held_back(vec![vec![2.0]], vec![6.0], 1.0, &[1.0]).expect("finite");
        assert!((step[0] - 13.0 / 5.0).abs() < 1e-14, "{step:?}");
    }

    #[test]
    fn residuals_that_are_no_numbers_leave_the_start() {
        let residuals = |_: &[f64], out: &mut Vec<f64>| out.push(f64::NAN);
        let found = minimise(residuals, &[unknown(2.0)], PRECISE);
        assert_eq!(found.values, [2.0]);
        assert_eq!(found.cost, f64::INFINITY);
    }
}
