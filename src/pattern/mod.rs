//! The alignment pattern: what is drawn for a rig, as marks in canvas pixels.

mod board;
mod curve;
mod diagonals;
mod gauge;
mod grid;
mod guides;
mod labels;
mod ladders;
mod layer;
mod mark;
mod marks;
mod motion;
mod outline;
mod palette;
mod rulers;
mod scaling;
mod seam_side;
mod slide;
mod tile;
mod tones;

pub use curve::{ChordCurve, Column, Curve, PanelCurve, Profile, Strays};
pub use gauge::{BAR_MM, CARD_MM};
pub use guides::{Guide, Guides};
pub use ladders::{DrawnLadder, Fineness, LadderKind, Ladders, RungValue, drawn_ladder};
pub use layer::{Layer, Layers};
pub use mark::{Bar, Mark, Stroke, TextLine, Wedge, WedgeEdge};
pub use motion::Motion;
pub use slide::Slide;
pub use tile::Tile;
pub use tones::{GAMMAS, half_light_code};

use crate::geometry::EyePlane;
use crate::light::Colour;
use crate::rig::{PxRect, Rig, Window};
use crate::typeset::Typesetter;
use board::Board;

/// A line that looks straight to the eye of a rig that stands as it says.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Unique within the pattern, and the same for the same rig.
    pub name: String,
    /// The layer it belongs to.
    pub layer: Layer,
    /// Its plane through the eye.
    pub plane: EyePlane,
    /// Width across the line, in pixels.
    pub width_px: f64,
    /// Its colour.
    pub colour: Colour,
}

/// What is chosen of a pattern beside its layers.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Choices {
    /// Which ladders are drawn.
    pub ladders: Ladders,
    /// Which frame of the moving layer is drawn.
    pub motion: Motion,
    /// A line to be read, over everything else.
    pub slide: Option<Slide>,
}

/// The pattern of a rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    lines: Vec<Line>,
    marks: Vec<Mark>,
}

impl Pattern {
    /// Draws up the pattern of `rig` along `guides`, usually the rig's own, with every
    /// seam's ladders for a first reading.
    pub fn new(rig: &Rig, guides: &Guides, layers: Layers, typesetter: &mut Typesetter) -> Pattern {
        Pattern::with_choices(rig, guides, layers, Choices::default(), typesetter)
    }

    /// As [`Pattern::new`], with all that is chosen.
    pub fn with_choices(
        rig: &Rig,
        guides: &Guides,
        layers: Layers,
        choices: Choices,
        typesetter: &mut Typesetter,
    ) -> Pattern {
        let mut board = Board::new(rig, typesetter);
        for guide in guides.iter().filter(|guide| layers.has(guide.layer)) {
            board.guide(guide);
        }
        if layers.has(Layer::Ladders) {
            ladders::draw(&mut board, choices.ladders);
        }
        if layers.has(Layer::Rulers) {
            rulers::draw(&mut board);
        }
        if layers.has(Layer::Labels) {
            labels::draw(&mut board, layers);
        }
        if layers.has(Layer::Scaling) {
            scaling::draw(&mut board);
        }
        if layers.has(Layer::Gauge) {
            gauge::draw(&mut board);
        }
        if layers.has(Layer::Tones) {
            tones::draw(&mut board);
        }
        if layers.has(Layer::Motion) {
            motion::draw(&mut board, choices.motion);
        }
        if layers.has(Layer::Marks) {
            marks::draw(&mut board);
        }
        if let Some(slide) = choices.slide {
            slide::draw(&mut board, slide);
        }
        board.finish()
    }

    /// With rectangles of the canvas black.
    pub(crate) fn blackened(mut self, rects: &[PxRect]) -> Pattern {
        self.marks.extend(rects.iter().map(|&clip| {
            let edges = [clip.x, clip.y, clip.right(), clip.bottom()].map(f64::from);
            let colour = Colour::BLACK;
            Mark::Bar(Bar {
                edges,
                clip,
                colour,
            })
        }));
        self
    }

    /// With the outline of another program's window over everything.
    pub(crate) fn outlined(mut self, rig: &Rig, window: &Window) -> Pattern {
        self.marks.extend(outline::marks(rig, window));
        self
    }

    /// The lines that look straight, in drawing order.
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// Everything to draw, in drawing order.
    pub fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// Everything to draw, in drawing order.
    pub fn into_marks(self) -> Vec<Mark> {
        self.marks
    }
}
