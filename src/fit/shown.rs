//! What a program's screens are shown on: pieces of the panels, each of one screen.

use glam::DVec3;

use super::flat_views::Screen;
use super::flat_views_fit::unit;
use super::samples::{gauss_legendre, turn_between};
use crate::geometry::{Layout, Surface};
use crate::numbers::span_rad;
use crate::rig::Parts;

/// A rectangle of a panel that shows a part of one screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    /// Index of the panel.
    pub panel: usize,
    /// Index of the screen.
    pub screen: usize,
    /// Columns of the panel from and to.
    pub columns: [f64; 2],
    /// Rows of the panel from and to.
    pub rows: [f64; 2],
    /// Fractions of the screen's width at those columns.
    u: [f64; 2],
    /// Fractions of the screen's height at those rows.
    v: [f64; 2],
}

impl Piece {
    /// Fractions of the screen at a column and a row of the panel.
    pub(crate) fn on_screen(&self, column: f64, row: f64) -> [f64; 2] {
        let along = |[from, to]: [f64; 2], [start, end]: [f64; 2], at: f64| {
            start + (end - start) * ((at - from) / (to - from))
        };
        [
            along(self.columns, self.u, column),
            along(self.rows, self.v, row),
        ]
    }

    pub(crate) fn area_px(&self) -> f64 {
        (self.columns[1] - self.columns[0]) * (self.rows[1] - self.rows[0])
    }
}

/// A window before it is rounded to whole pixels, or after.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Frame {
    /// Left edge, told from the facing panel's.
    pub x: f64,
    /// Width of a column.
    pub column: f64,
    /// How many columns.
    pub count: usize,
    /// Top edge, told from the facing panel's.
    pub y: f64,
    /// Height.
    pub height: f64,
    /// Every panel's left and top edge, told from the facing panel's.
    pub places: Vec<[f64; 2]>,
    /// Whether cuts fall between whole pixels, of which each belongs to the column that
    /// its left edge lies in.
    pub whole: bool,
}

/// Pieces narrower or lower than this many pixels are what rounding leaves of none.
const SLIVER_PX: f64 = 0.4;

impl Frame {
    /// The column that begins here, as a place between the panel's columns.
    fn cut(&self, number: usize) -> f64 {
        let cut = self.x + self.column * number as f64;
        if self.whole { (cut - 1e-6).ceil() } else { cut }
    }

    fn pieces(&self, parts: &Parts) -> Vec<Piece> {
        let mut pieces = Vec::new();
        for (panel, place) in self.places.iter().enumerate() {
            let [wide, high] = parts.panels[panel].pixels.map(f64::from);
            let [left, top] = *place;
            let rows = [
                (self.y - top).max(0.0),
                (self.y + self.height - top).min(high),
            ];
            if rows[1] - rows[0] < SLIVER_PX {
                continue;
            }
            let v = rows.map(|row| (row + top - self.y) / self.height);
            for screen in 0..self.count {
                let columns = [
                    (self.cut(screen) - left).max(0.0),
                    (self.cut(screen + 1) - left).min(wide),
                ];
                if columns[1] - columns[0] < SLIVER_PX {
                    continue;
                }
                let u =
                    columns.map(|column| (column + left - self.x) / self.column - screen as f64);
                pieces.push(Piece {
                    panel,
                    screen,
                    columns,
                    rows,
                    u,
                    v,
                });
            }
        }
        pieces
    }
}

/// Screens shown on panels, and where the eye is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Shown {
    surfaces: Vec<Surface>,
    /// From left to right.
    pub pieces: Vec<Piece>,
    /// What moves the rig's points to where the program's eye is the origin.
    pub shift_mm: DVec3,
    /// Rows of the window; 1 where it is the whole canvas.
    height_px: f64,
}

impl Shown {
    /// A window on panels, seen from the true eye.
    pub(crate) fn in_window(parts: &Parts, layout: &Layout, frame: &Frame) -> Shown {
        Shown {
            surfaces: layout.surfaces().to_vec(),
            pieces: frame.pieces(parts),
            shift_mm: DVec3::ZERO,
            height_px: frame.height,
        }
    }

    /// The whole canvas cut into the panels' views; the rig is shifted.
    pub(crate) fn in_views(parts: &Parts, layout: &Layout, shift_mm: DVec3) -> Shown {
        let mut pieces = Vec::new();
        for (panel, part) in parts.panels.iter().enumerate() {
            let [wide, high] = part.pixels.map(f64::from);
            for view in 0..part.views {
                let share = wide / f64::from(part.views);
                pieces.push(Piece {
                    panel,
                    screen: pieces.len(),
                    columns: [view, view + 1].map(|edge| f64::from(edge) * share),
                    rows: [0.0, high],
                    u: [0.0, 1.0],
                    v: [0.0, 1.0],
                });
            }
        }
        Shown {
            surfaces: layout.surfaces().to_vec(),
            pieces,
            shift_mm,
            height_px: 1.0,
        }
    }

    pub(crate) fn surface(&self, piece: &Piece) -> &Surface {
        &self.surfaces[piece.panel]
    }

    /// Rows of the window; 1 where it is the whole canvas.
    pub(crate) fn height_px(&self) -> f64 {
        self.height_px
    }

    /// Pixels that it lights.
    pub(crate) fn lit_px(&self) -> f64 {
        self.pieces.iter().map(Piece::area_px).sum()
    }

    /// Unit directions of a place on a panel, as the eye sees it and as the program has it.
    pub(crate) fn directions(
        &self,
        piece: &Piece,
        screens: &[Screen],
        column: f64,
        row: f64,
    ) -> [DVec3; 2] {
        let point = self.surface(piece).point_px(column, row) + self.shift_mm;
        let [u, v] = piece.on_screen(column, row);
        [unit(point), unit(screens[piece.screen].point_mm(u, v))]
    }

    /// From the leftmost lit pixel to the rightmost, in radians, as the eye sees them.
    pub(crate) fn span_rad(&self) -> f64 {
        let mut lit: Vec<(&Surface, [f64; 2])> = Vec::new();
        let mut last = None;
        for piece in &self.pieces {
            let surface = self.surface(piece);
            let [from, to] = piece.columns.map(|column| surface.s_at_px(column));
            match lit.last_mut() {
                Some((_, range)) if last == Some(piece.panel) => {
                    *range = [range[0].min(from), range[1].max(to)];
                }
                _ => lit.push((surface, [from, to])),
            }
            last = Some(piece.panel);
        }
        if lit.is_empty() { 0.0 } else { span_rad(lit) }
    }

    /// Samples whose number depends on the pieces' alone.
    pub(crate) fn sampled(&self, nodes: &Nodes) -> Samples {
        let total = self.lit_px();
        let count = self.pieces.len() * nodes.0.len().pow(2);
        let mut samples = Samples {
            seen: Vec::with_capacity(count),
            on: Vec::with_capacity(count),
        };
        for piece in &self.pieces {
            let surface = self.surface(piece);
            let share = piece.area_px() / total;
            let at = |[from, to]: [f64; 2], x: f64| f64::midpoint(from, to) + (to - from) / 2.0 * x;
            for &(x, wide) in &nodes.0 {
                let column = at(piece.columns, x);
                let ground = surface.point_px(column, surface.pixels[1] / 2.0) + self.shift_mm;
                for &(y, high) in &nodes.0 {
                    let row = at(piece.rows, y);
                    let point = ground + surface.y * surface.t_at_px(row);
                    samples.seen.push(unit(point));
                    let root = (share * wide * high / 4.0).sqrt();
                    samples
                        .on
                        .push((piece.screen, piece.on_screen(column, row), root));
                }
            }
        }
        samples
    }
}

/// Nodes along a side of a piece.
#[derive(Debug, Clone)]
pub(crate) struct Nodes(Vec<(f64, f64)>);

impl Nodes {
    pub(crate) fn new(count: usize) -> Nodes {
        Nodes(gauss_legendre(count))
    }
}

/// Places on screens, and where the eye sees them.
#[derive(Debug, Clone)]
pub(crate) struct Samples {
    seen: Vec<DVec3>,
    /// The screen, fractions on it, and the square root of the share of all pixels.
    on: Vec<(usize, [f64; 2], f64)>,
}

impl Samples {
    /// The angles between where the eye sees a place and where the screens have it, as
    /// weighted vectors: their squares add up to the mean square.
    pub(crate) fn residuals(&self, screens: &[Screen], out: &mut Vec<f64>) {
        for (&seen, &(screen, [u, v], root)) in self.seen.iter().zip(&self.on) {
            let modelled = unit(screens[screen].point_mm(u, v));
            out.extend((turn_between(seen, modelled) * root).to_array());
        }
    }
}
