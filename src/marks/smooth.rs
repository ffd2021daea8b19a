//! Whether corners lie where those around them say.

use std::collections::HashMap;

use glam::DVec2;

use super::refine::Refined;

/// How far around a corner, in cells, others speak for it.
const REACH: i32 = 2;
/// Fewest others that can.
const LEAST: usize = 8;
/// How far off a corner may be: so many sigmas, its own and those of the others, and in
/// pixels whatever the sigmas.
const SIGMAS: f64 = 5.0;
const OFF_PX: f64 = 0.25;

/// A panel's corners by their places in its field.
pub(super) type Corners = HashMap<[i32; 2], Refined>;

/// Leaves out corners that lie elsewhere than a smooth surface through those around them,
/// the worst first, and those that have too few around them to tell.
pub(super) fn keep_smooth(corners: &mut Corners) {
    loop {
        let mut off: Vec<([i32; 2], f64)> = corners
            .iter()
            .filter_map(|(place, corner)| {
                let over = match expected(corners, *place) {
                    Some(expected) => {
                        let most = OFF_PX.max(SIGMAS * corner.sigma_px);
                        expected.distance(corner.at) / most
                    }
                    None => f64::INFINITY,
                };
                (over > 1.0).then_some((*place, over))
            })
            .collect();
        if off.is_empty() {
            return;
        }
        // Its neighbours may only seem to be off for its sake.
        off.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let mut gone: Vec<[i32; 2]> = Vec::new();
        for (place, _) in off {
            let is_near =
                |other: &[i32; 2]| (0..2).all(|axis| (other[axis] - place[axis]).abs() <= REACH);
            if !gone.iter().any(is_near) {
                gone.push(place);
            }
        }
        for place in gone {
            corners.remove(&place);
        }
    }
}

/// Where a corner should lie, by those around it: on a quadratic surface.
pub(super) fn expected(corners: &Corners, [i, j]: [i32; 2]) -> Option<DVec2> {
    let mut sums = Sums::default();
    for y in -REACH..=REACH {
        for x in -REACH..=REACH {
            if [x, y] == [0, 0] {
                continue;
            }
            if let Some(corner) = corners.get(&[i + x, j + y]) {
                sums.add([f64::from(x), f64::from(y)], corner.at);
            }
        }
    }
    (sums.count >= LEAST).then(|| sums.at_middle()).flatten()
}

/// Sums of a least-squares fit of six terms.
#[derive(Default)]
struct Sums {
    count: usize,
    normal: [[f64; 6]; 6],
    right: [[f64; 2]; 6],
}

impl Sums {
    fn add(&mut self, [x, y]: [f64; 2], at: DVec2) {
        let terms = [1.0, x, y, x * x, x * y, y * y];
        // The nearer, the more it says.
        let weight = 1.0 / (x * x + y * y);
        for (row, a) in terms.into_iter().enumerate() {
            for (column, b) in terms.into_iter().enumerate() {
                self.normal[row][column] += weight * a * b;
            }
            self.right[row][0] += weight * a * at.x;
            self.right[row][1] += weight * a * at.y;
        }
        self.count += 1;
    }

    /// The surface's value in the middle; `None` where what is known leaves it open.
    fn at_middle(mut self) -> Option<DVec2> {
        // Gauss's elimination with the largest pivots.
        for column in (0..6).rev() {
            let pivot = (0..=column).max_by(|a, b| {
                let size = |row: &usize| self.normal[*row][column].abs();
                size(a).total_cmp(&size(b))
            })?;
            self.normal.swap(pivot, column);
            self.right.swap(pivot, column);
            let top = self.normal[column][column];
            if top.abs() < 1e-6 {
                return None;
            }
            for row in 0..column {
                let share = self.normal[row][column] / top;
                for at in 0..=column {
                    self.normal[row][at] -= share * self.normal[column][at];
                }
                for axis in 0..2 {
                    self.right[row][axis] -= share * self.right[column][axis];
                }
            }
        }
        let [x, y] = self.right[0].map(|sum| sum / self.normal[0][0]);
        Some(DVec2::new(x, y))
    }
}
