//! The rig that a program takes for the real one which draws into a window.

use glam::DVec3;

use super::flat_views::Screen;
use super::window_model::WindowModel;
use crate::geometry::azimuth;
use crate::rig::{Flaw, Panel, Parts, PxRect, Rig, Seam, Seat, Size, Turn, ViewId, Window};

/// A rig whose panels are pieces of the program's screens on the real rig's canvas. It
/// stands in a frame of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowRig {
    /// The pieces, from left to right; each has all of its panel's rows.
    pub rig: Rig,
    /// How many of them each real panel shows.
    pub pieces: Vec<usize>,
    /// The turn about the vertical, in radians to the right, from its frame to the seat's.
    pub heading_rad: f64,
    /// What the window leaves of the canvas.
    pub black: Vec<PxRect>,
    /// Rows of each real panel, from and to, that lie in the window.
    pub rows: Vec<[f64; 2]>,
}

/// One screen's part of a panel.
struct Piece {
    lit: PxRect,
    size_mm: [f64; 2],
    /// Middles of its left edge, itself and its right edge, in the seat frame.
    across: [DVec3; 3],
    screen: Screen,
}

impl WindowRig {
    /// What a program draws in a window of `rig`.
    ///
    /// # Errors
    ///
    /// The [`Flaw`] of a model that is no rig: a size out of range, or a screen that
    /// doesn't face the eye.
    pub fn new(rig: &Rig, window: &Window, model: &WindowModel) -> Result<WindowRig, Flaw> {
        let on_canvas = Place::of(rig, window);
        let screens = model.screens();
        let mut pieces = Vec::new();
        let mut counts = Vec::new();
        for &lit in &rig.canvas().panels {
            let before = pieces.len();
            for (number, &screen) in screens.iter().enumerate() {
                pieces.extend(on_canvas.piece(lit, number, screen));
            }
            counts.push(pieces.len() - before);
        }
        let facing = (pieces.iter().enumerate())
            .min_by(|(_, a), (_, b)| ahead(a).total_cmp(&ahead(b)))
            .map_or(0, |(index, _)| index);
        let seams = pieces.windows(2).map(|pair| seam(&pair[0], &pair[1]));
        let seams = seams.collect();
        let panels = (pieces.iter().enumerate()).map(|(index, piece)| Panel {
            desktop_px: Some([piece.lit.x, piece.lit.y].map(place)),
            ..Panel::new(
                format!("piece {}", index + 1),
                [piece.lit.w, piece.lit.h],
                Size::LitMm(piece.size_mm),
            )
        });
        let (normal, middle) = (pieces[facing].screen.normal, pieces[facing].across[1]);
        Ok(WindowRig {
            rig: Rig::new(Parts {
                name: rig.name().to_owned(),
                seat: Seat {
                    view: ViewId {
                        panel: facing,
                        view: 0,
                    },
                    distance_mm: -normal.dot(middle),
                    height_mm: -middle.y,
                    offset_mm: -pieces[facing].screen.right.dot(middle),
                },
                panels: panels.collect(),
                seams,
                window: None,
            })?,
            pieces: counts,
            heading_rad: azimuth(-normal),
            black: on_canvas.black(rig),
            rows: (rig.canvas().panels.iter())
                .map(|&lit| on_canvas.rows(lit))
                .collect(),
        })
    }
}

/// A canvas column or row as a place on the desktop.
fn place(at: u32) -> i32 {
    i32::try_from(at).unwrap_or(i32::MAX)
}

/// How far from straight ahead a piece's screen is turned.
fn ahead(piece: &Piece) -> f64 {
    azimuth(-piece.screen.normal).abs()
}

/// From one piece to the next, without cases: all of the way is gap and step.
fn seam(left: &Piece, right: &Piece) -> Seam {
    let turn = azimuth(-right.screen.normal) - azimuth(-left.screen.normal);
    let way = right.across[0] - left.across[2];
    let along = (left.screen.right + right.screen.right).normalize_or(DVec3::X);
    let towards = (left.screen.normal + right.screen.normal).normalize_or(DVec3::Z);
    Seam {
        gap_mm: way.dot(along) / (turn / 2.0).cos(),
        step_mm: way.dot(towards),
        rise_mm: right.across[1].y - left.across[1].y,
        ..Seam::new(Turn::AngleDeg(turn.to_degrees()))
    }
}

/// Where the window lies on the canvas.
struct Place {
    left: f64,
    top: f64,
    column: f64,
    height: f64,
    count: usize,
}

impl Place {
    fn of(rig: &Rig, window: &Window) -> Place {
        let facing = rig.canvas().panels[rig.seat().view.panel];
        let [x, y, _, height] = window.px.map(f64::from);
        Place {
            left: f64::from(facing.x) + x,
            top: f64::from(facing.y) + y,
            column: window.column_px(),
            height,
            count: window.count(),
        }
    }

    /// First canvas column of a window's column; the first one and the last go on beyond
    /// the window.
    fn cut(&self, number: usize) -> f64 {
        match number {
            0 => f64::NEG_INFINITY,
            n if n == self.count => f64::INFINITY,
            n => (self.left + self.column * n as f64 - 1e-6).ceil(),
        }
    }

    /// What a panel shows of a screen, above and below the window, too.
    fn piece(&self, lit: PxRect, number: usize, screen: Screen) -> Option<Piece> {
        let from = self.cut(number).max(f64::from(lit.x));
        let to = self.cut(number + 1).min(f64::from(lit.right()));
        if to <= from {
            return None;
        }
        let u = |column: f64| (column - self.left) / self.column - number as f64;
        let v = |row: f64| (row - self.top) / self.height;
        let [width, height] = screen.size_mm;
        let middle = v(f64::from(lit.y) + f64::from(lit.h) / 2.0);
        let across = [from, f64::midpoint(from, to), to];
        Some(Piece {
            // They lie within the panel's.
            lit: PxRect {
                x: from as u32,
                w: (to - from) as u32,
                ..lit
            },
            size_mm: [
                (to - from) / self.column * width,
                f64::from(lit.h) / self.height * height,
            ],
            across: across.map(|column| screen.point_mm(u(column), middle)),
            screen,
        })
    }

    /// What the window leaves of the canvas.
    fn black(&self, rig: &Rig) -> Vec<PxRect> {
        let [w, h] = rig.canvas().size_px;
        // Within the canvas, whose sides a u32 holds.
        let within = |at: f64, most: u32| at.round().clamp(0.0, f64::from(most)) as u32;
        let [left, top] = [within(self.left, w), within(self.top, h)];
        let right = within(self.left + self.column * self.count as f64, w);
        let bottom = within(self.top + self.height, h);
        let rect = |x: u32, y: u32, right: u32, bottom: u32| PxRect {
            x,
            y,
            w: right - x,
            h: bottom - y,
        };
        let mut black = vec![
            rect(0, 0, left, h),
            rect(right, 0, w, h),
            rect(left, 0, right, top),
            rect(left, bottom, right, h),
        ];
        black.retain(|rect| rect.w > 0 && rect.h > 0);
        black
    }

    /// Rows of a panel from and to which lie in the window.
    fn rows(&self, lit: PxRect) -> [f64; 2] {
        let (top, high) = (f64::from(lit.y), f64::from(lit.h));
        [self.top - top, self.top + self.height - top].map(|row| row.clamp(0.0, high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{Free, WindowFit};
    use crate::rig::{demos, read};
    use glam::DMat3;

    /// Every pixel of a piece lies where the program's screens have it.
    #[test]
    fn pieces_are_parts_of_the_screens() {
        for (demo, px, columns) in [
            (2, "[-1147, 0, 5733, 1224]", "[1, 3, 1]"),
            (1, "[-1900, 0, 5700, 643]", "[1, 1, 1]"),
            (0, "[-1943, 3, 5827, 1098]", "[2, 4]"),
        ] {
            let settings = [("window.px", px), ("window.columns", columns)];
            let settings = settings.map(|(key, value)| (key.to_owned(), value.to_owned()));
            let rig = read(demos()[demo].text, "demo", &settings).expect("a sound demo");
            let window = rig.window().expect("it has one");
            let model = WindowFit::of(&rig, Free::default())
                .expect("it has a window")
                .model;
            let drawn = WindowRig::new(&rig, window, &model).expect("a program can draw it");
            assert_eq!(drawn.rig.canvas().size_px, rig.canvas().size_px);
            let facing = rig.canvas().panels[rig.seat().view.panel];
            let screens = model.screens();
            let turned = DMat3::from_rotation_y(-drawn.heading_rad);
            let lits = drawn.rig.canvas().panels.iter();
            for (surface, lit) in drawn.rig.layout().surfaces().iter().zip(lits) {
                for (across, down) in [(0.1, 0.2), (0.5, 0.5), (0.9, 1.0)] {
                    let (px, py) = (across * f64::from(lit.w), down * f64::from(lit.h));
                    let x = f64::from(lit.x) - f64::from(facing.x) + px;
                    let y = f64::from(lit.y) - f64::from(facing.y) + py;
                    let along = (x - f64::from(window.px[0])) / window.column_px();
                    let number = along.floor().clamp(0.0, window.count() as f64 - 1.0);
                    let v = (y - f64::from(window.px[1])) / f64::from(window.px[3]);
                    let expected = screens[number as usize].point_mm(along - number, v);
                    let found = turned * surface.point_px(px, py);
                    assert!(found.distance(expected) < 1e-6, "{found} {expected}");
                }
            }
        }
    }
}
