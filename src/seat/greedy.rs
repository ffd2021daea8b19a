//! Which few values explain what is seen: a greedy search.
//!
//! The cost of a choice of values is the sum of the squares of what stays
//! unexplained, in 1σ of the readings' noise, and of the squares of the changes,
//! in 1σ of what each value is usually off by. The value that lowers the cost most
//! is added, one after the other, until the next one would gain too little; so that
//! a bad start leads nowhere, it is also added to the runners-up. All chosen values
//! are fitted together, by damped Gauss-Newton steps, and one chosen early gives way
//! where another explains more beside those that came later.

use rayon::prelude::*;

use crate::least_squares::{dot, held_back};

/// Least gain of a further value: less than this comes by chance.
pub const LEAST_GAIN: f64 = 12.0;
/// Values fitted in full, of those that promise most by a linear fit.
const FINALISTS: usize = 8;
/// Choices that the next value is added to: the one that costs least, and runners-up.
const BRANCHES: usize = 4;
const ROUNDS: usize = 30;
const HALVINGS: i32 = 10;
/// Gains below this part of the cost are the arithmetic's.
const NO_GAIN: f64 = 1e-9;

/// A value that differs, by its number, and by how much, in 1σ of what it is
/// usually off by.
pub type Change = (usize, f64);

/// What is to be explained by values that differ.
pub trait Residuals: Sync {
    /// How many values there are; they are numbered from 0.
    fn values(&self) -> usize;

    /// What stays unexplained of every reading with these changes, in 1σ of its
    /// noise; `None` where the values can't be such.
    fn left(&self, changes: &[Change]) -> Option<Vec<f64>>;

    /// What a value explains of every reading per unit of change, beside these
    /// changes, in 1σ of its noise; `None` where the values can't be such.
    fn column(&self, changes: &[Change], value: usize) -> Option<Vec<f64>>;
}

/// Values that differ, fitted together.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// By how much each differs, in the order they were found in.
    pub changes: Vec<Change>,
    /// What stays unexplained, and how unusual the changes are.
    pub cost: f64,
    /// Sum of the squares of what stays unexplained alone.
    pub unexplained: f64,
}

impl Explanation {
    /// The cost of these changes as they are.
    fn of(problem: &impl Residuals, changes: Vec<Change>) -> Option<(Explanation, Vec<f64>)> {
        let left = problem.left(&changes)?;
        let unexplained = dot(&left, &left);
        let unusual: f64 = changes.iter().map(|(_, by)| by * by).sum();
        let cost = unexplained + unusual;
        let explanation = Explanation {
            changes,
            cost,
            unexplained,
        };
        cost.is_finite().then_some((explanation, left))
    }
}

/// The explanations of none, one, two and up to `most` values, each of which gains
/// at least [`LEAST_GAIN`] on the one before. Empty where the readings can't be
/// had of the values as they are.
pub fn explanations(problem: &impl Residuals, most: usize) -> Vec<Explanation> {
    let mut found = Vec::new();
    let mut branches: Vec<Explanation> = Explanation::of(problem, Vec::new())
        .map(|(none, _)| none)
        .into_iter()
        .collect();
    while let Some(best) = branches.first().cloned() {
        let best = exchanged(problem, best);
        let is_worth_it = |last: &Explanation| last.cost - best.cost >= LEAST_GAIN;
        if !found.last().is_none_or(is_worth_it) {
            break;
        }
        let may_go_on = best.changes.len() < most && best.cost >= LEAST_GAIN;
        branches[0] = best.clone();
        found.push(best);
        if !may_go_on {
            break;
        }
        let grown = branches
            .iter()
            .flat_map(|b| grown(problem, &b.changes, None));
        branches = cheapest(grown.collect());
    }
    found
}

/// The few that cost least, the best one first.
fn cheapest(mut explanations: Vec<Explanation>) -> Vec<Explanation> {
    explanations.sort_by(|one, other| one.cost.total_cmp(&other.cost));
    explanations.truncate(BRANCHES);
    explanations
}

/// These changes and one more, but for a barred one: those that promise most.
fn grown(problem: &impl Residuals, changes: &[Change], barred: Option<usize>) -> Vec<Explanation> {
    let columns = changes
        .iter()
        .map(|(value, _)| problem.column(changes, *value));
    let (Some(left), Some(known)) = (problem.left(changes), columns.collect()) else {
        return Vec::new();
    };
    let known = orthogonal(known);
    let is_open =
        |value: &usize| Some(*value) != barred && changes.iter().all(|(known, _)| known != value);
    let mut promising: Vec<(usize, f64)> = (0..problem.values())
        .into_par_iter()
        .filter(is_open)
        .filter_map(|value| {
            let column = without(problem.column(changes, value)?, &known);
            let along = dot(&column, &left);
            let gain = along * along / (dot(&column, &column) + 1.0);
            gain.is_finite().then_some((value, gain))
        })
        .collect();
    promising.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    promising.truncate(FINALISTS);
    promising
        .into_par_iter()
        .filter_map(|(value, _)| {
            let mut changes = changes.to_vec();
            changes.push((value, 0.0));
            fitted(problem, changes)
        })
        .collect()
}

/// The explanation after every value that another explains more than was replaced.
fn exchanged(problem: &impl Residuals, mut best: Explanation) -> Explanation {
    while best.changes.len() > 1 {
        let better = (0..best.changes.len()).find_map(|place| {
            let mut others = best.changes.clone();
            let (value, _) = others.remove(place);
            let others = fitted(problem, others)?;
            let tried = cheapest(grown(problem, &others.changes, Some(value)));
            let tried = tried.into_iter().next()?;
            (tried.cost < best.cost * (1.0 - NO_GAIN)).then_some(tried)
        });
        match better {
            Some(better) => best = better,
            None => break,
        }
    }
    best
}

/// The sizes of these changes that cost least together; `None` where the values
/// can't be such to begin with.
pub fn fitted(problem: &impl Residuals, changes: Vec<Change>) -> Option<Explanation> {
    let (mut best, mut left) = Explanation::of(problem, changes)?;
    for _ in 0..ROUNDS {
        let columns = best
            .changes
            .iter()
            .map(|(value, _)| problem.column(&best.changes, *value));
        // At the border of what the values can be there may be no columns.
        let columns: Option<Vec<Vec<f64>>> = columns.collect();
        let pull: Vec<f64> = best.changes.iter().map(|(_, by)| -by).collect();
        let step = columns.and_then(|columns| held_back(columns, left.clone(), 1.0, &pull));
        let Some(step) = step else {
            break;
        };
        let better = (0..HALVINGS).find_map(|halvings| {
            let part = 0.5_f64.powi(halvings);
            let pairs = best.changes.iter().zip(&step);
            let changes = pairs.map(|((value, by), step)| (*value, by + part * step));
            let tried = Explanation::of(problem, changes.collect())?;
            (tried.0.cost < best.cost).then_some(tried)
        });
        let Some((next, next_left)) = better else {
            break;
        };
        let gain = best.cost - next.cost;
        (best, left) = (next, next_left);
        if gain < NO_GAIN * best.cost {
            break;
        }
    }
    Some(best)
}

/// Columns of length one at right angles that span the same.
fn orthogonal(columns: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let mut done: Vec<Vec<f64>> = Vec::with_capacity(columns.len());
    for column in columns {
        let mut column = without(column, &done);
        let length = dot(&column, &column).sqrt();
        if length > 0.0 {
            column.iter_mut().for_each(|value| *value /= length);
            done.push(column);
        }
    }
    done
}

/// A column without its parts along others of length one.
fn without(mut column: Vec<f64>, others: &[Vec<f64>]) -> Vec<f64> {
    for other in others {
        let along = dot(&column, other);
        for (value, other) in column.iter_mut().zip(other) {
            *value -= along * other;
        }
    }
    column
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Readings that are sums of columns.
    struct Linear {
        columns: Vec<Vec<f64>>,
        seen: Vec<f64>,
        /// No value can differ by more.
        most: f64,
    }

    impl Residuals for Linear {
        fn values(&self) -> usize {
            self.columns.len()
        }

        fn left(&self, changes: &[Change]) -> Option<Vec<f64>> {
            if changes.iter().any(|(_, by)| by.abs() > self.most) {
                return None;
            }
            let mut left = self.seen.clone();
            for (value, by) in changes {
                for (left, column) in left.iter_mut().zip(&self.columns[*value]) {
                    *left -= by * column;
                }
            }
            Some(left)
        }

        fn column(&self, changes: &[Change], value: usize) -> Option<Vec<f64>> {
            let is_inside = changes.iter().all(|(_, by)| by.abs() < self.most);
            is_inside.then(|| self.columns[value].clone())
        }
    }

    fn linear(columns: &[&[f64]], truth: &[Change]) -> Linear {
        let mut problem = Linear {
            columns: columns.iter().map(|column| column.to_vec()).collect(),
            seen: vec![0.0; columns[0].len()],
            most: f64::INFINITY,
        };
        let below = problem.left(truth).expect("any values will do");
        problem.seen = below.into_iter().map(|value| -value).collect();
        problem
    }

    fn values(explanation: &Explanation) -> Vec<usize> {
        let mut values: Vec<_> = explanation.changes.iter().map(|(v, _)| *v).collect();
        values.sort_unstable();
        values
    }

    #[test]
    fn the_fewest_values_that_explain_enough_are_found() {
        let columns: [&[f64]; 3] = [
            &[100.0, 0.0, 0.0, 10.0],
            &[0.0, 100.0, 0.0, 10.0],
            &[0.0, 0.0, 100.0, 10.0],
        ];
        let found = explanations(&linear(&columns, &[]), 3);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].cost, 0.0);
        let found = explanations(&linear(&columns, &[(2, 0.5)]), 3);
        assert_eq!(values(found.last().expect("none and one")), [2]);
        // 100 · 0.03 is 3 in 1σ: the square of it is less than a value must gain.
        let found = explanations(&linear(&columns, &[(2, 0.5), (0, -0.03)]), 3);
        assert_eq!(values(found.last().expect("none and one")), [2]);
        let found = explanations(&linear(&columns, &[(2, 0.5), (0, -0.3)]), 3);
        assert_eq!(values(found.last().expect("none to two")), [0, 2]);
        let [(_, first), (_, second)] = found[2].changes[..] else {
            panic!("{found:?}");
        };
        assert!((first - 0.5).abs() < 0.001 && (second + 0.3).abs() < 0.001);
        let found = explanations(&linear(&columns, &[(2, 0.5), (0, -0.3)]), 1);
        assert_eq!(values(found.last().expect("none and one")), [2]);
    }

    /// A value that is a little like two others explains most alone, and nothing
    /// once both are known.
    #[test]
    fn one_that_explained_most_alone_gives_way_to_two() {
        let columns: [&[f64]; 3] = [
            &[100.0, 0.0, 20.0, 0.0],
            &[0.0, 100.0, 0.0, 20.0],
            &[90.0, 80.0, 0.0, 1.0],
        ];
        let found = explanations(&linear(&columns, &[(0, 1.0), (1, 1.0)]), 2);
        assert_eq!(values(&found[1]), [2]);
        assert_eq!(values(&found[2]), [0, 1]);
    }

    #[test]
    fn a_fit_ends_at_the_border_of_what_can_be() {
        let mut problem = linear(&[&[100.0, 50.0]], &[(0, 2.0)]);
        problem.most = 1.0;
        let (_, by) = fitted(&problem, vec![(0, 0.0)]).expect("0 can be").changes[0];
        assert!((by - 1.0).abs() < 0.001, "{by}");
        assert_eq!(fitted(&problem, vec![(0, 1.5)]), None);
    }

    /// Of two values that explain the same, the one is taken that is off less
    /// unusually.
    #[test]
    fn of_equal_values_the_likelier_is_taken() {
        let columns: [&[f64]; 2] = [&[1.0, 2.0], &[4.0, 8.0]];
        let found = explanations(&linear(&columns, &[(0, 12.0)]), 1);
        assert_eq!(values(&found[1]), [1]);
    }
}
