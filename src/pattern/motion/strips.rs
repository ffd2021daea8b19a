//! A frame strip on each side of every seam, at the same elevations for the eye.

use super::Motion;
use crate::geometry::{LitEdge, Surface};
use crate::light::Colour;
use crate::pattern::board::{Anchor, Board, Style};
use crate::pattern::diagonals::Crossing;
use crate::pattern::palette;
use crate::rig::Rig;
use crate::strip_code::{
    BORDER, CELL_MARGIN, COLUMNS, GAP, QUIET, SIZE, Side, StripCode, flashing_cells,
    flashing_digits, rate_chz,
};
use crate::typeset::Cut;

/// From one cell's middle to the next, in millimetres, halfway between the two sides'
/// distances from the eye.
const PITCH_MM: f64 = 5.0;
/// Fewest pixels of a pitch: below it a cell can't be told from its neighbours.
const LEAST_PITCH_PX: f64 = 4.0;
/// Most area that may flash more than three times a second inside any 10° of the field
/// of view: 0.006 sr is the limit of WCAG 2, success criterion 2.3.1; a tenth of it is
/// room for what is rounded to pixels.
const MOST_FLASHING_SR: f64 = 0.006 * 0.9;
/// Diameter of such a field.
const FIELD_RAD: f64 = 10.0 / 180.0 * std::f64::consts::PI;
/// Below the border: dark, a line of words, dark; in pitches.
const WORDS: f64 = 2.4;
/// Where on the height that a seam's edges share a strip's middle may lie, as fractions
/// from below; the first at which both sides have room is taken.
const HEIGHTS: [f64; 6] = [0.75, 0.25, 0.65, 0.35, 0.55, 0.45];

/// A seam's strip on one side.
pub(super) struct Strip {
    seam: usize,
    side: Side,
    panel: usize,
    /// Its border's left and top edge in the panel's pixels.
    corner: [f64; 2],
    /// Columns and rows of a pitch.
    pitch_px: [f64; 2],
}

/// The strips of a rig.
pub(super) struct Strips {
    strips: Vec<Strip>,
    clock_hz: f64,
}

impl Strips {
    /// The strips at every seam whose edges share enough height.
    pub(super) fn of(rig: &Rig) -> Strips {
        let clock_hz = Motion::clock_hz(rig);
        let at = |pitch_mm: f64| -> Vec<Strip> {
            let seams = 0..rig.seams().len();
            seams
                .filter_map(|seam| at_seam(rig, seam, pitch_mm))
                .flatten()
                .collect()
        };
        let mut pitch_mm = PITCH_MM;
        let mut strips = at(pitch_mm);
        // Pixels are whole, so one step may not be enough.
        for _ in 0..8 {
            let flashing = most_flashing_sr(rig, &strips, clock_hz);
            if flashing <= MOST_FLASHING_SR {
                break;
            }
            pitch_mm *= (MOST_FLASHING_SR / flashing).sqrt() * 0.98;
            strips = at(pitch_mm);
        }
        Strips { strips, clock_hz }
    }

    /// Draws all of them for a frame.
    pub(super) fn draw(&self, board: &mut Board, frame: u32) {
        for strip in &self.strips {
            strip.draw(board, self.clock_hz, frame);
        }
    }
}

/// Both strips of a seam; `None` where there is no room for them.
fn at_seam(rig: &Rig, seam: usize, pitch_mm: f64) -> Option<[Strip; 2]> {
    let layout = rig.layout();
    let crossing = Crossing::seam(layout, seam);
    if !crossing.is_shared() {
        return None;
    }
    let [left, right] = layout.seam(seam);
    let sides = [
        (seam, left, LitEdge::Right, Side::Left),
        (seam + 1, right, LitEdge::Left, Side::Right),
    ];
    let is_above = crossing.elevation(0.5) < 0.0;
    HEIGHTS.into_iter().find_map(|height| {
        // Farther from eye level first, where the bars are.
        let height = if is_above { 1.0 - height } else { height };
        let elevation = crossing.elevation(height);
        let points = sides.map(|(_, surface, edge, _)| {
            let s = surface.edge_s_mm(edge);
            let t = surface.t_at_elevation(s, elevation)?;
            Some(surface.point_mm(s, t).length())
        });
        let distance = points[0]?.midpoint(points[1]?);
        let pitch = pitch_mm / distance;
        let [one, other] = sides.map(|(panel, surface, edge, side)| {
            let (corner, pitch_px) = place(surface, edge, elevation, pitch)?;
            Some(Strip {
                seam,
                side,
                panel,
                corner,
                pitch_px,
            })
        });
        Some([one?, other?])
    })
}

/// Where a strip stands whose middle is seen at an elevation and whose pitch is seen
/// under an angle, both in radians: its corner, and its pitch in columns and rows.
fn place(
    surface: &Surface,
    edge: LitEdge,
    elevation: f64,
    pitch: f64,
) -> Option<([f64; 2], [f64; 2])> {
    let [width, height] = SIZE;
    let row = |elevation: f64| {
        let t = surface.t_at_elevation(surface.edge_s_mm(edge), elevation)?;
        Some(surface.py_at_t(t))
    };
    let half = height / 2.0 * pitch;
    let [top, bottom] = [row(elevation + half)?, row(elevation - half)?];
    let down = ((bottom - top) / height).round();
    let [pitch_x, pitch_y] = surface.pitch_mm();
    let across = (down * pitch_y / pitch_x).round();
    if down < LEAST_PITCH_PX || across < LEAST_PITCH_PX {
        return None;
    }
    let [columns, rows] = surface.pixels;
    let y = (top.midpoint(bottom) - height / 2.0 * down).round();
    let ends = [y - QUIET * down, y + (height + WORDS) * down];
    let taken = (width + 2.0 * QUIET) * across;
    if ends[0] < 0.0 || ends[1] > rows || taken > columns / 2.0 {
        return None;
    }
    let x = match edge {
        LitEdge::Left => (QUIET * across).round(),
        LitEdge::Right => (columns - (QUIET + width) * across).round(),
    };
    Some(([x, y], [across, down]))
}

impl Strip {
    /// Edges in the panel's pixels of an area given in pitches from the border's corner.
    fn edges(&self, area: [f64; 4]) -> [f64; 4] {
        let [x, y] = self.corner;
        let [across, down] = self.pitch_px;
        let [left, top, right, bottom] = area;
        [
            x + (left * across).round(),
            y + (top * down).round(),
            x + (right * across).round(),
            y + (bottom * down).round(),
        ]
    }

    fn draw(&self, board: &mut Board, clock_hz: f64, frame: u32) {
        let [width, height] = SIZE;
        let code = StripCode {
            seam: self.seam as u32 + 1,
            side: self.side,
            rate_chz: rate_chz(clock_hz),
            frame,
        };
        let mut fill = |area: [f64; 4], colour: Colour| {
            board.bar(self.panel, self.edges(area), colour);
        };
        fill(
            [-QUIET, -QUIET, width + QUIET, height + WORDS],
            Colour::BLACK,
        );
        fill([0.0, 0.0, width, height], LIT);
        fill(
            [BORDER, BORDER, width - BORDER, height - BORDER],
            Colour::BLACK,
        );
        for (cell, lit) in code.cells().into_iter().enumerate() {
            // Dark cells are drawn too, so that marks of two frames pair up.
            fill(cell_area(cell), if lit { LIT } else { Colour::BLACK });
        }
        self.say(board, code);
    }

    /// Writes below it what it says.
    fn say(&self, board: &mut Board, code: StripCode) {
        let [width, height] = SIZE;
        let [left, top, right, bottom] = self.edges([0.0, height, width, height + WORDS]);
        let scale = 0.9 * self.pitch_px[1] / board.cap_px(self.panel);
        let middle = (top.midpoint(bottom) + 0.2 * self.pitch_px[1]).round();
        let frame = code.frame % (1 << crate::strip_code::FRAME_BITS);
        let style = |cut, anchor| Style {
            cut,
            scale,
            colour: palette::TEXT,
            anchor,
        };
        let number = style(Cut::Bold, Anchor::Left);
        board.text(self.panel, &format!("{frame:07}"), number, left, middle);
        let name = format!("seam {} {}", code.seam, code.side.name());
        let words = style(Cut::Regular, Anchor::Right);
        board.text(self.panel, &name, words, right, middle);
    }

    /// Area in steradians that flashes more than three times a second, for the eye.
    fn flashing_sr(&self, surface: &Surface, clock_hz: f64) -> f64 {
        let [across, down] = self.pitch_px;
        let lit = (1.0 - 2.0 * CELL_MARGIN).powi(2) * flashing_cells(clock_hz) as f64;
        // A digit's box is no larger than a pitch.
        let pitches = lit + flashing_digits(clock_hz) as f64;
        let [pitch_x, pitch_y] = surface.pitch_mm();
        pitches * across * pitch_x * down * pitch_y * self.per_square_mm(surface)
    }

    /// Steradians that a square millimetre of it has for the eye, where it has most.
    fn per_square_mm(&self, surface: &Surface) -> f64 {
        let [left, top, right, bottom] = self.edges([0.0, 0.0, SIZE[0], SIZE[1] + WORDS]);
        let corners = [[left, top], [right, top], [left, bottom], [right, bottom]];
        let at = corners.map(|[px, py]| {
            let point = surface.point_px(px, py);
            let normal = surface.normal(surface.s_at_px(px));
            -normal.dot(point) / point.length().powi(3)
        });
        at.into_iter().fold(0.0, f64::max)
    }
}

/// A cell's area in pitches from the border's corner.
fn cell_area(cell: usize) -> [f64; 4] {
    let [column, row] = [cell % COLUMNS, cell / COLUMNS].map(|n| BORDER + GAP + n as f64);
    [
        column + CELL_MARGIN,
        row + CELL_MARGIN,
        column + 1.0 - CELL_MARGIN,
        row + 1.0 - CELL_MARGIN,
    ]
}

/// The strips' lit areas.
const LIT: Colour = Colour([255, 255, 255]);

/// Most area, in steradians, that flashes more than three times a second inside any 10°
/// of the field of view: at most that of all strips any part of which lies within such a
/// field that holds a part of one.
fn most_flashing_sr(rig: &Rig, strips: &[Strip], clock_hz: f64) -> f64 {
    let seen: Vec<_> = strips
        .iter()
        .map(|strip| {
            let surface = &rig.layout().surfaces()[strip.panel];
            let [left, top, right, bottom] = strip.edges([0.0, 0.0, SIZE[0], SIZE[1] + WORDS]);
            let at = |px, py| surface.point_px(px, py).normalize_or_zero();
            let middle = at(left.midpoint(right), top.midpoint(bottom));
            let corners = [
                at(left, top),
                at(right, top),
                at(left, bottom),
                at(right, bottom),
            ];
            let radius = corners.map(|corner| corner.angle_between(middle));
            let radius = radius.into_iter().fold(0.0, f64::max);
            (middle, radius, strip.flashing_sr(surface, clock_hz))
        })
        .collect();
    let around = seen.iter().map(|(middle, radius, _)| {
        let near = seen
            .iter()
            .filter(|(other, its, _)| middle.angle_between(*other) - radius - its < FIELD_RAD);
        near.map(|(.., area)| area).sum::<f64>()
    });
    around.fold(0.0, f64::max)
}
