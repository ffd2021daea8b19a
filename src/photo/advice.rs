//! What to do about a rig that photographs show to stand otherwise than its file says.

use super::measurement::Measurement;
use crate::rig::Rig;
use crate::seat::{Change, Residuals};
use crate::solve::{Move, Value, by_hand, explaining, in_order};

/// Measured numbers, each to be explained by moves to as well as hands set it.
struct Stands<'a> {
    values: Vec<&'a Value>,
}

impl Stands<'_> {
    /// What a number is uncertain by, as measured and as hands set it.
    fn sigma(&self, value: usize) -> f64 {
        let found = self.values[value];
        found.sigma.hypot(by_hand(found.measure))
    }
}

impl Residuals for Stands<'_> {
    fn values(&self) -> usize {
        self.values.len()
    }

    fn left(&self, changes: &[Change]) -> Option<Vec<f64>> {
        let mut left: Vec<f64> = self.values.iter().map(|value| value.change()).collect();
        for &(value, by) in changes {
            left[value] -= by * self.values[value].before;
        }
        let all = left.iter().enumerate();
        Some(all.map(|(value, left)| left / self.sigma(value)).collect())
    }

    fn column(&self, _: &[Change], value: usize) -> Option<Vec<f64>> {
        let mut column = vec![0.0; self.values.len()];
        column[value] = self.values[value].before / self.sigma(value);
        Some(column)
    }
}

/// The fewest moves that put the rig, seat and panels, as its file says, to as well as
/// hands do; empty where a file with the measured numbers serves better.
pub fn moves(rig: &Rig, measurement: &Measurement) -> Vec<Move> {
    let movable = measurement.values().iter().filter(|value| {
        value.is_determined() && Move::back(value.measure, rig.parts(), value.change()).is_some()
    });
    let stands = Stands {
        values: movable.collect(),
    };
    let named: Vec<_> = (stands.values.iter())
        .map(|value| (value.measure, value.before))
        .collect();
    explaining(rig.parts(), &stands, &named, named.len())
}

/// One sentence a step, in the order to take them. `names` are the photographs'; `how`
/// says how the file is corrected: "with --out".
pub fn steps(rig: &Rig, measurement: &Measurement, names: &[String], how: &str) -> Vec<String> {
    let wanted = measurement.seams().iter();
    let wanted = wanted.filter_map(|seam| seam.words(names, rig.parts()));
    let moves = moves(rig, measurement);
    wanted
        .chain(in_order(&moves, how, "photograph it again"))
        .collect()
}
