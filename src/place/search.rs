//! From where the searches start.

use rayon::prelude::*;

use super::lever::Lever;
use super::task::{Answer, Setting, Task};
use crate::fit::{Nodes, Typed};
use crate::least_squares::{PRECISE, ROUGH};

/// Nodes along a side of a piece for a first look, and for an answer.
const COARSE: usize = 4;
const FINE: usize = 8;

impl Task<'_> {
    /// The best without moving anything: the numbers, and the window where it is free. By a
    /// grid, then refined.
    pub(crate) fn unmoved(&self) -> Answer {
        let coarse = Nodes::new(COARSE);
        let [widths, lefts] = match &self.setting {
            Setting::Views { .. } => [1, 1],
            Setting::Window { cuts, .. } => {
                let [is_width_free, is_left_free] = cuts.free();
                let many = if cuts.are_anywhere() { 5 } else { 3 };
                [
                    if is_width_free { 9 } else { 1 },
                    if is_left_free { many } else { 1 },
                ]
            }
        };
        // The widest alone, and the middle alone.
        let share = |n: u32, of: u32, alone: f64| {
            if of > 1 {
                f64::from(n) / f64::from(of - 1)
            } else {
                alone
            }
        };
        let grid: Vec<[f64; 2]> = (0..widths)
            .flat_map(|w| (0..lefts).map(move |l| (w, l)))
            .map(|(w, l)| [share(w, widths, 1.0), share(l, lefts, 0.5)])
            .collect();
        let mut found: Vec<Answer> = (grid.par_iter())
            .flat_map_iter(|&window| self.with_numbers(&self.beginning(window), &coarse))
            .collect();
        found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        found.truncate(4);
        self.refined(&found, &[])
    }

    /// The best numbers from several starts, all else held.
    fn with_numbers(&self, start: &Answer, nodes: &Nodes) -> Vec<Answer> {
        const ANGLES_DEG: [f64; 3] = [10.0, 30.0, 55.0];
        let mut starts = vec![start.clone()];
        if self.free.has(Typed::Angle) {
            starts.extend(ANGLES_DEG.map(|angle| {
                let mut other = start.clone();
                other.model.flat.angle_rad = f64::to_radians(angle);
                other
            }));
        }
        let mut found: Vec<Answer> = (starts.iter())
            .map(|start| self.search(start, &[], false, nodes, ROUGH))
            .collect();
        found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        found.truncate(2);
        found
    }

    /// A first look at what moving some levers brings.
    pub(crate) fn look(&self, levers: &[Lever], from: &[Answer]) -> Answer {
        let coarse = Nodes::new(COARSE);
        let found = self.starts(levers, from).into_iter();
        let found = found.map(|start| self.search(&start, levers, true, &coarse, ROUGH));
        found
            .min_by(|a, b| a.cost.total_cmp(&b.cost))
            .unwrap_or_else(|| self.beginning([1.0, 0.5]))
    }

    /// What is given, and the same with each lever elsewhere in its range.
    fn starts(&self, levers: &[Lever], from: &[Answer]) -> Vec<Answer> {
        let mut starts = from.to_vec();
        let Some(first) = from.first() else {
            return starts;
        };
        let at = |share: f64, shares: &dyn Fn(usize) -> f64| {
            let mut start = first.clone();
            start.moved.retain(|(lever, _)| !levers.contains(lever));
            for (index, &lever) in levers.iter().enumerate() {
                let now = first.get(lever, self.parts);
                let [least, most] = lever.bounds_from(lever.get(self.parts));
                let end = least + (most - least) * shares(index);
                start.moved.push((lever, now + (end - now) * share));
            }
            start
        };
        // Towards either end together, and towards ends that alternate.
        let shares: &[f64] = if levers.len() > 1 {
            &[0.5]
        } else {
            &[0.35, 0.7]
        };
        for &share in shares {
            starts.push(at(share, &|_| 0.0));
            starts.push(at(share, &|_| 1.0));
        }
        if levers.len() > 1 {
            starts.push(at(0.4, &|n| (n % 2) as f64));
            starts.push(at(0.4, &|n| ((n + 1) % 2) as f64));
        }
        starts
    }

    /// For two levers at most, every mix of where each is and somewhere towards either of
    /// its ends: what they do for each other has several valleys.
    fn mixed(&self, levers: &[Lever], from: &[Answer]) -> Vec<Answer> {
        const SHARES: [f64; 3] = [-0.5, 0.0, 0.5];
        let mut starts = self.starts(levers, from);
        let (Some(first), [one, other]) = (from.first(), levers) else {
            return starts;
        };
        let place = |lever: Lever, share: f64| {
            let now = first.get(lever, self.parts);
            let [least, most] = lever.bounds_from(lever.get(self.parts));
            let end = if share < 0.0 { least } else { most };
            (lever, now + (end - now) * share.abs())
        };
        for one_share in SHARES {
            for other_share in SHARES {
                let mut start = first.clone();
                start.moved.retain(|(lever, _)| !levers.contains(lever));
                start.moved.push(place(*one, one_share));
                start.moved.push(place(*other, other_share));
                starts.push(start);
            }
        }
        starts
    }

    /// The best of some answers, each followed to its end.
    pub(crate) fn refined(&self, found: &[Answer], levers: &[Lever]) -> Answer {
        let fine = Nodes::new(FINE);
        let ends: Vec<Answer> = (found.par_iter())
            .map(|start| self.search(start, levers, true, &fine, PRECISE))
            .collect();
        let best = ends.into_iter().min_by(|a, b| a.cost.total_cmp(&b.cost));
        let best = best.unwrap_or_else(|| self.beginning([1.0, 0.5]));
        // Along a limit the search may tire before the end.
        let again = self.search(&best, levers, true, &fine, PRECISE);
        if again.cost < best.cost { again } else { best }
    }

    /// The best with some levers, no worse than any of what is given.
    pub(crate) fn moved(&self, levers: &[Lever], from: &[Answer]) -> Answer {
        let coarse = Nodes::new(COARSE);
        let mut found: Vec<Answer> = (self.mixed(levers, from).par_iter())
            .map(|start| {
                // The numbers of where it starts, which are cheap.
                let start = self.search(start, &[], false, &coarse, ROUGH);
                self.search(&start, levers, true, &coarse, ROUGH)
            })
            .collect();
        found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        found.truncate(4);
        // What is given may be better than it looks.
        found.extend_from_slice(from);
        self.refined(&found, levers)
    }
}
