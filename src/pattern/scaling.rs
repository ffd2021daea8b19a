//! Patches that go visibly wrong where a picture's pixels aren't the glass's: single
//! lines both ways, single pixels, and a zone plate, in the corners, the middle and
//! beside the seams; and two frames of single pixels round each panel.
//!
//! The zone plate is 1/2 + 1/2·cos(π·r²/2R) in linear light: r pixels from its middle
//! its rings come r/(2R) times a pixel, which at its edge, r = R, is the most that
//! pixels can show.

use std::f64::consts::PI;

use super::board::{Anchor, Board, Style};
use super::palette;
use super::tile::shares;
use crate::light::Colour;
use crate::typeset::Cut;

/// Columns and rows of a patch: an even number, so that as much is lit as is dark.
const PATCH_PX: u32 = 64;
/// The same at most, as a share of the panel's shorter side.
const PATCH_SHARE: u32 = 14;
/// How far inside the border the second frame lies.
const SECOND_PX: f64 = 4.0;
/// Between the frames and the patches in the corners, in patches.
const CORNER: f64 = 0.4;

const WHITE: Colour = Colour([255; 3]);

/// The kinds of patches, from the left.
type Patch = fn(u32, u32, u32) -> f64;
const PATCHES: [Patch; 4] = [
    |x, _, _| f64::from(x % 2 == 0),
    |_, y, _| f64::from(y % 2 == 0),
    |x, y, _| f64::from((x + y) % 2 == 0),
    zone_plate,
];

fn zone_plate(x: u32, y: u32, size: u32) -> f64 {
    let radius = f64::from(size) / 2.0;
    let from_middle = |at: u32| f64::from(at) + 0.5 - radius;
    let square = from_middle(x).powi(2) + from_middle(y).powi(2);
    if square > radius * radius {
        return 0.5;
    }
    0.5 + 0.5 * (PI * square / (2.0 * radius)).cos()
}

/// Draws the patches and frames of every panel.
pub(super) fn draw(board: &mut Board) {
    for panel in 0..board.rig.panels().len() {
        let [width, height] = board.rig.panels()[panel].pixels;
        let size = PATCH_PX.min(width.min(height) / PATCH_SHARE) & !1;
        frames(board, panel, [width, height].map(f64::from));
        if size >= 8 {
            for corner in places(board, panel, f64::from(size)) {
                group(board, panel, corner, size);
            }
        }
    }
}

/// A frame of single pixels at the very border, and one inside it.
fn frames(board: &mut Board, panel: usize, [width, height]: [f64; 2]) {
    for inset in [0.0, SECOND_PX] {
        let [left, top, right, bottom] = [inset, inset, width - inset, height - inset];
        for edges in [
            [left, top, right, top + 1.0],
            [left, bottom - 1.0, right, bottom],
            [left, top, left + 1.0, bottom],
            [right - 1.0, top, right, bottom],
        ] {
            board.bar(panel, edges, WHITE);
        }
    }
}

/// Top left corners of the groups: in the panel's corners, in its middle, and beside
/// the seams that it has.
fn places(board: &Board, panel: usize, size: f64) -> Vec<[f64; 2]> {
    let [width, height] = board.rig.panels()[panel].pixels.map(f64::from);
    let [wide, tall] = group_px(board, panel, size);
    let inset = SECOND_PX + CORNER * size;
    let (right, bottom) = (width - wide - inset, height - tall - inset);
    let (middle_x, middle_y) = ((width - wide) / 2.0, (height - tall) / 2.0);
    let mut places = vec![
        [inset, inset],
        [right, inset],
        [inset, bottom],
        [right, bottom],
        [middle_x, middle_y],
    ];
    if panel > 0 {
        places.push([inset, middle_y]);
    }
    if panel + 1 < board.rig.panels().len() {
        places.push([right, middle_y]);
    }
    // On a narrow panel those beside the seams would lie on the one in the middle.
    let mut kept: Vec<[f64; 2]> = Vec::new();
    for [x, y] in places.into_iter().map(|place| place.map(f64::floor)) {
        let is_clear = kept
            .iter()
            .all(|[px, py]| (x - px).abs() >= wide || (y - py).abs() >= tall);
        if is_clear && x >= 0.0 && y >= 0.0 {
            kept.push([x, y]);
        }
    }
    kept
}

/// What right and wrong look like, on lines below the patches, and of the frames.
const WORDS: [&str; 4] = [
    "right: even, one set of rings",
    "wrong: stripes, waves, more rings",
    "at the border: two lines, on all sides",
    "one missing: overscan, wrong window",
];

/// Columns and rows of a group with its words.
fn group_px(board: &Board, panel: usize, size: f64) -> [f64; 2] {
    let patches = PATCHES.len() as f64;
    let cap = board.cap_px(panel);
    [
        patches * size + (patches - 1.0) * gap(size),
        size + 8.6 * cap,
    ]
}

fn gap(size: f64) -> f64 {
    (size / 8.0).floor()
}

fn group(board: &mut Board, panel: usize, [left, top]: [f64; 2], size: u32) {
    let step = f64::from(size) + gap(f64::from(size));
    for (index, patch) in PATCHES.iter().enumerate() {
        let at = [left + step * index as f64, top];
        let shares = shares([size; 2], |x, y| patch(x, y, size));
        board.tile(panel, at.map(|v| v as u32), [size; 2], shares, WHITE);
    }
    let cap = board.cap_px(panel);
    let mut style = Style {
        cut: Cut::Regular,
        scale: 1.0,
        colour: palette::TEXT,
        anchor: Anchor::Left,
    };
    let [wide, _] = group_px(board, panel, f64::from(size));
    for (line, words) in WORDS.iter().enumerate() {
        style.scale = (wide
            / board.text_width(
                panel,
                words,
                Style {
                    scale: 1.0,
                    ..style
                },
            ))
        .min(1.0);
        let row = top + f64::from(size) + cap * (1.3 + 1.9 * line as f64);
        board.text(panel, words, style, left, row);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The rings' frequency is the phase's slope over 2π: r/(2R) a pixel.
    #[test]
    fn the_zone_plates_rings_reach_the_finest_at_its_edge() {
        let radius = f64::from(PATCH_PX) / 2.0;
        let phase = |r: f64| PI * r * r / (2.0 * radius);
        for r in [4.0, 16.0, 31.9] {
            let frequency = (phase(r + 1e-5) - phase(r - 1e-5)) / 2e-5 / (2.0 * PI);
            assert!((frequency - r / (2.0 * radius)).abs() < 1e-6, "{frequency}");
        }
        // Bright in the middle; where the phase is half a turn, dark.
        assert!(zone_plate(32, 32, 64) > 0.99);
        let dark = (2.0 * radius).sqrt();
        let across = (dark + radius - 0.5).round() as u32;
        assert!(
            zone_plate(across, 32, 64) < 0.1,
            "{}",
            zone_plate(across, 32, 64)
        );
    }
}
