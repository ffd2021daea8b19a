//! Scales along the two lit edges of every seam.
//!
//! Near the top and the bottom of the seam, a comb counts pixels from the edge
//! and a scale above it millimetres. Along the edges, ticks stand at equal
//! elevations seen from the eye, so that those of both sides are in line.

use super::board::{Anchor, Board, Style};
use super::diagonals::Crossing;
use super::palette;
use super::seam_side::SeamSide;
use crate::geometry::Surface;
use crate::light::Colour;
use crate::typeset::Cut;

/// Columns that the comb counts at least.
const COMB_PX: f64 = 100.0;
/// Where the lower comb may stand, as fractions of the seam's shared height from below:
/// from the first to the last in so many steps; the upper one as far from above.
pub(super) const COMB_HEIGHTS: [f64; 2] = [0.05, 0.15];
const COMB_STEPS: u32 = 8;
/// How far the last number reaches past a comb, in capitals.
const NUMBER_CAPS: f64 = 5.0;

/// Draws the scales of every seam.
pub(super) fn draw(board: &mut Board) {
    for seam in 0..board.rig.seams().len() {
        let layout = board.layout;
        let crossing = Crossing::seam(layout, seam);
        if !crossing.is_shared() {
            continue;
        }
        let dark_mm = layout.dark_mm(seam);
        let sides = SeamSide::both(seam);
        let heights = comb_heights(board, sides, &crossing, dark_mm);
        for side in sides {
            let surface = &layout.surfaces()[side.panel];
            let combs = heights.map(|height| {
                side.row(surface, crossing.elevation(height))
                    .map(f64::round)
            });
            elevation_marks(board, side, &crossing, combs);
            for row in combs.into_iter().flatten() {
                comb(board, side, row, dark_mm);
            }
        }
    }
}

/// The fractions of the shared height, below and above, at which the plates of both sides'
/// combs hide the least of the lines that cross the seam.
fn comb_heights(
    board: &Board,
    sides: [SeamSide; 2],
    crossing: &Crossing,
    dark_mm: f64,
) -> [f64; 2] {
    let [first, last] = COMB_HEIGHTS;
    let occupied = sides.map(|side| board.occupied(side.panel));
    let beside = [0, 1].map(|at| {
        let side = sides[at];
        let surface = &board.layout.surfaces()[side.panel];
        let number_px = NUMBER_CAPS * board.cap_px(side.panel);
        let columns = side.columns_off(surface, 0.0, comb_px(surface, dark_mm) + number_px);
        (side, surface, occupied[at].between(columns))
    });
    let hidden = |height: f64| -> usize {
        let on = beside.iter().map(|(side, surface, between)| {
            let row = side.row(surface, crossing.elevation(height));
            row.map_or(0, |row| {
                let half = half_plate(board, side.panel);
                between.hidden_by([row - half, row + half])
            })
        });
        on.sum()
    };
    [false, true].map(|is_upper| {
        let heights = (0..=COMB_STEPS).map(|step| {
            let height = first + (last - first) * f64::from(step) / f64::from(COMB_STEPS);
            if is_upper { 1.0 - height } else { height }
        });
        let best = heights.min_by_key(|height| hidden(*height));
        best.unwrap_or(first)
    })
}

/// Rows above and below a comb's middle that it takes with its numbers.
pub(super) fn half_plate(board: &Board, panel: usize) -> f64 {
    4.0 * comb_unit(board, panel) + 2.0 * board.cap_px(panel)
}

/// Rows of the shortest teeth.
fn comb_unit(board: &Board, panel: usize) -> f64 {
    (board.cap_px(panel) / 2.0).round().max(3.0)
}

/// Columns that a side's comb counts: the seam's dark gap and some more, so that
/// a strip of paper marked at both lit edges can be read off on it.
fn comb_px(surface: &Surface, dark_mm: f64) -> f64 {
    let dark_px = dark_mm / surface.pitch_mm()[0];
    let wanted = ((dark_px / 50.0).floor() * 50.0 + 50.0).max(COMB_PX);
    wanted.min((surface.pixels[0] / 4.0).floor())
}

/// A pixel comb below a row, and a millimetre scale above it.
fn comb(board: &mut Board, side: SeamSide, row: f64, dark_mm: f64) {
    let layout = board.layout;
    let panel = side.panel;
    let surface = &layout.surfaces()[panel];
    let count = comb_px(surface, dark_mm);
    let from_edge = |from: f64, to: f64| side.columns_off(surface, from, to);
    let (unit, cap) = (comb_unit(board, panel), board.cap_px(panel));
    let half_plate = half_plate(board, panel);
    let [left, right] = from_edge(0.0, count + 2.0);
    board.bar(
        panel,
        [left, row - half_plate, right, row + half_plate],
        Colour::BLACK,
    );
    let [left, right] = from_edge(0.0, count);
    board.bar(panel, [left, row - 1.0, right, row + 1.0], palette::RULERS);

    let style = |anchor| Style {
        cut: Cut::Regular,
        scale: 1.0,
        colour: palette::RULERS,
        anchor,
    };
    // Numbers grow away from the edge, where there is room.
    let [inward, centre] = [
        if side.is_right_edge() {
            Anchor::Right
        } else {
            Anchor::Left
        },
        Anchor::Middle,
    ];
    let number = |board: &mut Board, at: f64, n: u32, unit_name: Option<&str>, y: f64| {
        let x = from_edge(at, at)[0];
        match unit_name {
            Some(name) => board.text(panel, &format!("{n} {name}"), style(inward), x, y),
            None => board.text(panel, &n.to_string(), style(centre), x, y),
        };
    };

    for n in 1..=count as u32 {
        let length = match n {
            n if n % 50 == 0 => 4.0,
            n if n % 10 == 0 => 3.0,
            n if n % 5 == 0 => 2.0,
            // Every other pixel: each tooth and each notch is one.
            n if n % 2 == 1 => 1.0,
            _ => continue,
        };
        let [left, right] = from_edge(f64::from(n) - 1.0, f64::from(n));
        let from = if n % 2 == 0 { unit + 1.0 } else { 1.0 };
        board.bar(
            panel,
            [left, row + from, right, row + 1.0 + length * unit],
            palette::RULERS,
        );
        let is_last = f64::from(n) + 50.0 > count;
        if n == 10 || n % 50 == 0 {
            let name = (is_last && n % 50 == 0).then_some("px");
            number(board, f64::from(n) - 0.5, n, name, row + 4.0 * unit + cap);
        }
    }
    let pitch = surface.pitch_mm()[0];
    let millimetres = (count * pitch).floor() as u32;
    for mm in 1..=millimetres {
        let length = match mm {
            mm if mm % 10 == 0 => 3.0,
            mm if mm % 5 == 0 => 2.0,
            _ => 1.0,
        };
        let at = f64::from(mm) / pitch;
        let [left, right] = from_edge(at - 0.5, at + 0.5);
        board.bar(
            panel,
            [left, row - 1.0 - length * unit, right, row - 1.0],
            palette::RULERS,
        );
        if mm % 10 == 0 {
            let name = (mm + 10 > millimetres).then_some("mm");
            number(board, at, mm, name, row - 3.0 * unit - cap);
        }
    }
}

/// Ticks at whole degrees of elevation along a lit edge.
fn elevation_marks(
    board: &mut Board,
    side: SeamSide,
    crossing: &Crossing,
    combs: [Option<f64>; 2],
) {
    let layout = board.layout;
    let surface = &layout.surfaces()[side.panel];
    let [low, high] = crossing.elevations.map(f64::to_degrees);
    let width = surface.pixels[0];
    // Whole degrees, or fewer where they would crowd.
    let step = if high - low > 60.0 { 5 } else { 1 };
    let long = 4.0 / surface.pitch_mm()[0];
    let mut numbers = Vec::new();
    for degrees in (low.ceil() as i32..=high.floor() as i32).filter(|d| d % step == 0) {
        let Some(row) = side.row(surface, f64::from(degrees).to_radians()) else {
            continue;
        };
        // A comb has a plate of its own.
        let clear = 5.0 * comb_unit(board, side.panel) + 2.0 * board.cap_px(side.panel);
        let under_comb = |comb: &f64| (row - comb).abs() < clear;
        if combs.iter().flatten().any(under_comb) {
            continue;
        }
        let length = (if degrees % 5 == 0 { 2.0 * long } else { long }).min(width / 8.0);
        let [left, right] = if side.is_right_edge() {
            [width - length, width]
        } else {
            [0.0, length]
        };
        board.bar(
            side.panel,
            [left, row - 1.0, right, row + 1.0],
            palette::RULERS,
        );
        if degrees % 5 == 0 {
            let (anchor, x) = if side.is_right_edge() {
                (Anchor::Right, left - board.cap_px(side.panel))
            } else {
                (Anchor::Left, right + board.cap_px(side.panel))
            };
            let style = Style {
                cut: Cut::Regular,
                scale: 1.0,
                colour: palette::RULERS,
                anchor,
            };
            let text = if degrees == 0 {
                "0°".to_owned()
            } else {
                format!("{degrees:+}°")
            };
            let plate = board.plate(side.panel, &text, style, x, row);
            numbers.push((text, style, [x, row], plate));
        }
    }
    // Where lines are read, none is covered by a number.
    let occupied = board.occupied(side.panel);
    numbers.retain(|(.., plate)| !occupied.is_crossed(*plate));
    for (text, style, [x, row], _) in numbers {
        board.text(side.panel, &text, style, x, row);
    }
}
