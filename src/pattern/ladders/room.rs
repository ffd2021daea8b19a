//! Room for rungs and their labels beside those that stand already.

use super::{Ladder, Rung};
use crate::geometry::Surface;
use crate::pattern::board::{Board, overlap};
use crate::pattern::seam_side::SeamSide;

/// Millimetres along a seam's lit edge that no label enters, so that it covers no line
/// where breaks are read.
const EDGE_MM: f64 = 20.0;

/// What ladders have taken so far.
#[derive(Default)]
pub(super) struct Room {
    pieces: Vec<Piece>,
    plates: Vec<(usize, [f64; 4])>,
}

/// A rung's part on a panel.
struct Piece {
    seam: usize,
    panel: usize,
    columns: [f64; 2],
    rung: Rung,
    is_outer: bool,
}

impl Room {
    /// The ladder with those rungs that cross no other seam's, and whose labels cover
    /// no other.
    pub(super) fn take(&mut self, board: &mut Board, mut ladder: Ladder) -> Ladder {
        let planned = std::mem::take(&mut ladder.rungs);
        let mut taken = Vec::new();
        // The file's own first, outwards from it.
        let mut order: Vec<usize> = (0..planned.len()).collect();
        order.sort_by_key(|&index| planned[index].step.abs());
        for index in order {
            let rung = &planned[index];
            let [px, row] = ladder.label_at(board, rung);
            let style = ladder.style(rung.is_own());
            let plate = board.plate(ladder.sides.outer.panel, &rung.words(), style, px, row);
            let pieces = pieces(board, &ladder, rung);
            let is_clear = pieces.iter().all(|piece| {
                let theirs = self.pieces.iter();
                theirs
                    .filter(|other| other.seam != piece.seam)
                    .all(|other| !crosses(board, piece, other))
            });
            let mut plates = self.plates.iter();
            let covers = plates
                .any(|(panel, other)| *panel == ladder.sides.outer.panel && overlap(plate, *other));
            if is_clear && !covers && is_free(board, ladder.sides.outer.panel, plate) {
                self.plates.push((ladder.sides.outer.panel, plate));
                self.pieces.extend(pieces);
                taken.push(index);
            }
        }
        ladder.left_out += planned.len() - taken.len();
        let rungs = planned.into_iter().enumerate();
        let kept = rungs.filter(|(index, _)| taken.contains(index));
        ladder.rungs = kept.map(|(_, rung)| rung).collect();
        ladder
    }
}

/// Whether a label's plate lies on the panel, away from lit edges at seams, and over no
/// text that is set already.
pub(super) fn is_free(board: &Board, panel: usize, plate: [f64; 4]) -> bool {
    let surface = &board.layout.surfaces()[panel];
    let [width, height] = surface.pixels;
    let edge = edge_px(surface);
    let left = if panel > 0 { edge } else { 0.0 };
    let last = board.rig.panels().len() - 1;
    let right = if panel < last { width - edge } else { width };
    let is_inside = plate[0] >= left && plate[2] <= right && plate[1] >= 0.0 && plate[3] <= height;
    is_inside && !board.texts(panel).iter().any(|text| overlap(plate, *text))
}

/// Columns along a seam's lit edge that no label enters.
pub(super) fn edge_px(surface: &Surface) -> f64 {
    EDGE_MM / surface.pitch_mm()[0]
}

fn pieces(board: &Board, ladder: &Ladder, rung: &Rung) -> Vec<Piece> {
    let sides = ladder.sides.both().into_iter().zip(ladder.runs);
    let piece = |(side, run): (SeamSide, f64)| Piece {
        seam: ladder.seam,
        panel: side.panel,
        columns: side.columns_off(&board.layout.surfaces()[side.panel], 0.0, run),
        rung: rung.clone(),
        is_outer: side.panel == ladder.sides.outer.panel,
    };
    sides.map(piece).collect()
}

impl Piece {
    fn row(&self, board: &Board, px: f64) -> Option<f64> {
        if self.is_outer {
            return self.rung.outer.py_on(self.rung.plane, px);
        }
        board.layout.surfaces()[self.panel].py_on(self.rung.plane, px)
    }
}

/// Whether two parts cross, or come closer than half a capital.
fn crosses(board: &Board, one: &Piece, other: &Piece) -> bool {
    if one.panel != other.panel {
        return false;
    }
    let from = one.columns[0].max(other.columns[0]);
    let to = one.columns[1].min(other.columns[1]);
    if from >= to {
        return false;
    }
    let near = board.cap_px(one.panel) / 2.0;
    let mut side = 0.0;
    for sixteenth in 0..=16 {
        let px = from + (to - from) * f64::from(sixteenth) / 16.0;
        let (Some(a), Some(b)) = (one.row(board, px), other.row(board, px)) else {
            continue;
        };
        let off = a - b;
        if off.abs() < near || off * side < 0.0 {
            return true;
        }
        side = off.signum();
    }
    false
}
