//! Householder's QR: slopes turned to a triangle, block by block.

use rayon::prelude::*;

/// Residuals that stand one after the other, and how they change with some of the
/// unknowns; with the others they don't.
#[derive(Debug, Clone)]
pub(crate) struct Block {
    /// Which unknowns, by their places, ascending.
    pub unknowns: Vec<usize>,
    /// A column for each of them.
    pub columns: Vec<Vec<f64>>,
}

impl Block {
    /// All residuals, with all unknowns.
    pub(crate) fn whole(columns: Vec<Vec<f64>>) -> Block {
        Block {
            unknowns: (0..columns.len()).collect(),
            columns,
        }
    }

    pub(super) fn rows(&self) -> usize {
        self.columns.first().map_or(0, Vec::len)
    }
}

/// A system of equations turned to a triangle: R and what stands right of it.
pub(super) struct Reduced {
    /// R by columns: entry `[j][i]` stands in row i, at most j.
    pub(super) upper: Vec<Vec<f64>>,
    right: Vec<f64>,
}

impl Reduced {
    /// Householder reflections, column by column. The right side may be empty.
    pub(super) fn new(mut columns: Vec<Vec<f64>>, mut right: Vec<f64>) -> Reduced {
        let count = columns.len();
        for pivot in 0..count {
            let (head, rest) = columns.split_at_mut(pivot + 1);
            let column = &mut head[pivot];
            let Some(below) = column.get_mut(pivot..) else {
                break;
            };
            let length = dot(below, below).sqrt();
            if length == 0.0 {
                continue;
            }
            let lead = -length.copysign(below[0]);
            let mut mirror = below.to_vec();
            mirror[0] -= lead;
            let half = dot(&mirror, &mirror) / 2.0;
            below.fill(0.0);
            below[0] = lead;
            let others = rest.iter_mut().map(|column| &mut column[pivot..]);
            for other in others.chain(right.get_mut(pivot..)) {
                let along = dot(&mirror, other) / half;
                for (entry, mirror) in other.iter_mut().zip(&mirror) {
                    *entry -= along * mirror;
                }
            }
        }
        for column in &mut columns {
            column.resize(count, 0.0);
        }
        right.resize(count, 0.0);
        Reduced {
            upper: columns,
            right,
        }
    }

    /// Each block's triangle, then all of them to one.
    pub(super) fn of_blocks(mut blocks: Vec<Block>, right: Vec<f64>, count: usize) -> Reduced {
        let is_whole = blocks.len() == 1 && blocks[0].unknowns.len() == count;
        if let Some(block) = blocks.pop_if(|_| is_whole) {
            return Reduced::new(block.columns, right);
        }
        let mut rest = right.as_slice();
        let mut parts = Vec::new();
        for block in blocks {
            let (own, others) = rest.split_at(block.rows().min(rest.len()));
            parts.push((block, own.to_vec()));
            rest = others;
        }
        let reduce = |(block, right): (Block, Vec<f64>)| {
            (block.unknowns, Reduced::new(block.columns, right))
        };
        let triangles: Vec<(Vec<usize>, Reduced)> = parts.into_par_iter().map(reduce).collect();
        let rows = triangles.iter().map(|(unknowns, _)| unknowns.len()).sum();
        let mut columns = vec![vec![0.0; rows]; count];
        let mut all = Vec::with_capacity(rows);
        for (unknowns, triangle) in triangles {
            let first = all.len();
            for (unknown, column) in unknowns.iter().zip(&triangle.upper) {
                columns[*unknown][first..first + column.len()].copy_from_slice(column);
            }
            all.extend(triangle.right);
        }
        Reduced::new(columns, all)
    }

    /// The step of least squares, each unknown held back by the share `damping` of
    /// the square of its own column; one without effect stays where it is.
    pub(super) fn step(&self, damping: f64) -> Option<Vec<f64>> {
        let squares: Vec<f64> = self
            .upper
            .iter()
            .map(|column| dot(column, column))
            .collect();
        let largest = squares.iter().copied().fold(0.0, f64::max);
        let mut columns = self.upper.clone();
        for (i, column) in columns.iter_mut().enumerate() {
            let hold = if squares[i] > 0.0 {
                damping * squares[i] + 1e-14 * largest
            } else {
                largest.max(1.0)
            };
            let row = |j: usize| if i == j { hold.sqrt() } else { 0.0 };
            column.extend((0..squares.len()).map(row));
        }
        let mut right = self.right.clone();
        right.resize(2 * squares.len(), 0.0);
        let mut step = Reduced::new(columns, right).solved()?;
        for (step, _) in step.iter_mut().zip(&squares).filter(|(_, s)| **s == 0.0) {
            *step = 0.0;
        }
        Some(step)
    }

    /// Solves the triangle.
    pub(super) fn solved(&self) -> Option<Vec<f64>> {
        let count = self.right.len();
        let mut step = vec![0.0; count];
        for i in (0..count).rev() {
            let known: f64 = (i + 1..count).map(|j| self.upper[j][i] * step[j]).sum();
            step[i] = (self.right[i] - known) / self.upper[i][i];
        }
        step.iter().all(|s| s.is_finite()).then_some(step)
    }
}

/// The sum of the products of two columns' entries.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    // Four sums side by side, which is what processors do at once.
    const LANES: usize = 4;
    let length = a.len().min(b.len());
    let (a, a_rest) = a[..length].as_chunks::<LANES>();
    let (b, b_rest) = b[..length].as_chunks::<LANES>();
    let mut sums = [0.0; LANES];
    for (a, b) in a.iter().zip(b) {
        for ((sum, a), b) in sums.iter_mut().zip(a).zip(b) {
            *sum += a * b;
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + rest
}
