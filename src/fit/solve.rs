//! Least squares of a few unknowns: Gauss-Newton steps, damped where they fail.

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
    let count = unknowns.len();

    for _ in 0..MAX_STEPS {
        if !cost.is_finite() || cost == 0.0 {
            break;
        }
        let columns: Vec<Vec<f64>> = (0..count)
            .map(|unknown| slope(&evaluate, &values, unknown))
            .collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let mut normal: Vec<Vec<f64>> = (columns.iter())
            .map(|a| columns.iter().map(|b| dot(a, b)).collect())
            .collect();
        let mut downhill: Vec<f64> = columns.iter().map(|column| -dot(column, &here)).collect();
        // What would leave its range from the border stays, so that the others'
        // steps don't count on it.
        for (i, unknown) in unknowns.iter().enumerate() {
            let leaves = (values[i] <= unknown.min && downhill[i] < 0.0)
                || (values[i] >= unknown.max && downhill[i] > 0.0);
            if leaves {
                downhill[i] = 0.0;
                for j in (0..count).filter(|&j| j != i) {
                    normal[i][j] = 0.0;
                    normal[j][i] = 0.0;
                }
            }
        }

        let mut moved = None;
        while damping < 1e12 {
            let trial: Option<Vec<f64>> = damped(&normal, &downhill, damping).map(|step| {
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

/// How the residuals change with one unknown.
fn slope(
    evaluate: &impl Fn(&[f64], &mut Vec<f64>) -> f64,
    values: &[f64],
    unknown: usize,
) -> Vec<f64> {
    let mut at = values.to_vec();
    let (mut ahead, mut behind) = (Vec::new(), Vec::new());
    at[unknown] = values[unknown] + DIFFERENCE;
    evaluate(&at, &mut ahead);
    at[unknown] = values[unknown] - DIFFERENCE;
    evaluate(&at, &mut behind);
    let slope = |(a, b): (&f64, &f64)| {
        let slope = (a - b) / (2.0 * DIFFERENCE);
        if slope.is_finite() { slope } else { 0.0 }
    };
    ahead.iter().zip(&behind).map(slope).collect()
}

/// Solves the damped normal equations by elimination with pivots.
fn damped(normal: &[Vec<f64>], downhill: &[f64], damping: f64) -> Option<Vec<f64>> {
    let count = downhill.len();
    let largest = (0..count).map(|i| normal[i][i]).fold(0.0, f64::max);
    let mut rows: Vec<Vec<f64>> = (0..count)
        .map(|i| {
            let mut row = normal[i].clone();
            // An unknown without effect stays where it is.
            row[i] += damping * row[i] + 1e-14 * largest + f64::MIN_POSITIVE;
            row.push(downhill[i]);
            row
        })
        .collect();
    for pivot in 0..count {
        let best = (pivot..count)
            .max_by(|&a, &b| rows[a][pivot].abs().total_cmp(&rows[b][pivot].abs()))?;
        rows.swap(pivot, best);
        let lead = rows[pivot].clone();
        for row in &mut rows[pivot + 1..] {
            let factor = row[pivot] / lead[pivot];
            for (entry, above) in row.iter_mut().zip(&lead).skip(pivot) {
                *entry -= factor * above;
            }
        }
    }
    let mut step = vec![0.0; count];
    for i in (0..count).rev() {
        let known: f64 = (i + 1..count).map(|j| rows[i][j] * step[j]).sum();
        step[i] = (rows[i][count] - known) / rows[i][i];
    }
    step.iter().all(|s| s.is_finite()).then_some(step)
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

    #[test]
    fn residuals_that_are_no_numbers_leave_the_start() {
        let residuals = |_: &[f64], out: &mut Vec<f64>| out.push(f64::NAN);
        let found = minimise(residuals, &[unknown(2.0)], PRECISE);
        assert_eq!(found.values, [2.0]);
        assert_eq!(found.cost, f64::INFINITY);
    }
}
