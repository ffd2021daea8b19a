//! Shapes at true size, from each panel's pixel pitch: a card as it is in every
//! wallet, and bars of 100 mm. On a curved panel they lie along the surface.

use super::board::{Anchor, Board, Style};
use super::palette;
use super::tile::shares;
use crate::light::Colour;
use crate::typeset::Cut;

/// Width and height of an ID-1 card in millimetres (ISO/IEC 7810).
pub const CARD_MM: [f64; 2] = [85.60, 53.98];
/// Radius of its corners: the middle of what the standard allows, 2.88 to 3.48 mm.
const CORNER_MM: f64 = 3.18;
/// Length of the bars in millimetres.
pub const BAR_MM: f64 = 100.0;
/// Half of a bar's end marks.
const END_MM: f64 = 4.0;
/// Lines are about so many pixels wide.
const LINE_PX: f64 = 2.0;

const INK: Colour = Colour([255; 3]);

/// Draws the shapes of every panel.
pub(super) fn draw(board: &mut Board) {
    for panel in 0..board.rig.panels().len() {
        let surface = board.layout.surfaces()[panel];
        let [width, height] = surface.pixels;
        let pitch = surface.pitch_mm();
        let px = |mm: [f64; 2]| [mm[0] / pitch[0], mm[1] / pitch[1]];
        let [card_w, card_h] = px(CARD_MM);
        let [bar_w, bar_h] = px([BAR_MM; 2]);
        let cap = board.cap_px(panel);
        let words = 12.0 * cap;
        // The card, the level bar below it, the upright one beside both.
        let [wide, tall] = [
            card_w.max(bar_w) + 6.0 * cap + 2.0 * END_MM / pitch[0],
            (card_h + 10.0 * cap).max(bar_h),
        ];
        if wide > width || tall + words > height {
            say(
                board,
                panel,
                [width / 2.0, height / 2.0],
                "no room here for a card at true size",
            );
            continue;
        }
        let left = ((width - wide) / 2.0).floor();
        let top = ((height - tall - words) / 2.0).floor();
        card(board, panel, [left, top], [card_w, card_h], pitch);
        let below = (top + card_h + 5.0 * cap).floor();
        let ends = px([END_MM; 2]);
        bar(board, panel, [left, below], [bar_w, 0.0], ends);
        let beside = (left + wide - ends[0]).floor();
        bar(board, panel, [beside, top], [0.0, bar_h], ends);
        let middle = left + wide / 2.0;
        let lines = [
            "A bank card (85.60 x 53.98 mm) must fill the outline, its edges inside the line;",
            "the bars are 100 mm long. Where the card doesn't fit, change the panel's size",
            "until it does: on a curved panel lay it along the surface.",
        ];
        for (index, line) in lines.iter().enumerate() {
            let row = top + tall + cap * (2.5 + 1.9 * index as f64);
            say(board, panel, [middle, row], line);
        }
    }
}

fn say(board: &mut Board, panel: usize, [x, y]: [f64; 2], words: &str) {
    let mut style = Style {
        cut: Cut::Regular,
        scale: 1.0,
        colour: palette::TEXT,
        anchor: Anchor::Middle,
    };
    let room = board.layout.surfaces()[panel].pixels[0] - 4.0 * board.cap_px(panel);
    style.scale = (room / board.text_width(panel, words, style)).min(1.0);
    board.text(panel, words, style, x, y);
}

/// The card's outline: the inside of the line is the card.
fn card(board: &mut Board, panel: usize, at: [f64; 2], size: [f64; 2], pitch: [f64; 2]) {
    let around = LINE_PX + 1.0;
    let whole = size.map(|px| (px + 2.0 * around).ceil() as u32);
    let line_mm = LINE_PX * pitch[0].min(pitch[1]);
    // Distance in millimetres outside the card of a point in the tile's pixels.
    let outside = |x: f64, y: f64| {
        let from = |at: f64, px: f64, pitch: f64, mm: f64| {
            (((at - around) - px / 2.0) * pitch).abs() - (mm / 2.0 - CORNER_MM)
        };
        let dx = from(x, size[0], pitch[0], CARD_MM[0]);
        let dy = from(y, size[1], pitch[1], CARD_MM[1]);
        dx.max(0.0).hypot(dy.max(0.0)) + dx.max(dy).min(0.0) - CORNER_MM
    };
    const FINE: u32 = 16;
    let share = |x: u32, y: u32| {
        let [cx, cy] = [x, y].map(|at| f64::from(at) + 0.5);
        let middle = outside(cx, cy);
        let reach = pitch[0].max(pitch[1]);
        if middle < -reach || middle > line_mm + reach {
            return 0.0;
        }
        let mut lit = 0;
        for i in 0..FINE {
            for j in 0..FINE {
                let [x, y] = [(x, i), (y, j)]
                    .map(|(at, part)| f64::from(at) + (f64::from(part) + 0.5) / f64::from(FINE));
                lit += u32::from((0.0..line_mm).contains(&outside(x, y)));
            }
        }
        f64::from(lit) / f64::from(FINE * FINE)
    };
    let corner = at.map(|v| (v - around).max(0.0) as u32);
    board.tile(panel, corner, whole, shares(whole, share), INK);
}

/// A bar from a place on, right or down, between end marks whose outer edges are its
/// ends.
fn bar(board: &mut Board, panel: usize, [x, y]: [f64; 2], [dx, dy]: [f64; 2], ends: [f64; 2]) {
    let half = LINE_PX / 2.0;
    let edges = if dx > 0.0 {
        [
            [x, y - half, x + dx, y + half],
            [x, y - ends[1], x + LINE_PX, y + ends[1]],
            [x + dx - LINE_PX, y - ends[1], x + dx, y + ends[1]],
        ]
    } else {
        [
            [x - half, y, x + half, y + dy],
            [x - ends[0], y, x + ends[0], y + LINE_PX],
            [x - ends[0], y + dy - LINE_PX, x + ends[0], y + dy],
        ]
    };
    for edges in edges {
        board.bar(panel, edges, INK);
    }
}
