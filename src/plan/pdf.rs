//! Drawings as the pages of a PDF file, in real millimetres.

use std::collections::BTreeMap;

use glam::DVec2;
use pdf_writer::types::{CidFontType, FontFlags, LineCapStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::drawing::{Drawing, Label, Path};
use super::look::{Look, Pen};
use crate::light::Colour;
use crate::typeset::{Cut, TypeSize, Typesetter};

/// A page: its width and height, and what is on it.
#[derive(Debug)]
pub struct Leaf {
    /// Width and height in millimetres.
    pub size_mm: [f64; 2],
    /// Strokes and labels.
    pub drawing: Drawing,
}

const PT_PER_MM: f64 = 72.0 / 25.4;
const CUTS: [Cut; 2] = [Cut::Regular, Cut::Bold];
const SYSTEM: SystemInfo = SystemInfo {
    registry: Str(b"Adobe"),
    ordering: Str(b"Identity"),
    supplement: 0,
};

/// A PDF file of such pages, dark on white, with its typeface in it. It asks to be
/// printed at its own size.
pub fn pdf(leaves: &[Leaf], title: &str) -> Vec<u8> {
    let mut next = 1;
    let mut fresh = || {
        next += 1;
        Ref::new(next - 1)
    };
    let (catalog, tree, info) = (fresh(), fresh(), fresh());
    let pages: Vec<[Ref; 2]> = leaves.iter().map(|_| [fresh(), fresh()]).collect();
    let mut faces = CUTS.map(|cut| Face {
        cut,
        refs: [0; 5].map(|_| fresh()),
        letters: BTreeMap::new(),
    });

    let mut pdf = Pdf::new();
    let mut root = pdf.catalog(catalog);
    root.pages(tree);
    let mut viewing = root.viewer_preferences();
    viewing.pair(Name(b"PrintScaling"), Name(b"None"));
    viewing.finish();
    root.finish();
    pdf.document_info(info).title(TextStr(title));
    pdf.pages(tree)
        .kids(pages.iter().map(|[page, _]| *page))
        .count(i32::try_from(pages.len()).unwrap_or(i32::MAX));
    let typesetter = Typesetter::new();
    for (leaf, &[page, content]) in leaves.iter().zip(&pages) {
        let [width, height] = leaf.size_mm.map(|mm| (mm * PT_PER_MM) as f32);
        let mut object = pdf.page(page);
        object.parent(tree);
        object.media_box(Rect::new(0.0, 0.0, width, height));
        object.contents(content);
        let mut resources = object.resources();
        let mut fonts = resources.fonts();
        for face in &faces {
            fonts.pair(face.name(), face.refs[0]);
        }
        fonts.finish();
        resources.finish();
        object.finish();
        let mut sheet = Sheet {
            content: Content::new(),
            height_mm: leaf.size_mm[1],
        };
        for path in &leaf.drawing.paths {
            sheet.path(path);
        }
        for label in &leaf.drawing.labels {
            sheet.label(label, &typesetter, &mut faces);
        }
        pdf.stream(content, &sheet.content.finish());
    }
    for face in &faces {
        face.write(&mut pdf, &typesetter);
    }
    pdf.finish()
}

struct Sheet {
    content: Content,
    height_mm: f64,
}

impl Sheet {
    fn at(&self, point: DVec2) -> [f32; 2] {
        [point.x, self.height_mm - point.y].map(|mm| (mm * PT_PER_MM) as f32)
    }

    fn path(&mut self, path: &Path) {
        let [first, rest @ ..] = &path.points[..] else {
            return;
        };
        let Look { fill, line } = path.stroke.look();
        if let Some(colour) = fill {
            let [red, green, blue] = shares(colour);
            self.content.set_fill_rgb(red, green, blue);
        }
        if let Some(pen) = line {
            self.pen(&pen);
        }
        let [x, y] = self.at(*first);
        self.content.move_to(x, y);
        let is_closed = rest.last() == Some(first);
        let points = &rest[..rest.len() - usize::from(is_closed)];
        for point in points {
            let [x, y] = self.at(*point);
            self.content.line_to(x, y);
        }
        if is_closed {
            self.content.close_path();
        }
        match (fill, line) {
            (Some(_), Some(_)) => self.content.fill_nonzero_and_stroke(),
            (Some(_), None) => self.content.fill_nonzero(),
            (None, Some(_)) => self.content.stroke(),
            (None, None) => self.content.end_path(),
        };
    }

    fn pen(&mut self, pen: &Pen) {
        let points = |mm: f64| (mm * PT_PER_MM) as f32;
        let [red, green, blue] = shares(pen.colour);
        self.content.set_stroke_rgb(red, green, blue);
        self.content.set_line_width(points(pen.width_mm));
        self.content.set_line_cap(if pen.is_round {
            LineCapStyle::RoundCap
        } else {
            LineCapStyle::ButtCap
        });
        let dashes = pen.dashes_mm.iter().flatten().map(|&mm| points(mm));
        self.content.set_dash_pattern(dashes, 0.0);
    }

    fn label(&mut self, label: &Label, typesetter: &Typesetter, faces: &mut [Face; 2]) {
        let size = TypeSize {
            cap_px: label.cap_mm as f32,
            widening: 1.0,
        };
        let em_mm = f64::from(typesetter.em_px(label.cut, size));
        let Some(face) = faces.iter_mut().find(|face| face.cut == label.cut) else {
            return;
        };
        self.content.set_fill_gray(0.0);
        for (index, line) in label.lines.iter().enumerate() {
            let [x, y] = self.at(label.baseline(index));
            let shown: Vec<u8> = (line.chars())
                .flat_map(|c| face.letter(c, typesetter).to_be_bytes())
                .collect();
            self.content.begin_text();
            self.content
                .set_font(face.name(), (em_mm * PT_PER_MM) as f32);
            self.content.set_text_matrix([1.0, 0.0, 0.0, 1.0, x, y]);
            self.content.show(Str(&shown));
            self.content.end_text();
        }
    }
}

fn shares(Colour(codes): Colour) -> [f32; 3] {
    codes.map(|code| f32::from(code) / 255.0)
}

/// A cut of the typeface, and the letters of it that were used.
struct Face {
    cut: Cut,
    /// The font, its glyphs' font, its description, its file, its letters' meaning.
    refs: [Ref; 5],
    /// By their numbers in the file: what they stand for, and their widths.
    letters: BTreeMap<u16, (char, f32)>,
}

impl Face {
    fn name(&self) -> Name<'static> {
        Name(match self.cut {
            Cut::Regular => b"Regular",
            Cut::Bold => b"Bold",
        })
    }

    fn letter(&mut self, c: char, typesetter: &Typesetter) -> u16 {
        let (id, width) = typesetter.letter(c, self.cut);
        self.letters.entry(id).or_insert((c, width));
        id
    }

    fn write(&self, pdf: &mut Pdf, typesetter: &Typesetter) {
        let [font, glyphs, description, file, meaning] = self.refs;
        let name = Name(match self.cut {
            Cut::Regular => b"B612-Regular",
            Cut::Bold => b"B612-Bold",
        });
        pdf.type0_font(font)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(glyphs)
            .to_unicode(meaning);
        let mut object = pdf.cid_font(glyphs);
        object
            .subtype(CidFontType::Type0)
            .base_font(name)
            .system_info(SYSTEM)
            .font_descriptor(description)
            .default_width(0.0);
        let mut widths = object.widths();
        for (&id, &(_, width)) in &self.letters {
            widths.consecutive(id, [width]);
        }
        widths.finish();
        object.finish();
        let em = TypeSize {
            cap_px: 1.0,
            widening: 1.0,
        };
        let cap = 1000.0 / typesetter.em_px(self.cut, em);
        pdf.font_descriptor(description)
            .name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(-500.0, -500.0, 1500.0, 1500.0))
            .italic_angle(0.0)
            .ascent(1000.0)
            .descent(-300.0)
            .cap_height(cap)
            .stem_v(80.0)
            .font_file3(file);
        pdf.stream(file, Typesetter::face(self.cut))
            .pair(Name(b"Subtype"), Name(b"OpenType"));
        let mut meanings = UnicodeCmap::<u16>::new(Name(b"Letters"), SYSTEM);
        for (&id, &(c, _)) in &self.letters {
            meanings.pair(id, c);
        }
        pdf.cmap(meaning, &meanings.finish());
    }
}
