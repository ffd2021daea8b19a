//! One line to read at a seam: its left part stands, its right part slides.

use super::board::Board;
use super::palette;
use crate::geometry::{EyePlane, Surface};
use crate::readings::Line;

/// Width of both parts in pixels.
const WIDTH_PX: f64 = 3.0;
/// Half the right part's length, as a share of the right panel's columns.
const HALF_LENGTH: f64 = 0.03;
/// Rows from the right part's middle to the ticks that mark it, and their length.
const TICK_PX: [f64; 2] = [9.0, 22.0];
/// Rows that a part's own area keeps above and below it.
const SPARE_PX: f64 = 30.0;

/// A line to read, and where its right part is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slide {
    /// The line.
    pub line: Line,
    /// Rows of the right panel by which its right part was moved up.
    pub up_px: f64,
}

/// Draws both parts, and two ticks at the column where it is read.
pub(super) fn draw(board: &mut Board, slide: Slide) {
    let layout = board.layout;
    let Slide { line, up_px } = slide;
    let surfaces = layout.surfaces();
    let (Some(left), Some(right)) = (surfaces.get(line.seam), surfaces.get(line.seam + 1)) else {
        return;
    };
    let [from, to] = line.left_px;
    part(
        board,
        line.seam,
        left,
        line.plane,
        [from.min(to), from.max(to)],
    );

    let columns = right.pixels[0];
    let half = (HALF_LENGTH * columns).round();
    let at = line.right_px;
    let ends = [at - half, at + half].map(|px| px.clamp(0.0, columns));
    let raised = Surface {
        // The line keeps to the eye's plane, so what moves is the glass, the other way.
        middle: right.middle - right.y * (up_px * right.pitch_mm()[1]),
        ..*right
    };
    part(board, line.seam + 1, &raised, line.plane, ends);
    let Some(row) = raised.py_on(line.plane, at) else {
        return;
    };
    let [near, length] = TICK_PX;
    for [top, bottom] in [
        [row - near - length, row - near],
        [row + near, row + near + length],
    ] {
        let tick = [at - 1.0, top, at + 1.0, bottom];
        board.bar(line.seam + 1, tick, palette::LIT);
    }
}

fn part(board: &mut Board, panel: usize, surface: &Surface, plane: EyePlane, ends: [f64; 2]) {
    let rows = ends.map(|px| surface.py_on(plane, px));
    let [Some(one), Some(other)] = rows else {
        return;
    };
    // A part is so short that it hardly leaves the rows between its ends.
    let bend = surface.pixels[1] / 20.0;
    let top = one.min(other) - SPARE_PX - bend;
    let bottom = one.max(other) + SPARE_PX + bend;
    let area = [ends[0], top, ends[1], bottom];
    board.stroke(panel, surface, plane, area, (palette::LIT, WIDTH_PX));
}
