//! The same greys on both sides of every seam, and patches from which a display's
//! gamma is read.
//!
//! Where rows of black and white alternate, half the light of white is shown. On a
//! display of gamma g the code 255·(1/2)^(1/g) shows as much, so that of several solid
//! greys beside the rows the one that merges with them names the gamma (common
//! practice).

use super::board::{Anchor, Board, Style};
use super::diagonals::Crossing;
use super::palette;
use super::seam_side::SeamSide;
use super::tile::shares;
use crate::light::Colour;
use crate::typeset::Cut;

/// Grey codes near white, in the middle and near black, from the top.
const STEPS: [[u8; 4]; 3] = [[252, 246, 238, 228], [160, 136, 120, 96], [28, 18, 10, 4]];
/// Gammas whose greys are shown.
pub const GAMMAS: [f64; 5] = [1.8, 2.0, 2.2, 2.4, 2.6];
/// Where the four blocks stand on the seam, as fractions of its shared height.
const BLOCKS: [[f64; 2]; 4] = [[0.74, 0.92], [0.53, 0.71], [0.32, 0.5], [0.08, 0.29]];
/// How far blocks reach from the lit edge.
const BLOCK_MM: f64 = 32.0;
/// The same at most, as a share of the panel's width.
const BLOCK_SHARE: f64 = 0.2;

/// The code that shows half of white's light on a display of some gamma.
pub fn half_light_code(gamma: f64) -> u8 {
    (255.0 * 0.5_f64.powf(1.0 / gamma)).round() as u8
}

/// What to set, in which order.
const WORDS: [&str; 5] = [
    "Make both sides of the seam alike, in this order:",
    "1 brightness: the darkest step just shows on black",
    "2 contrast: the lightest steps can be told apart",
    "3 white: greys have the same tint (colour temperature)",
    "4 gamma: of the rows below, the one whose halves merge names it",
];

/// Draws the greys of every seam.
pub(super) fn draw(board: &mut Board) {
    for seam in 0..board.rig.seams().len() {
        let crossing = Crossing::seam(board.layout, seam);
        if !crossing.is_shared() {
            continue;
        }
        for side in SeamSide::both(seam) {
            for (block, codes) in BLOCKS.iter().zip(STEPS) {
                for (index, code) in codes.into_iter().enumerate() {
                    let rows = part(*block, index, codes.len());
                    step(board, side, &crossing, rows, code);
                }
            }
            for (index, gamma) in GAMMAS.into_iter().enumerate() {
                let rows = part(BLOCKS[3], index, GAMMAS.len());
                gamma_patch(board, side, &crossing, rows, gamma);
            }
        }
        words(board, seam, &crossing);
    }
}

/// The fractions that a part takes of a block, from the top, with a gap between.
fn part([low, high]: [f64; 2], index: usize, count: usize) -> [f64; 2] {
    let each = (high - low) / count as f64;
    let top = high - each * index as f64;
    [top - 0.9 * each, top]
}

/// Columns and rows, in the panel's own pixels, at a side of a seam: the same eye
/// elevations on both sides.
fn area(board: &Board, side: SeamSide, crossing: &Crossing, rows: [f64; 2]) -> Option<[f64; 4]> {
    let surface = &board.layout.surfaces()[side.panel];
    let [bottom, top] = rows.map(|fraction| side.row(surface, crossing.elevation(fraction)));
    let reach = (BLOCK_MM / surface.pitch_mm()[0]).min(BLOCK_SHARE * surface.pixels[0]);
    let [left, right] = side.columns_off(surface, 0.0, reach.floor());
    Some([left, top?.round(), right, bottom?.round()])
}

fn step(board: &mut Board, side: SeamSide, crossing: &Crossing, rows: [f64; 2], code: u8) {
    if let Some(area) = area(board, side, crossing, rows) {
        board.bar(side.panel, area, Colour([code; 3]));
        label(board, side, area, &code.to_string());
    }
}

/// Rows of black and white, and beside them, farther from the edge, the grey that has
/// as much light at a gamma.
fn gamma_patch(board: &mut Board, side: SeamSide, crossing: &Crossing, rows: [f64; 2], gamma: f64) {
    let Some([left, top, right, bottom]) = area(board, side, crossing, rows) else {
        return;
    };
    let middle = f64::midpoint(left, right).floor();
    let [lines, solid] = match side.is_right_edge() {
        true => [[middle, right], [left, middle]],
        false => [[left, middle], [middle, right]],
    };
    let code = half_light_code(gamma);
    board.bar(
        side.panel,
        [solid[0], top, solid[1], bottom],
        Colour([code; 3]),
    );
    // As many rows lit as dark.
    let size = [lines[1] - lines[0], bottom - top].map(|px| px.max(0.0) as u32 & !1);
    let rows = shares(size, |_, y| f64::from(y % 2 == 0));
    let corner = [lines[0], top].map(|px| px as u32);
    board.tile(side.panel, corner, size, rows, Colour([255; 3]));
    label(
        board,
        side,
        [left, top, right, bottom],
        &format!("{gamma:.1}"),
    );
}

/// A number beside a patch, away from the seam.
fn label(board: &mut Board, side: SeamSide, [left, top, right, bottom]: [f64; 4], text: &str) {
    let cap = board.cap_px(side.panel);
    let (x, anchor) = if side.is_right_edge() {
        (left - cap, Anchor::Right)
    } else {
        (right + cap, Anchor::Left)
    };
    let style = Style {
        cut: Cut::Regular,
        scale: ((bottom - top) / (2.0 * cap)).clamp(0.4, 1.0),
        colour: palette::TEXT,
        anchor,
    };
    board.text(side.panel, text, style, x, f64::midpoint(top, bottom));
}

/// What to do, on the panel left of the seam, clear of the patches.
fn words(board: &mut Board, seam: usize, crossing: &Crossing) {
    let [left, _] = SeamSide::both(seam);
    let Some(block) = area(board, left, crossing, BLOCKS[1]) else {
        return;
    };
    let cap = board.cap_px(left.panel);
    let x = block[0] - 6.0 * cap;
    for (index, line) in WORDS.iter().enumerate() {
        let mut style = Style {
            cut: if index == 0 { Cut::Bold } else { Cut::Regular },
            scale: 1.0,
            colour: palette::TEXT,
            anchor: Anchor::Right,
        };
        let width = board.text_width(left.panel, line, style);
        style.scale = ((x - 2.0 * cap) / width).clamp(0.3, 1.0);
        board.text(
            left.panel,
            line,
            style,
            x,
            block[1] + cap * 2.2 * index as f64,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::decode;

    /// Arithmetic: 255·2^(−1/g); and by IEC 61966-2-1 rows of black and white have the
    /// light of half of white, whose code lies between those of gammas 2.2 and 2.4.
    #[test]
    fn codes_of_half_the_light() {
        let codes = GAMMAS.map(half_light_code);
        assert_eq!(codes, [174, 180, 186, 191, 195]);
        let light = decode(188.0 / 255.0);
        assert!((light - 0.5).abs() < 0.005, "{light}");
    }
}
