//! What the pattern is made of: strokes along curves, bars, wedges and glyphs.

use super::curve::{Column, Curve};
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

/// What one surface shows between two upright planes through the eye.
#[derive(Debug, Clone, PartialEq)]
pub struct Wedge {
    /// The two planes: the area lies where the first one's value, times its factor, is
    /// positive and the second one's, times its own, is not.
    pub edges: [WedgeEdge; 2],
    /// The part of the canvas it may touch; the curves are defined on its columns.
    pub clip: PxRect,
    /// Its colour.
    pub colour: Colour,
}

/// One of a wedge's two planes.
#[derive(Debug, Clone, PartialEq)]
pub struct WedgeEdge {
    /// Where it meets the surface.
    pub curve: Curve,
    /// 1 where the curve's value is positive to the right of the plane, else −1.
    pub factor: f64,
}

impl WedgeEdge {
    /// Its value on a column's middle at a row coordinate, and most by which that
    /// differs half a pixel away.
    fn at(&self, column: u32, row: f64) -> [f64; 2] {
        let Column {
            at_top, per_row, ..
        } = self.curve.column(column);
        let [across, per_down] = self.curve.across(column);
        let value = (at_top + per_row * row) * self.factor;
        [
            value,
            (per_row.abs() + (across + per_down * row).abs()) / 2.0,
        ]
    }
}

impl Wedge {
    /// A wedge cut down to the columns of `clip` that it touches; `None` where there
    /// are none.
    pub fn new(edges: [WedgeEdge; 2], clip: PxRect, colour: Colour) -> Option<Wedge> {
        let rows = [clip.y, clip.bottom()].map(f64::from);
        let is_touched = |column: &u32| {
            let [from, to] = edges.each_ref().map(|edge| {
                let [a, b] = rows.map(|row| edge.at(*column, row));
                [a[0].min(b[0]) - a[1], a[0].max(b[0]) + a[1]]
            });
            from[1] > 0.0 && to[0] < 0.0
        };
        let first = (clip.x..clip.right()).find(is_touched)?;
        let last = (clip.x..clip.right()).rev().find(is_touched)?;
        let clip = PxRect {
            x: first,
            w: last + 1 - first,
            ..clip
        };
        Some(Wedge {
            edges,
            clip,
            colour,
        })
    }
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
    /// What lies between two upright planes.
    Wedge(Wedge),
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
            Mark::Wedge(wedge) => wedge.colour,
            Mark::Letter(letter) => letter.colour,
            Mark::Tile(tile) => tile.colour,
        }
    }

    /// The pixels it may touch; `None` where there are none.
    pub fn bounds(&self) -> Option<PxRect> {
        match self {
            Mark::Stroke(stroke) => Some(stroke.clip),
            Mark::Wedge(wedge) => Some(wedge.clip),
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
