//! Which cells of which panel a lattice's are, by their dots.
//!
//! A piece of a lattice is laid on every field in every way: each panel, each of four
//! turns, each place. Where one fits by far better than chance, and than every other way,
//! the rest of the lattice is held against it, so that a lattice that joins two panels
//! comes apart at the seam.

use std::collections::{HashMap, HashSet, VecDeque};

use super::cells::Cell;
use super::field::{Field, dot};
use super::lattice::Lattice;

/// Cells along a piece's side.
const PIECE: i32 = 12;
/// Chances that a piece fits somewhere although it is none, as a natural logarithm.
const CHANCE: f64 = 14.0;
/// Least share of a piece's dots that must be as they should.
const LEAST_RIGHT: f64 = 0.85;
/// By how much of all its dots it must fit better than anywhere else.
const MARGIN: f64 = 0.15;
/// How far around a corner cells speak for it.
const REACH: i32 = 2;
/// Least of their dots that must be as they should, as a share.
const LEAST_NEAR: f64 = 0.8;
/// Least that they must say together, in sure dots.
const LEAST_SAID: f64 = 3.0;

/// What fields there are.
pub(super) trait Fields {
    /// How many panels.
    fn panels(&self) -> usize;
    /// Columns and rows of a panel's cells.
    fn cells(&self, panel: usize) -> [i32; 2];
    /// Whether a panel's cell has a dot; `None` where nobody knows.
    fn dot(&self, panel: usize, cell: [i32; 2]) -> Option<bool>;
}

/// The fields of a rig.
pub(super) struct OfRig(pub Vec<Field>);

impl Fields for OfRig {
    fn panels(&self) -> usize {
        self.0.len()
    }

    fn cells(&self, panel: usize) -> [i32; 2] {
        self.0[panel].whole_cells().map(u32::cast_signed)
    }

    fn dot(&self, panel: usize, [column, row]: [i32; 2]) -> Option<bool> {
        let field = &self.0[panel];
        let cell = [u32::try_from(column).ok()?, u32::try_from(row).ok()?];
        let [columns, rows] = field.whole_cells();
        let is_there = cell[0] < columns && cell[1] < rows && !field.is_label(cell);
        is_there.then(|| field.has_dot(cell))
    }
}

/// The fields that any rig could have.
pub(super) struct OfAny;

impl Fields for OfAny {
    fn panels(&self) -> usize {
        8
    }

    fn cells(&self, _: usize) -> [i32; 2] {
        [160, 90]
    }

    fn dot(&self, panel: usize, [column, row]: [i32; 2]) -> Option<bool> {
        let cell = [u32::try_from(column).ok()?, u32::try_from(row).ok()?];
        Some(dot(panel, cell))
    }
}

/// How a lattice lies on a panel's field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Laid {
    /// The panel.
    pub panel: usize,
    turn: Turn,
    shift: [i32; 2],
}

/// Quarter turns, clockwise, or those of a mirror image.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Turn {
    quarters: u8,
    is_mirrored: bool,
}

impl Turn {
    fn of(self, [x, y]: [i32; 2]) -> [i32; 2] {
        let x = if self.is_mirrored { -x } else { x };
        match self.quarters {
            0 => [x, y],
            1 => [-y, x],
            2 => [-x, -y],
            _ => [y, -x],
        }
    }

    /// The same of a cell, whose middle lies half a step on.
    fn of_cell(self, [x, y]: [i32; 2]) -> [i32; 2] {
        self.of([2 * x + 1, 2 * y + 1]).map(|at| (at - 1) / 2)
    }

    /// All four.
    fn all(is_mirrored: bool) -> [Turn; 4] {
        [0, 1, 2, 3].map(|quarters| Turn {
            quarters,
            is_mirrored,
        })
    }
}

impl Laid {
    /// The place in the field of a corner of the lattice.
    pub(super) fn corner(&self, place: [i32; 2]) -> [i32; 2] {
        let [x, y] = self.turn.of(place);
        [x + self.shift[0], y + self.shift[1]]
    }

    fn cell(&self, place: [i32; 2]) -> [i32; 2] {
        let [x, y] = self.turn.of_cell(place);
        [x + self.shift[0], y + self.shift[1]]
    }
}

/// A lattice's corners that were told, by their places in it, and how they lie.
pub(super) struct Told {
    /// How they lie.
    pub laid: Laid,
    /// Their places in the lattice.
    pub corners: Vec<[i32; 2]>,
}

/// What of a lattice can be told, piece by piece, and how many cells lie in pieces that
/// can't although they show dots enough.
pub(super) fn tell(
    lattice: &Lattice,
    cells: &HashMap<[i32; 2], Cell>,
    fields: &impl Fields,
) -> Vec<Told> {
    let mut told: Vec<Told> = Vec::new();
    let mut taken: HashSet<[i32; 2]> = HashSet::new();
    for piece in pieces(cells) {
        let left = piece.iter().filter(|(place, _)| !taken.contains(place));
        let left: Vec<_> = left.copied().collect();
        let Some(laid) = laid(&left, fields, false) else {
            continue;
        };
        let corners = spread(lattice, cells, fields, &laid, &left, &taken);
        taken.extend(&corners);
        if corners.len() >= 4 {
            told.push(Told { laid, corners });
        }
    }
    told
}

/// Cells in squares, those with most cells first, with squares half a step off for what
/// lies across their borders.
pub(super) fn pieces(cells: &HashMap<[i32; 2], Cell>) -> Vec<Vec<([i32; 2], Cell)>> {
    let mut all = Vec::new();
    for off in [0, PIECE / 2] {
        let mut squares: HashMap<[i32; 2], Vec<([i32; 2], Cell)>> = HashMap::new();
        for (place, cell) in cells {
            let square = place.map(|at| (at + off).div_euclid(PIECE));
            squares.entry(square).or_default().push((*place, *cell));
        }
        let mut squares: Vec<_> = squares.into_iter().collect();
        for (_, square) in &mut squares {
            square.sort_by_key(|(place, _)| *place);
        }
        squares.sort_by_key(|(at, square)| (std::cmp::Reverse(square.len()), *at));
        all.extend(squares.into_iter().map(|(_, square)| square));
    }
    all
}

/// The one way in which a piece fits; `None` where there is none, or more than one.
pub(super) fn laid(
    piece: &[([i32; 2], Cell)],
    fields: &impl Fields,
    is_mirrored: bool,
) -> Option<Laid> {
    let said: f64 = piece.iter().map(|(_, cell)| cell.dot.abs()).sum();
    // Not even all of them would be enough.
    if said * std::f64::consts::LN_2 < CHANCE {
        return None;
    }
    let mut ways = 0_u64;
    let mut best: Option<(f64, Laid)> = None;
    let mut second = 0.0_f64;
    for turn in Turn::all(is_mirrored) {
        let turned: Vec<([i32; 2], f64)> = piece
            .iter()
            .map(|(place, cell)| (turn.of_cell(*place), cell.dot))
            .collect();
        let least = [0, 1].map(|axis| turned.iter().map(|(at, _)| at[axis]).min().unwrap_or(0));
        let most = [0, 1].map(|axis| turned.iter().map(|(at, _)| at[axis]).max().unwrap_or(0));
        // Whether a cell at an even place is lit.
        let lit: i32 = piece
            .iter()
            .map(|(place, cell)| {
                let [x, y] = turn.of_cell(*place);
                let is_even = (x + y).rem_euclid(2) == 0;
                if cell.is_lit == is_even { 1 } else { -1 }
            })
            .sum();
        for panel in 0..fields.panels() {
            let [columns, rows] = fields.cells(panel);
            for down in -least[1]..rows - most[1] {
                for right in -least[0]..columns - most[0] {
                    if ((right + down).rem_euclid(2) == 0) != (lit > 0) {
                        continue;
                    }
                    ways += 1;
                    let right_share = fit(&turned, [right, down], panel, fields, said);
                    if best.as_ref().is_none_or(|(share, _)| right_share > *share) {
                        second = best.as_ref().map_or(second, |(share, _)| *share);
                        let shift = [right, down];
                        best = Some((right_share, Laid { panel, turn, shift }));
                    } else {
                        second = second.max(right_share);
                    }
                }
            }
        }
    }
    let (share, laid) = best?;
    // Chernoff's bound on as many right by chance.
    let wrong = (1.0 - share).max(1e-9);
    let entropy = -share * share.ln() - wrong * wrong.ln();
    let unlikely = said * (std::f64::consts::LN_2 - entropy) - (ways as f64).ln();
    let is_sure = share >= LEAST_RIGHT && unlikely > CHANCE && share - second > MARGIN;
    is_sure.then_some(laid)
}

/// The share of what a piece says that is right where it is laid so; less where it is
/// clear early that it is little.
fn fit(
    turned: &[([i32; 2], f64)],
    [right, down]: [i32; 2],
    panel: usize,
    fields: &impl Fields,
    said: f64,
) -> f64 {
    let most_wrong = 0.5 * said;
    let (mut is_right, mut wrong) = (0.0, 0.0);
    for ([x, y], says) in turned {
        match fields.dot(panel, [x + right, y + down]) {
            Some(dot) if dot == (*says > 0.0) => is_right += says.abs(),
            _ => {
                wrong += says.abs();
                if wrong > most_wrong {
                    break;
                }
            }
        }
    }
    is_right / said
}

/// The corners that hang together with a piece's and around which dots are as they should
/// be where the lattice lies so.
fn spread(
    lattice: &Lattice,
    cells: &HashMap<[i32; 2], Cell>,
    fields: &impl Fields,
    laid: &Laid,
    piece: &[([i32; 2], Cell)],
    taken: &HashSet<[i32; 2]>,
) -> Vec<[i32; 2]> {
    let is_near = |corner: [i32; 2]| {
        let (mut is_right, mut said) = (0.0, 0.0);
        for y in corner[1] - REACH..corner[1] + REACH {
            for x in corner[0] - REACH..corner[0] + REACH {
                let Some(cell) = cells.get(&[x, y]) else {
                    continue;
                };
                let place = laid.cell([x, y]);
                let is_lit = (place[0] + place[1]).rem_euclid(2) == 0;
                let dot = fields.dot(laid.panel, place);
                said += cell.dot.abs();
                if dot == Some(cell.dot > 0.0) && cell.is_lit == is_lit {
                    is_right += cell.dot.abs();
                }
            }
        }
        said >= LEAST_SAID && is_right >= LEAST_NEAR * said
    };
    let free = |corner: &[i32; 2]| lattice.corners.contains_key(corner) && !taken.contains(corner);
    let mut seen: HashSet<[i32; 2]> = HashSet::new();
    let mut waiting: VecDeque<[i32; 2]> = piece.iter().map(|(place, _)| *place).collect();
    let mut corners = Vec::new();
    while let Some(corner) = waiting.pop_front() {
        if !free(&corner) || !seen.insert(corner) || !is_near(corner) {
            continue;
        }
        corners.push(corner);
        let [i, j] = corner;
        waiting.extend([[i + 1, j], [i - 1, j], [i, j + 1], [i, j - 1]]);
    }
    corners
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quarter turn takes the cell right of a corner to the one below it.
    #[test]
    fn cells_turn_with_the_corners_around_them() {
        for turn in Turn::all(false).into_iter().chain(Turn::all(true)) {
            for cell in [[0, 0], [3, -2], [-5, 4]] {
                let corners = [[0, 0], [1, 0], [0, 1], [1, 1]];
                let turned = corners.map(|[x, y]| turn.of([cell[0] + x, cell[1] + y]));
                let least = [0, 1].map(|axis| turned.iter().map(|at| at[axis]).min());
                let [x, y] = turn.of_cell(cell);
                assert_eq!([Some(x), Some(y)], least, "{turn:?}");
            }
        }
        let quarter = Turn::all(false)[1];
        assert_eq!(quarter.of([1, 0]), [0, 1]);
    }
}
