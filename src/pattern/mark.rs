//! What the pattern is made of: strokes along curves, bars and glyphs.

use super::curve::Curve;
use super::tile::Tile;
use crate::light::Colour;
use crate::rig::PxRect;
use crate::typeset::PlacedGlyph;

/// A line's visible part on one surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Where the line runs.
    pub curve: Curve,
    /// The part of the canvas it may touch; the curve is defined on its columns.
    pub clip: PxRect,
    /// Width across the line, in pixels. A whole number keeps the centroid of a
    /// level line's pixels in place; between them it is up to 0.09 px off.
    pub width_px: f64,
    /// Its colour.
    pub colour: Colour,
}

/// An upright rectangle with edges anywhere between pixels, in canvas pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Left, top, right and bottom edge.
    pub edges: [f64; 4],
    /// The part of the canvas it may touch.
    pub clip: PxRect,
    /// Its colour.
    pub colour: Colour,
}

/// One glyph of a label.
#[derive(Debug, Clone, PartialEq)]
pub struct Letter {
    /// The glyph, at its place on the canvas.
    pub placed: PlacedGlyph,
    /// The part of the canvas it may touch.
    pub clip: PxRect,
    /// Its colour.
    pub colour: Colour,
}

/// Anything that the pattern draws. Later marks cover earlier ones.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A line on one surface.
    Stroke(Stroke),
    /// A tick, or the plate behind a label.
    Bar(Bar),
    /// A glyph.
    Letter(Letter),
    /// A patch of pixels.
    Tile(Tile),
}

impl Mark {
    /// Its colour.
    pub fn colour(&self) -> Colour {
        match self {
            Mark::Stroke(stroke) => stroke.colour,
            Mark::Bar(bar) => bar.colour,
            Mark::Letter(letter) => letter.colour,
            Mark::Tile(tile) => tile.colour,
        }
    }

    /// The pixels it may touch; `None` where there are none.
    pub fn bounds(&self) -> Option<PxRect> {
        match self {
            Mark::Stroke(stroke) => Some(stroke.clip),
            Mark::Bar(bar) => {
                let [left, top, right, bottom] = bar.edges;
                within(
                    bar.clip,
                    [left.floor(), top.floor(), right.ceil(), bottom.ceil()],
                )
            }
            Mark::Tile(tile) => tile.area.intersection(tile.clip),
            Mark::Letter(letter) => {
                let PlacedGlyph { x, y, glyph } = &letter.placed;
                let (x, y) = (f64::from(*x), f64::from(*y));
                let edges = [
                    x,
                    y,
                    x + f64::from(glyph.width),
                    y + f64::from(glyph.height),
                ];
                within(letter.clip, edges)
            }
        }
    }
}

/// The part of `clip` inside edges that lie on whole pixels.
fn within(clip: PxRect, edges: [f64; 4]) -> Option<PxRect> {
    let x = edges[0].max(f64::from(clip.x));
    let y = edges[1].max(f64::from(clip.y));
    let right = edges[2].min(f64::from(clip.right()));
    let bottom = edges[3].min(f64::from(clip.bottom()));
    (right > x && bottom > y).then_some(PxRect {
        x: x as u32,
        y: y as u32,
        w: (right - x) as u32,
        h: (bottom - y) as u32,
    })
}
