//! The layer of marks: a field of checks with dots on every panel, for photographs.

use super::board::{Anchor, Board, Style};
use super::palette;
use super::tile::shares;
use crate::light::Colour;
use crate::marks::{DOT_SHARE, Field};
use crate::typeset::Cut;

/// What is lit: well below white, so that it doesn't bloom in photographs.
const LIT: Colour = Colour([200; 3]);
/// Subdivisions of a pixel, each way, by which a dot's edge is blended.
const PARTS: u32 = 4;

/// Draws the field of every panel.
pub(super) fn draw(board: &mut Board) {
    for panel in 0..board.rig.panels().len() {
        let field = Field::of(board.rig, panel);
        cells(board, panel, &field);
        name(board, panel, &field);
    }
}

fn cells(board: &mut Board, panel: usize, field: &Field) {
    let [w, h] = board.rig.panels()[panel].pixels.map(f64::from);
    board.bar(panel, [0.0, 0.0, w, h], Colour::BLACK);
    let side = field.cell_px();
    let radius = DOT_SHARE * f64::from(side);
    let reach = radius.ceil() as u32;
    // All dots are alike, and share one patch.
    let dot = shares([2 * reach; 2], |x, y| {
        let inside = |part: u32, at: u32| {
            let share = (f64::from(part) + 0.5) / f64::from(PARTS);
            f64::from(at) + share - f64::from(reach)
        };
        let parts = (0..PARTS).flat_map(|a| (0..PARTS).map(move |b| [a, b]));
        let within = parts.filter(|[a, b]| inside(*a, x).hypot(inside(*b, y)) < radius);
        within.count() as f64 / f64::from(PARTS * PARTS)
    });
    let [columns, rows] = field.cells();
    for row in 0..rows {
        for column in 0..columns {
            let cell = [column, row];
            let area = field.cell(cell);
            let is_lit = field.is_lit(cell);
            if is_lit {
                let edges = [area.x, area.y, area.right(), area.bottom()].map(f64::from);
                board.bar(panel, edges, LIT);
            }
            if field.has_dot(cell) {
                let corner = [area.x, area.y].map(|at| at + side / 2 - reach);
                let colour = if is_lit { Colour::BLACK } else { LIT };
                board.tile(panel, corner, [2 * reach; 2], dot.clone(), colour);
            }
        }
    }
}

/// The panel's name, on the cells that are kept free for it.
fn name(board: &mut Board, panel: usize, field: &Field) {
    let [from, taken] = field.label();
    if taken == 0 {
        return;
    }
    let side = f64::from(field.cell_px());
    let mut style = Style {
        cut: Cut::Bold,
        scale: 0.4 * side / board.cap_px(panel),
        colour: palette::TEXT,
        anchor: Anchor::Middle,
    };
    let name = board.rig.panels()[panel].name.clone();
    let width = board.text_width(panel, &name, style);
    // The plate of a text is a little wider than the text.
    let room = (f64::from(taken) - 0.5) * side;
    style.scale *= (room / width.max(1.0)).min(1.0);
    let middle = (f64::from(from) + f64::from(taken) / 2.0) * side;
    board.text(panel, &name, style, middle, (side / 2.0).round());
}
