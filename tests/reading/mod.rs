//! Reading a drawn pattern as a person does: words letter by letter, bars and
//! strokes where they are on a panel.

#![allow(dead_code, reason = "each test file uses a part of it")]

use std::sync::Arc;

use throughline::light::Colour;
use throughline::pattern::{Guides, Layer, Layers, Mark, Pattern, Stroke, TextLine};
use throughline::rig::{PxRect, Rig};
use throughline::typeset::{Cut, Glyph, TypeSize, Typesetter};

/// A text on a panel.
#[derive(Debug, Clone)]
pub(crate) struct Text {
    /// The panel.
    pub panel: usize,
    /// What it says, without the spaces.
    pub text: String,
    /// Its colour.
    pub colour: Colour,
    /// Left, top, right and bottom of its letters, in the panel's own pixels.
    pub edges: [f64; 4],
    /// Row of its digits' middle, or else of its letters'.
    pub row: f64,
}

/// A bar that is not black.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LitBar {
    /// The panel.
    pub panel: usize,
    /// Left, top, right and bottom, in the panel's own pixels.
    pub edges: [f64; 4],
}

/// A stroke on a panel.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drawn<'a> {
    /// The panel.
    pub panel: usize,
    lit: PxRect,
    stroke: &'a Stroke,
}

impl Drawn<'_> {
    /// Its colour.
    pub(crate) fn colour(&self) -> Colour {
        self.stroke.colour
    }

    /// Whether it reaches the panel's left lit edge, and the right one.
    pub(crate) fn reaches(&self) -> [bool; 2] {
        let clip = self.stroke.clip;
        [clip.x == self.lit.x, clip.right() == self.lit.right()]
    }

    /// Its first column, in the panel's own pixels, and the first past its last.
    pub(crate) fn columns(&self) -> [u32; 2] {
        let clip = self.stroke.clip;
        [clip.x - self.lit.x, clip.right() - self.lit.x]
    }

    /// Row, in the panel's own pixels, at the middle of one of its columns.
    pub(crate) fn row(&self, column: u32) -> f64 {
        self.stroke.curve.column(self.lit.x + column).row() - f64::from(self.lit.y)
    }
}

/// The pattern with one layer alone.
pub(crate) fn pattern(rig: &Rig, layer: Layer) -> Pattern {
    let layers = Layers::NONE.with(layer);
    Pattern::new(rig, &Guides::of(rig), layers, &mut Typesetter::new())
}

fn panel_with(rig: &Rig, clip: PxRect) -> Option<usize> {
    rig.canvas().panels.iter().position(|lit| lit.holds(clip))
}

/// The bars that are not black.
pub(crate) fn lit_bars(rig: &Rig, pattern: &Pattern) -> Vec<LitBar> {
    let bars = pattern.marks().iter().filter_map(|mark| match mark {
        Mark::Bar(bar) if bar.colour != Colour::BLACK => {
            let panel = panel_with(rig, bar.clip)?;
            let PxRect { x, y, .. } = rig.canvas().panels[panel];
            let [x, y] = [x, y].map(f64::from);
            let [left, top, right, bottom] = bar.edges;
            let edges = [left - x, top - y, right - x, bottom - y];
            Some(LitBar { panel, edges })
        }
        _ => None,
    });
    bars.collect()
}

/// The strokes on panels, in drawing order.
pub(crate) fn strokes<'a>(rig: &Rig, pattern: &'a Pattern) -> Vec<Drawn<'a>> {
    let strokes = pattern.marks().iter().filter_map(|mark| match mark {
        Mark::Stroke(stroke) => {
            let panel = panel_with(rig, stroke.clip)?;
            let lit = rig.canvas().panels[panel];
            Some(Drawn { panel, lit, stroke })
        }
        _ => None,
    });
    strokes.collect()
}

/// The texts of the panels' reading size, told letter by letter from what the
/// face looks like. Texts of other sizes are left out.
pub(crate) fn texts(rig: &Rig, pattern: &Pattern) -> Vec<Text> {
    let runs = runs(rig, pattern);
    let mut typesetter = Typesetter::new();
    let mut read = Vec::new();
    for (panel, part) in rig.panels().iter().enumerate() {
        let [pitch_x, pitch_y] = part.pitch_mm();
        let own: Vec<&Run> = runs.iter().filter(|run| run.panel == panel).collect();
        let mut letters = |cap_px: u32, letters: &mut dyn Iterator<Item = char>| {
            let size = TypeSize {
                cap_px: cap_px as f32,
                widening: (pitch_y / pitch_x) as f32,
            };
            alphabet(&mut typesetter, size, letters)
        };
        // The size is the one at which most figures can be read.
        let figures = |cap_px: &u32| {
            let figures = letters(*cap_px, &mut ('0'..='9'));
            let glyphs = own.iter().flat_map(|run| &run.glyphs);
            glyphs
                .filter(|(_, glyph)| known(&figures, glyph).is_some())
                .count()
        };
        let Some(cap_px) = (8..=72).max_by_key(figures) else {
            continue;
        };
        let letters = letters(cap_px, &mut ('!'..='~').chain(['°', '×']));
        read.extend(own.iter().filter_map(|run| run.read(&letters)));
    }
    read
}

/// What letters look like, in both cuts.
fn alphabet(
    typesetter: &mut Typesetter,
    size: TypeSize,
    letters: &mut dyn Iterator<Item = char>,
) -> Vec<(char, Arc<Glyph>)> {
    let cuts = [Cut::Regular, Cut::Bold];
    let pictures = letters.flat_map(|letter| {
        cuts.map(|cut| {
            let placed = typesetter.set(&letter.to_string(), cut, size, 0, 0);
            let (_, glyph) = placed.glyphs().next()?;
            Some((letter, Arc::clone(glyph)))
        })
    });
    pictures.flatten().collect()
}

/// The letter that a glyph is.
fn known(letters: &[(char, Arc<Glyph>)], glyph: &Arc<Glyph>) -> Option<char> {
    let same = letters.iter().find(|(_, known)| known == glyph);
    same.map(|(letter, _)| *letter)
}

/// Letters that follow each other.
struct Run {
    panel: usize,
    colour: Colour,
    glyphs: Vec<([i32; 2], Arc<Glyph>)>,
    corner: [f64; 2],
}

impl Run {
    fn read(&self, letters: &[(char, Arc<Glyph>)]) -> Option<Text> {
        let text: String = self
            .glyphs
            .iter()
            .map(|(_, glyph)| known(letters, glyph))
            .collect::<Option<_>>()?;
        let digits = text.bytes().any(|c| c.is_ascii_digit());
        let [x, y] = self.corner;
        let mut edges = [f64::INFINITY, f64::INFINITY, 0.0, 0.0];
        let mut rows = [f64::INFINITY, 0.0];
        for ((corner, glyph), letter) in self.glyphs.iter().zip(text.chars()) {
            let [left, top] = [f64::from(corner[0]) - x, f64::from(corner[1]) - y];
            let right = left + f64::from(glyph.width);
            let bottom = top + f64::from(glyph.height);
            edges = [
                edges[0].min(left),
                edges[1].min(top),
                edges[2].max(right),
                edges[3].max(bottom),
            ];
            if !digits || letter.is_ascii_digit() {
                rows = [rows[0].min(top), rows[1].max(bottom)];
            }
        }
        Some(Text {
            panel: self.panel,
            text,
            colour: self.colour,
            edges,
            row: f64::midpoint(rows[0], rows[1]),
        })
    }
}

fn runs(rig: &Rig, pattern: &Pattern) -> Vec<Run> {
    let texts = pattern.marks().iter().filter_map(|mark| match mark {
        Mark::Text(text) => Some(text),
        _ => None,
    });
    let run = |text: &TextLine| {
        let panel = panel_with(rig, text.clip)?;
        let PxRect { x, y, .. } = rig.canvas().panels[panel];
        let glyphs = text.placed.glyphs();
        Some(Run {
            panel,
            colour: text.colour,
            glyphs: glyphs.map(|(at, glyph)| (at, Arc::clone(glyph))).collect(),
            corner: [x, y].map(f64::from),
        })
    };
    texts.filter_map(run).collect()
}
