//! Text as glyph pictures on whole pixels.

use std::collections::HashMap;
use std::sync::Arc;

use ab_glyph::{Font, FontRef, GlyphId, OutlineCurve, Point, PxScale, ScaleFont};

/// The openly licensed face, and its bold cut for what must be found first.
const REGULAR: &[u8] = include_bytes!("../fonts/B612-Regular.otf");
const BOLD: &[u8] = include_bytes!("../fonts/B612-Bold.otf");

/// The face's name.
pub const FAMILY: &str = "B612";

/// Cut of the face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cut {
    /// For running text.
    Regular,
    /// For values and names.
    Bold,
}

/// Size of type, as the height of a capital letter in rows, and how much wider
/// than its design a glyph is drawn, for pixels that are not square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypeSize {
    /// Height of a capital in rows.
    pub cap_px: f32,
    /// Columns per row of equal length in millimetres; 1 for square pixels.
    pub widening: f32,
}

/// A glyph's coverage, 0 to 255, row by row.
#[derive(Debug)]
pub struct Glyph {
    key: Key,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// `width × height` values.
    pub coverage: Vec<u8>,
    left: i32,
    top: i32,
}

impl PartialEq for Glyph {
    /// Glyphs of one cut, letter and size are equal.
    fn eq(&self, other: &Glyph) -> bool {
        self.key == other.key
    }
}

type Key = (Cut, GlyphId, u32, u32);

/// A glyph and where its top-left pixel goes.
#[derive(Debug, Clone, PartialEq)]
struct PlacedGlyph {
    /// Column of its left edge.
    x: i32,
    /// Row of its top edge.
    y: i32,
    glyph: Arc<Glyph>,
}

impl PlacedGlyph {
    fn edges(&self) -> [i32; 4] {
        let (right, bottom) = (self.glyph.width, self.glyph.height);
        let [right, bottom] = [right, bottom].map(u32::cast_signed);
        [self.x, self.y, self.x + right, self.y + bottom]
    }
}

/// A piece of a glyph's outline: x to the right, y down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outline {
    /// A contour begins; the one before it closes.
    Move([f32; 2]),
    /// A straight piece to a point.
    Line([f32; 2]),
    /// A piece of a parabola: its control point, and the point that it goes to.
    Quad([[f32; 2]; 2]),
    /// A cubic piece: its control points, and the point that it goes to.
    Cubic([[f32; 2]; 3]),
}

/// A line of text with its baseline's left end at (0, 0).
#[derive(Debug)]
struct SetLine {
    width_px: f32,
    glyphs: Vec<PlacedGlyph>,
    /// Left column, top row, and the first column and row past all glyphs.
    edges: [i32; 4],
}

/// A line of text and where its baseline's left end goes.
#[derive(Debug, Clone)]
pub struct PlacedLine {
    line: Arc<SetLine>,
    origin: [i32; 2],
}

impl PlacedLine {
    /// Its glyphs from the left, each with the column and the row of its top-left pixel.
    pub fn glyphs(&self) -> impl Iterator<Item = ([i32; 2], &Arc<Glyph>)> {
        let [x, y] = self.origin;
        let glyphs = self.line.glyphs.iter();
        glyphs.map(move |placed| ([x + placed.x, y + placed.y], &placed.glyph))
    }

    /// Left column, top row, and the first column and row past all glyphs.
    pub fn edges(&self) -> [i32; 4] {
        let ([x, y], [left, top, right, bottom]) = (self.origin, self.line.edges);
        [x + left, y + top, x + right, y + bottom]
    }
}

impl PartialEq for PlacedLine {
    /// Lines of equal glyphs at one place are equal.
    fn eq(&self, other: &PlacedLine) -> bool {
        // Most are kept from one time to the next.
        self.origin == other.origin
            && (Arc::ptr_eq(&self.line, &other.line) || self.line.glyphs == other.line.glyphs)
    }
}

/// Sets text, and keeps the glyphs and the lines it has set.
#[derive(Debug)]
pub struct Typesetter {
    regular: FontRef<'static>,
    bold: FontRef<'static>,
    glyphs: HashMap<Key, Option<Arc<Glyph>>>,
    /// By cut and size, then by text.
    lines: HashMap<(Cut, [u32; 2]), HashMap<String, Arc<SetLine>>>,
}

impl Default for Typesetter {
    fn default() -> Self {
        Typesetter::new()
    }
}

impl Typesetter {
    /// A typesetter with the built-in face.
    pub fn new() -> Typesetter {
        let face = |cut| {
            FontRef::try_from_slice(Typesetter::face(cut)).expect("the built-in face is sound")
        };
        Typesetter {
            regular: face(Cut::Regular),
            bold: face(Cut::Bold),
            glyphs: HashMap::new(),
            lines: HashMap::new(),
        }
    }

    fn font(&self, cut: Cut) -> &FontRef<'static> {
        match cut {
            Cut::Regular => &self.regular,
            Cut::Bold => &self.bold,
        }
    }

    /// Scale at which a capital H is `cap_px` rows high.
    fn scale(&self, cut: Cut, size: TypeSize) -> PxScale {
        let font = self.font(cut);
        let cap_units = font
            .outline(font.glyph_id('H'))
            .map_or(0.7 * font.height_unscaled(), |outline| {
                outline.bounds.height().abs()
            });
        let y = size.cap_px / cap_units * font.height_unscaled();
        PxScale {
            x: y * size.widening,
            y,
        }
    }

    /// Width in columns of a line of text.
    pub fn width_px(&mut self, text: &str, cut: Cut, size: TypeSize) -> f32 {
        self.line(text, cut, size).width_px
    }

    /// Height in rows of the face's design square, which other programs call
    /// the font size.
    pub fn em_px(&self, cut: Cut, size: TypeSize) -> f32 {
        let font = self.font(cut);
        let units_per_em = font.units_per_em().unwrap_or(1000.0);
        self.scale(cut, size).y * units_per_em / font.height_unscaled()
    }

    /// Sets a line of text with its baseline's left end at pixel (x, y).
    pub fn set(&mut self, text: &str, cut: Cut, size: TypeSize, x: i32, y: i32) -> PlacedLine {
        PlacedLine {
            line: self.line(text, cut, size),
            origin: [x, y],
        }
    }

    /// The outlines of a line of text with its baseline's left end at (0, 0), glyphs
    /// anywhere between pixels.
    pub fn outlines(&self, text: &str, cut: Cut, size: TypeSize) -> Vec<Outline> {
        let font = self.font(cut);
        let scale = self.scale(cut, size);
        let unit = [scale.x, scale.y].map(|scale| scale / font.height_unscaled());
        let mut pieces = Vec::new();
        let mut pen: f32 = 0.0;
        for c in text.chars() {
            let id = font.glyph_id(c);
            let at = |point: Point| [pen + point.x * unit[0], -point.y * unit[1]];
            let mut end = None;
            for curve in font.outline(id).into_iter().flat_map(|glyph| glyph.curves) {
                let (from, piece, to) = match curve {
                    OutlineCurve::Line(from, to) => (from, Outline::Line(at(to)), to),
                    OutlineCurve::Quad(from, one, to) => {
                        (from, Outline::Quad([at(one), at(to)]), to)
                    }
                    OutlineCurve::Cubic(from, one, two, to) => {
                        (from, Outline::Cubic([at(one), at(two), at(to)]), to)
                    }
                };
                if end != Some(from) {
                    pieces.push(Outline::Move(at(from)));
                }
                pieces.push(piece);
                end = Some(to);
            }
            pen += font.as_scaled(scale).h_advance(id);
        }
        pieces
    }

    /// A cut's own file, an OpenType font with CFF outlines.
    pub fn face(cut: Cut) -> &'static [u8] {
        match cut {
            Cut::Regular => REGULAR,
            Cut::Bold => BOLD,
        }
    }

    /// A letter's number in its cut's file, and how far the pen moves over it, in
    /// thousandths of the design square.
    pub fn letter(&self, c: char, cut: Cut) -> (u16, f32) {
        let font = self.font(cut);
        let id = font.glyph_id(c);
        let em = font.units_per_em().unwrap_or(1000.0);
        (id.0, font.h_advance_unscaled(id) / em * 1000.0)
    }

    fn line(&mut self, text: &str, cut: Cut, size: TypeSize) -> Arc<SetLine> {
        /// Far more than a pattern and the words over it have at a time.
        const KEPT: usize = 2000;
        let face = (cut, [size.cap_px.to_bits(), size.widening.to_bits()]);
        let known = self.lines.get(&face).and_then(|lines| lines.get(text));
        if let Some(line) = known {
            return Arc::clone(line);
        }
        let line = Arc::new(self.set_anew(text, cut, size));
        if self.lines.values().map(HashMap::len).sum::<usize>() >= KEPT {
            self.lines.clear();
        }
        let lines = self.lines.entry(face).or_default();
        lines.insert(text.to_owned(), Arc::clone(&line));
        line
    }

    fn set_anew(&mut self, text: &str, cut: Cut, size: TypeSize) -> SetLine {
        let scale = self.scale(cut, size);
        let mut glyphs = Vec::with_capacity(text.len());
        let mut pen: f32 = 0.0;
        for c in text.chars() {
            let font = self.font(cut);
            let id = font.glyph_id(c);
            let advance = font.as_scaled(scale).h_advance(id);
            if let Some(glyph) = self.glyph(cut, id, scale) {
                glyphs.push(PlacedGlyph {
                    x: pen.round() as i32 + glyph.left,
                    y: glyph.top,
                    glyph,
                });
            }
            pen += advance;
        }
        let edges = glyphs.iter().map(PlacedGlyph::edges);
        let edges = edges.reduce(|one, other| {
            let [left, top] = [0, 1].map(|side| one[side].min(other[side]));
            let [right, bottom] = [2, 3].map(|side| one[side].max(other[side]));
            [left, top, right, bottom]
        });
        SetLine {
            width_px: pen,
            glyphs,
            edges: edges.unwrap_or_default(),
        }
    }

    fn glyph(&mut self, cut: Cut, id: GlyphId, scale: PxScale) -> Option<Arc<Glyph>> {
        let key = (cut, id, scale.x.to_bits(), scale.y.to_bits());
        if let Some(known) = self.glyphs.get(&key) {
            return known.clone();
        }
        let glyph = self
            .font(cut)
            .outline_glyph(id.with_scale(scale))
            .map(|outline| {
                let bounds = outline.px_bounds();
                let (width, height) = (bounds.width() as u32, bounds.height() as u32);
                let mut coverage = vec![0; width as usize * height as usize];
                outline.draw(|x, y, value| {
                    coverage[(y * width + x) as usize] =
                        (value.clamp(0.0, 1.0) * 255.0).round() as u8;
                });
                Arc::new(Glyph {
                    key,
                    width,
                    height,
                    coverage,
                    left: bounds.min.x as i32,
                    top: bounds.min.y as i32,
                })
            });
        self.glyphs.insert(key, glyph.clone());
        glyph
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_capital_is_as_high_as_asked() {
        let mut typesetter = Typesetter::new();
        for cap_px in [9.0, 12.0, 31.0] {
            let size = TypeSize {
                cap_px,
                widening: 1.0,
            };
            let line = typesetter.set("H", Cut::Regular, size, 0, 100);
            let (_, glyph) = line.glyphs().next().expect("a letter has a picture");
            let lit_rows = (0..glyph.height).filter(|row| {
                let start = (row * glyph.width) as usize;
                glyph.coverage[start..start + glyph.width as usize]
                    .iter()
                    .any(|&c| c > 127)
            });
            assert_eq!(lit_rows.count(), cap_px as usize);
        }
    }

    #[test]
    fn a_line_is_the_same_from_any_typesetter_and_its_edges_hold_its_glyphs() {
        let size = TypeSize {
            cap_px: 12.0,
            widening: 1.0,
        };
        let set = |text: &str, x: i32| Typesetter::new().set(text, Cut::Regular, size, x, -4);
        let line = set("Ångström, jay", -7);
        assert_eq!(line, set("Ångström, jay", -7));
        assert_ne!(line, set("Ångström, jay", -6));
        assert_ne!(line, set("Ångström, joy", -7));
        let mut found = [i32::MAX, i32::MAX, i32::MIN, i32::MIN];
        for ([x, y], glyph) in line.glyphs() {
            let [w, h] = [glyph.width, glyph.height].map(u32::cast_signed);
            let [right, bottom] = [x + w, y + h];
            let [left, top] = [found[0].min(x), found[1].min(y)];
            found = [left, top, found[2].max(right), found[3].max(bottom)];
        }
        assert_eq!(line.edges(), found);
        let nothing = set(" ", 3);
        assert_eq!(nothing.edges(), [3, -4, 3, -4]);
    }

    #[test]
    fn width_is_what_the_pen_moves() {
        let mut typesetter = Typesetter::new();
        let size = TypeSize {
            cap_px: 12.0,
            widening: 1.0,
        };
        let wide = TypeSize {
            cap_px: 12.0,
            widening: 2.0,
        };
        let width = typesetter.width_px("seam 1", Cut::Bold, size);
        let doubled = typesetter.width_px("seam 1", Cut::Bold, wide);
        assert!(width > 40.0);
        assert!((doubled / width - 2.0).abs() < 1e-4);
    }
}
