//! Scales along the two lit edges of every seam.
//!
//! Near the top and the bottom of the seam, a comb counts pixels from the edge
//! and a scale above it millimetres. Along the edges, ticks stand at equal
//! elevations seen from the eye, so that those of both sides are in line.

use super::board::{Anchor, Board, Style};
use super::diagonals::Crossing;
use super::palette;
use crate::geometry::Surface;
use crate::typeset::Cut;

/// Columns that the comb counts.
const COMB_PX: u32 = 100;
/// Where the combs stand, as fractions of the seam's shared height.
const COMB_HEIGHTS: [f64; 2] = [0.05, 0.95];

/// Draws the scales of every seam.
pub fn draw(board: &mut Board) {
    for seam in 0..board.rig.seams().len() {
        let layout = board.layout;
        let crossing = Crossing::seam(layout, seam);
        if !crossing.is_shared() {
            continue;
        }
        for side in [
            Side {
                panel: seam,
                right_edge: true,
            },
            Side {
                panel: seam + 1,
                right_edge: false,
            },
        ] {
            let surface = &layout.surfaces()[side.panel];
            let combs = COMB_HEIGHTS
                .map(|height| row_at(surface, side, crossing.elevation(height)).map(f64::round));
            elevation_marks(board, side, &crossing, combs);
            for row in combs.into_iter().flatten() {
                comb(board, side, row);
            }
        }
    }
}

/// One side of a seam: a panel and which of its edges.
#[derive(Clone, Copy)]
struct Side {
    panel: usize,
    right_edge: bool,
}

/// Row at which the eye sees an elevation along a lit edge.
fn row_at(surface: &Surface, side: Side, elevation: f64) -> Option<f64> {
    surface
        .t_at_elevation(surface.edge_s_mm(side.right_edge), elevation)
        .map(|t| surface.py_at_t(t))
        .filter(|row| (0.0..=surface.pixels[1]).contains(row))
}

/// Rows of the shortest teeth.
fn comb_unit(board: &Board, panel: usize) -> f64 {
    (board.cap_px(panel) / 2.0).round().max(3.0)
}

/// A pixel comb below a row, and a millimetre scale above it.
fn comb(board: &mut Board, side: Side, row: f64) {
    let layout = board.layout;
    let surface = &layout.surfaces()[side.panel];
    let width = surface.pixels[0];
    let count = f64::from(COMB_PX).min((width / 4.0).floor());
    // From a distance off the edge to the panel's own columns.
    let from_edge = |from: f64, to: f64| {
        if side.right_edge {
            [width - to, width - from]
        } else {
            [from, to]
        }
    };
    let unit = comb_unit(board, side.panel);
    let style = Style {
        cut: Cut::Regular,
        scale: 1.0,
        colour: palette::RULERS,
        anchor: if side.right_edge {
            Anchor::Right
        } else {
            Anchor::Left
        },
    };
    let plate = from_edge(0.0, count + 2.0);
    board.bar(
        side.panel,
        [plate[0], row - 4.0 * unit, plate[1], row + 4.0 * unit],
        crate::light::Colour::BLACK,
    );
    let baseline = from_edge(0.0, count);
    board.bar(
        side.panel,
        [baseline[0], row - 1.0, baseline[1], row + 1.0],
        palette::RULERS,
    );

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
        let from = if length > 1.0 && n % 2 == 0 {
            unit + 1.0
        } else {
            1.0
        };
        board.bar(
            side.panel,
            [left, row + from, right, row + 1.0 + length * unit],
            palette::RULERS,
        );
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
            side.panel,
            [left, row - 1.0 - length * unit, right, row - 1.0],
            palette::RULERS,
        );
    }

    let at = |distance: f64| from_edge(distance, distance)[0];
    let gap = board.cap_px(side.panel);
    board.text(
        side.panel,
        &format!("{count:.0} px"),
        style,
        at(count + gap),
        row + 2.5 * unit,
    );
    board.text(
        side.panel,
        &format!("{millimetres} mm"),
        style,
        at(count + gap),
        row - 2.5 * unit,
    );
}

/// Ticks at whole degrees of elevation along a lit edge.
fn elevation_marks(board: &mut Board, side: Side, crossing: &Crossing, combs: [Option<f64>; 2]) {
    let layout = board.layout;
    let surface = &layout.surfaces()[side.panel];
    let [low, high] = crossing.elevations.map(f64::to_degrees);
    let width = surface.pixels[0];
    // Whole degrees, or fewer where they would crowd.
    let step = if high - low > 60.0 { 5 } else { 1 };
    let long = 4.0 / surface.pitch_mm()[0];
    for degrees in (low.ceil() as i32..=high.floor() as i32).filter(|d| d % step == 0) {
        let Some(row) = row_at(surface, side, f64::from(degrees).to_radians()) else {
            continue;
        };
        // A comb has a plate of its own.
        let under_comb = |comb: &f64| (row - comb).abs() < 5.0 * comb_unit(board, side.panel);
        if combs.iter().flatten().any(under_comb) {
            continue;
        }
        let length = (if degrees % 5 == 0 { 2.0 * long } else { long }).min(width / 8.0);
        let [left, right] = if side.right_edge {
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
            let (anchor, x) = if side.right_edge {
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
            board.text(side.panel, &text, style, x, row);
        }
    }
}
