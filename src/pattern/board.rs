//! Where a pattern is put together: strokes, bars and text for one rig.

use std::sync::Arc;

use glam::DVec3;

use super::curve::{Curve, Profile};
use super::guides::Guide;
use super::mark::{Bar, Mark, Stroke, TextLine, Wedge, WedgeEdge};
use super::tile::Tile;
use super::{Line, Pattern, palette};
use crate::geometry::{EyePlane, Layout, LitEdge, Region, Ruling, Surface, regions};
use crate::light::Colour;
use crate::rig::{Canvas, PxRect, Rig};
use crate::typeset::{Cut, TypeSize, Typesetter};

/// Least height of a capital that must be read, as seen from the eye.
const CAP_ARCMIN: f64 = 12.0;
/// Farthest that a person reads the panels from while nudging them.
const READ_FROM_MM: f64 = 900.0;
/// Smallest capital whose shape the face still holds.
const MIN_CAP_PX: f64 = 8.0;

/// A pattern being drawn.
pub(super) struct Board<'a> {
    /// The rig.
    pub rig: &'a Rig,
    /// Its panels in the seat frame.
    pub layout: &'a Layout,
    profiles: Vec<Arc<Profile>>,
    regions: Vec<Region>,
    /// Height of a capital at each panel's reading size.
    caps_px: Vec<f64>,
    typesetter: &'a mut Typesetter,
    lines: Vec<Line>,
    marks: Vec<Mark>,
    /// Of each panel, which marks are its lines, in order,
    strokes: Vec<Vec<usize>>,
    /// and the plates of its texts.
    plates: Vec<Vec<[f64; 4]>>,
}

/// Which point of a text stands at the given place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    /// The left end.
    Left,
    /// The middle.
    Middle,
    /// The right end.
    Right,
}

/// How a text is set.
#[derive(Debug, Clone, Copy)]
pub(super) struct Style {
    /// Cut of the face.
    pub cut: Cut,
    /// Height of a capital, relative to the panel's reading size.
    pub scale: f64,
    /// Colour of the letters.
    pub colour: Colour,
    /// Which end of the text the place names.
    pub anchor: Anchor,
}

/// Where a text stands: its left end, its baseline, and the edges of its plate.
struct TextPlace {
    left: f64,
    base: f64,
    plate: [f64; 4],
}

impl<'a> Board<'a> {
    /// An empty board.
    pub(super) fn new(rig: &'a Rig, typesetter: &'a mut Typesetter) -> Board<'a> {
        /// More marks than three panels have.
        const MARKS: usize = 2048;
        let layout = rig.layout();
        let surfaces = layout.surfaces();
        Board {
            rig,
            layout,
            profiles: surfaces.iter().map(Profile::shared).collect(),
            regions: regions(rig.canvas(), layout),
            caps_px: surfaces.iter().map(cap_px).collect(),
            typesetter,
            lines: Vec::new(),
            marks: Vec::with_capacity(MARKS),
            strokes: vec![Vec::new(); surfaces.len()],
            plates: vec![Vec::new(); surfaces.len()],
        }
    }

    /// The finished pattern.
    pub(super) fn finish(self) -> Pattern {
        Pattern {
            lines: self.lines,
            marks: self.marks,
        }
    }

    /// The panels' rectangles on the canvas.
    pub(super) fn canvas(&self) -> &'a Canvas {
        self.rig.canvas()
    }

    /// Draws a guide over the whole canvas.
    pub(super) fn guide(&mut self, guide: &Guide) {
        let (colour, width_px) = palette::line(guide.layer);
        for region in &self.regions {
            let curve = Curve::on(
                &region.ruling,
                self.layout.surfaces(),
                &self.profiles,
                guide.plane,
            );
            if let Ruling::Panel { panel, .. } = region.ruling {
                self.strokes[panel].push(self.marks.len());
            }
            self.marks.push(Mark::Stroke(Stroke {
                curve,
                clip: region.rect,
                width_px,
                colour,
            }));
        }
        self.line(Line {
            name: guide.name.clone(),
            layer: guide.layer,
            plane: guide.plane,
            width_px,
            colour,
        });
    }

    /// Notes a line that looks straight.
    pub(super) fn line(&mut self, line: Line) {
        self.lines.push(line);
    }

    /// Strokes a plane on one panel as if the panel stood at `surface`, inside
    /// a rectangle given in the panel's own pixels.
    pub(super) fn stroke(
        &mut self,
        panel: usize,
        surface: &Surface,
        plane: EyePlane,
        [left, top, right, bottom]: [f64; 4],
        (colour, width_px): (Colour, f64),
    ) {
        let lit = self.canvas().panels[panel];
        let (w, h) = (f64::from(lit.w), f64::from(lit.h));
        let [left, right] = [left, right].map(|x| x.round().clamp(0.0, w) as u32);
        let [top, bottom] = [top, bottom].map(|y| y.round().clamp(0.0, h) as u32);
        if left >= right || top >= bottom {
            return;
        }
        self.strokes[panel].push(self.marks.len());
        self.marks.push(Mark::Stroke(Stroke {
            curve: Curve::on_panel(&self.profiles[panel], surface, lit, plane),
            clip: PxRect {
                x: lit.x + left,
                y: lit.y + top,
                w: right - left,
                h: bottom - top,
            },
            width_px,
            colour,
        }));
    }

    /// Fills what every surface shows between two azimuths in radians, less than half a
    /// turn apart, inside some rows of the canvas: from and to, for each panel. What
    /// lies behind a seam takes those of the panel at its left.
    pub(super) fn wedge(&mut self, azimuths: [f64; 2], rows: &[[u32; 2]], colour: Colour) {
        for region in &self.regions {
            let panel = match &region.ruling {
                Ruling::Panel { panel, .. } => Some(*panel),
                Ruling::Chord { columns, .. } => {
                    let panels = &self.rig.canvas().panels;
                    let is_left_of = |lit: &PxRect| f64::from(lit.right()) == columns[0];
                    panels.iter().position(is_left_of)
                }
            };
            let Some([top, bottom]) = panel.map(|panel| rows[panel]) else {
                continue;
            };
            let band = PxRect {
                y: top,
                h: bottom - top,
                ..region.rect
            };
            let Some(clip) = band.intersection(region.rect) else {
                continue;
            };
            let edges = azimuths.map(|azimuth| {
                let (sin, cos) = azimuth.sin_cos();
                let to_right = DVec3::new(cos, 0.0, sin);
                // A direction has length, so this is a plane.
                let plane = EyePlane::new(to_right).unwrap_or(EyePlane::HORIZON);
                WedgeEdge {
                    curve: Curve::on(
                        &region.ruling,
                        self.layout.surfaces(),
                        &self.profiles,
                        plane,
                    ),
                    factor: plane.normal().dot(to_right).signum(),
                }
            });
            let wedge = Wedge::new(edges, clip, colour);
            self.marks.extend(wedge.map(Mark::Wedge));
        }
    }

    /// Fills a rectangle given in a panel's own pixels.
    pub(super) fn bar(&mut self, panel: usize, edges: [f64; 4], colour: Colour) {
        let clip = self.canvas().panels[panel];
        let [left, top, right, bottom] = edges;
        let (x, y) = (f64::from(clip.x), f64::from(clip.y));
        self.marks.push(Mark::Bar(Bar {
            edges: [left + x, top + y, right + x, bottom + y],
            clip,
            colour,
        }));
    }

    /// Lays a patch of shares down, its top left pixel at a column and row of a panel.
    pub(super) fn tile(
        &mut self,
        panel: usize,
        [x, y]: [u32; 2],
        [w, h]: [u32; 2],
        shares: Arc<[u8]>,
        colour: Colour,
    ) {
        let clip = self.canvas().panels[panel];
        self.marks.push(Mark::Tile(Tile {
            area: PxRect {
                x: clip.x + x,
                y: clip.y + y,
                w,
                h,
            },
            shares,
            clip,
            colour,
        }));
    }

    /// Height in rows of a capital at the panel's reading size.
    pub(super) fn cap_px(&self, panel: usize) -> f64 {
        self.caps_px[panel]
    }

    fn type_size(&self, panel: usize, scale: f64) -> TypeSize {
        let [pitch_x, pitch_y] = self.layout.surfaces()[panel].pitch_mm();
        TypeSize {
            cap_px: (self.cap_px(panel) * scale) as f32,
            widening: (pitch_y / pitch_x).clamp(0.1, 10.0) as f32,
        }
    }

    /// Width in columns of a text on a panel.
    pub(super) fn text_width(&mut self, panel: usize, text: &str, style: Style) -> f64 {
        let size = self.type_size(panel, style.scale);
        f64::from(self.typesetter.width_px(text, style.cut, size))
    }

    /// Sets a line of text on a black plate, its capitals' middle at (x, y) in
    /// the panel's own pixels. Gives the plate's edges.
    pub(super) fn text(
        &mut self,
        panel: usize,
        text: &str,
        style: Style,
        x: f64,
        y: f64,
    ) -> [f64; 4] {
        let size = self.type_size(panel, style.scale);
        let TextPlace { left, base, plate } = self.place(panel, text, style, [x, y]);
        self.bar(panel, plate, Colour::BLACK);
        self.plates[panel].push(plate);

        let clip = self.canvas().panels[panel];
        let origin = [left + f64::from(clip.x), base + f64::from(clip.y)].map(|v| v as i32);
        let [x, y] = origin;
        self.marks.push(Mark::Text(TextLine {
            placed: self.typesetter.set(text, style.cut, size, x, y),
            clip,
            colour: style.colour,
        }));
        plate
    }

    /// The edges of the plate that [`Board::text`] would set a text on.
    pub(super) fn plate(
        &mut self,
        panel: usize,
        text: &str,
        style: Style,
        x: f64,
        y: f64,
    ) -> [f64; 4] {
        self.place(panel, text, style, [x, y]).plate
    }

    fn place(&mut self, panel: usize, text: &str, style: Style, [x, y]: [f64; 2]) -> TextPlace {
        let size = self.type_size(panel, style.scale);
        let width = self.text_width(panel, text, style);
        let cap = f64::from(size.cap_px);
        let left = match style.anchor {
            Anchor::Left => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::Right => x - width,
        }
        .round();
        let base = (y + cap / 2.0).round();
        let (beside, above) = ((cap * 0.4).ceil(), (cap * 0.45).ceil());
        let plate = [
            left - beside,
            base - cap.ceil() - above,
            (left + width).ceil() + beside,
            base + above,
        ];
        TextPlace { left, base, plate }
    }

    /// The plates of the texts on a panel so far.
    pub(super) fn texts(&self, panel: usize) -> &[[f64; 4]] {
        &self.plates[panel]
    }

    /// What a label on a panel might hide of the pattern so far.
    pub(super) fn occupied(&self, panel: usize) -> Occupied<'_> {
        let strokes = self.strokes[panel].iter();
        let strokes = strokes.filter_map(|&index| match &self.marks[index] {
            Mark::Stroke(stroke) => Some(stroke),
            _ => None,
        });
        Occupied {
            lit: self.canvas().panels[panel],
            strokes: strokes.collect(),
            plates: &self.plates[panel],
        }
    }

    /// Draws a two-pixel frame inside edges given in a panel's own pixels.
    pub(super) fn frame(
        &mut self,
        panel: usize,
        [left, top, right, bottom]: [f64; 4],
        colour: Colour,
    ) {
        let thick = 2.0;
        for edges in [
            [left, top, right, top + thick],
            [left, bottom - thick, right, bottom],
            [left, top, left + thick, bottom],
            [right - thick, top, right, bottom],
        ] {
            self.bar(panel, edges, colour);
        }
    }
}

/// The lines and the texts on a panel.
pub(super) struct Occupied<'a> {
    lit: PxRect,
    strokes: Vec<&'a Stroke>,
    plates: &'a [[f64; 4]],
}

/// Height in rows of a capital at a panel's reading size.
fn cap_px(surface: &Surface) -> f64 {
    let farthest = LitEdge::BOTH
        .map(|edge| surface.point_mm(surface.edge_s_mm(edge), surface.size_mm[1] / 2.0))
        .map(|corner| corner.length())
        .into_iter()
        .fold(READ_FROM_MM, f64::max);
    let cap_mm = farthest * (CAP_ARCMIN / 60.0).to_radians().tan();
    // A tiny panel keeps its text within a twentieth of its height.
    let most = (surface.pixels[1] / 20.0).max(1.0);
    (cap_mm / surface.pitch_mm()[1])
        .ceil()
        .max(MIN_CAP_PX)
        .min(most)
}

/// Whether two rectangles have any pixel in common: left, top, right and bottom.
pub(super) fn overlap(one: [f64; 4], other: [f64; 4]) -> bool {
    one[0] < other[2] && one[2] > other[0] && one[1] < other[3] && one[3] > other[1]
}

/// Whether all of a stroke between two columns lies above some rows, or below, as far as
/// its rows at the two tell.
fn passes_by(stroke: &Stroke, [from, to]: [u32; 2], [top, bottom]: [f64; 2]) -> bool {
    let Curve::Panel(curve) = &stroke.curve else {
        return false;
    };
    if from > to {
        return true;
    }
    let strays = curve.strays_px().outside(f64::from(to - from));
    let rows = [from, to].map(|x| curve.column(x).row());
    // Neither holds for what is no number.
    rows.iter().all(|row| row + strays < top) || rows.iter().all(|row| row - strays >= bottom)
}

impl Occupied<'_> {
    /// Whether a line or a text passes through a rectangle, given in the panel's own
    /// pixels.
    pub(super) fn is_crossed(&self, [left, top, right, bottom]: [f64; 4]) -> bool {
        let mut plates = self.plates.iter();
        let is_on_text = plates.any(|plate| overlap(*plate, [left, top, right, bottom]));
        let [top, bottom] = [top, bottom].map(|row| row + f64::from(self.lit.y));
        let last = f64::from(self.lit.w) - 1.0;
        let [from, to] = [left, right].map(|px| self.lit.x + px.clamp(0.0, last) as u32);
        is_on_text
            || self.strokes.iter().any(|stroke| {
                let half = stroke.width_px / 2.0;
                let rows = [top - half, bottom + half];
                let within = [from.max(stroke.clip.x), to.min(stroke.clip.right() - 1)];
                !passes_by(stroke, within, rows)
                    && (within[0]..=within[1]).step_by(2).any(|x| {
                        let row = stroke.curve.column(x).row();
                        (rows[0]..rows[1]).contains(&row)
                    })
            })
    }

    /// What lies between two columns, given in the panel's own pixels.
    pub(super) fn between(&self, [left, right]: [f64; 2]) -> Between<'_> {
        let last = f64::from(self.lit.w) - 1.0;
        let columns = [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| {
            let px = left + (right - left) * share;
            self.lit.x + px.clamp(0.0, last) as u32
        });
        let mut passing = Vec::with_capacity(columns.len() * self.strokes.len());
        for stroke in &self.strokes {
            let weight = (stroke.width_px * stroke.width_px) as usize;
            let across = stroke.clip.x..stroke.clip.right();
            let passes = columns.iter().filter(|x| across.contains(x));
            passing.extend(passes.map(|&x| (stroke.curve.column(x).row(), weight)));
        }
        Between {
            columns: [left, right],
            top: f64::from(self.lit.y),
            passing,
            plates: self.plates,
        }
    }
}

/// The lines and the texts between two columns of a panel.
pub(super) struct Between<'a> {
    columns: [f64; 2],
    /// The panel's first canvas row.
    top: f64,
    /// In which canvas rows lines pass, at five of the columns, and how much each weighs.
    passing: Vec<(f64, usize)>,
    plates: &'a [[f64; 4]],
}

impl Between<'_> {
    /// How much the rectangle between two rows, given in the panel's own pixels, would
    /// hide: lines passing through it, by their width, and texts, which weigh more.
    pub(super) fn hidden_by(&self, [top, bottom]: [f64; 2]) -> usize {
        let [left, right] = self.columns;
        let plates = self.plates.iter();
        let texts = plates.filter(|plate| overlap(**plate, [left, top, right, bottom]));
        let rows = top + self.top..bottom + self.top;
        let passing = self.passing.iter();
        let lines = passing.filter(|(row, _)| rows.contains(row));
        lines.map(|(_, weight)| weight).sum::<usize>() + 100 * texts.count()
    }
}
