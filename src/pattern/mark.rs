//! What the pattern is made of: strokes along curves, bars, wedges and lines of text.

use std::ops::Range;

use super::curve::{Column, Curve};
use super::tile::Tile;
use crate::light::Colour;
use crate::rig::PxRect;
use crate::typeset::PlacedLine;

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
    /// positive and the second one's, times its own, is not. In a box, since few marks are
    /// wedges and all would be as large.
    pub edges: Box<[WedgeEdge; 2]>,
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

    /// Between which values it lies on pixels from one column to another, and from one row
    /// coordinate to another.
    fn between(&self, columns: [u32; 2], rows: [f64; 2]) -> [f64; 2] {
        let Curve::Panel(curve) = &self.curve else {
            return [f64::NEG_INFINITY, f64::INFINITY];
        };
        let apart = f64::from(columns[1] - columns[0]);
        let strays = curve.strays();
        let mut ends = [f64::INFINITY, f64::NEG_INFINITY];
        for column in columns {
            for row in rows {
                let [value, away] = self.at(column, row);
                let away = away + strays.steepens(apart) / 2.0 + strays.outside(apart);
                ends = [ends[0].min(value - away), ends[1].max(value + away)];
            }
        }
        ends
    }
}

impl Wedge {
    /// A wedge cut down to the columns of `clip` that it touches; `None` where there
    /// are none.
    pub fn new(edges: [WedgeEdge; 2], clip: PxRect, colour: Colour) -> Option<Wedge> {
        let rows = [clip.y, clip.bottom()].map(f64::from);
        let may_touch = |columns: [u32; 2]| {
            let [from, to] = edges.each_ref().map(|edge| edge.between(columns, rows));
            from[1] > 0.0 && to[0] < 0.0
        };
        let is_touched = |column: &u32| {
            let [from, to] = edges.each_ref().map(|edge| {
                let [a, b] = rows.map(|row| edge.at(*column, row));
                [a[0].min(b[0]) - a[1], a[0].max(b[0]) + a[1]]
            });
            from[1] > 0.0 && to[0] < 0.0
        };
        let [first, last] = [false, true].map(|from_right| {
            let columns = clip.x..clip.right();
            first_of(columns, from_right, &may_touch, &is_touched)
        });
        let (first, last) = (first?, last?);
        let clip = PxRect {
            x: first,
            w: last + 1 - first,
            ..clip
        };
        Some(Wedge {
            edges: Box::new(edges),
            clip,
            colour,
        })
    }
}

/// The first of some columns, from the left or from the right, that `is_touched`. None is
/// between two columns, these included, where `may_touch` denies it.
fn first_of(
    columns: Range<u32>,
    from_right: bool,
    may_touch: &impl Fn([u32; 2]) -> bool,
    is_touched: &impl Fn(&u32) -> bool,
) -> Option<u32> {
    const FEW: usize = 8;
    let Range { start, end } = columns;
    if columns.is_empty() || !may_touch([start, end - 1]) {
        return None;
    }
    if columns.len() <= FEW {
        let mut columns = columns;
        return if from_right {
            columns.rfind(is_touched)
        } else {
            columns.find(is_touched)
        };
    }
    let middle = start.midpoint(end);
    let mut halves = [start..middle, middle..end];
    if from_right {
        halves.reverse();
    }
    let mut halves = halves.into_iter();
    halves.find_map(|half| first_of(half, from_right, may_touch, is_touched))
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct TextLine {
    /// Its glyphs, at their place on the canvas.
    pub placed: PlacedLine,
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
    /// A line of text.
    Text(TextLine),
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
            Mark::Text(text) => text.colour,
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
            Mark::Text(text) => within(text.clip, text.placed.edges().map(f64::from)),
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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use glam::{DMat3, DVec3};

    use super::*;
    use crate::geometry::{EyePlane, Surface};
    use crate::pattern::Profile;
    use crate::raster::{Picture, draw};

    #[test]
    fn a_wedge_that_is_cut_down_is_the_whole_of_it() {
        let mut cut_down = 0;
        for radius_mm in [None, Some(60.0), Some(400.0)] {
            for turn in [-0.9, 0.0, 0.4] {
                let axes = DMat3::from_rotation_y(turn) * DMat3::from_rotation_x(0.2);
                let surface = Surface {
                    middle: DVec3::new(10.0, 3.0, -90.0),
                    x: axes.x_axis,
                    y: axes.y_axis,
                    z: axes.z_axis,
                    size_mm: [110.0, 20.0],
                    pixels: [110.0, 20.0],
                    radius_mm,
                };
                let profile = Arc::new(Profile::of(&surface));
                let clip = PxRect {
                    x: 4,
                    y: 2,
                    w: 110,
                    h: 20,
                };
                for step in 0..60 {
                    let from = -1.5 + 0.05 * f64::from(step);
                    let edges = [from, from + 0.02 + 0.004 * f64::from(step)].map(|azimuth| {
                        let (sin, cos) = azimuth.sin_cos();
                        let right = DVec3::new(cos, 0.0, sin);
                        let plane = EyePlane::new(right).expect("a direction");
                        WedgeEdge {
                            curve: Curve::on_panel(&profile, &surface, clip, plane),
                            factor: plane.normal().dot(right).signum(),
                        }
                    });
                    let colour = Colour([200, 100, 50]);
                    let found = Wedge::new(edges.clone(), clip, colour);
                    let whole = Wedge {
                        edges: Box::new(edges),
                        clip,
                        colour,
                    };
                    let area = PxRect {
                        x: 0,
                        y: 0,
                        w: 120,
                        h: 24,
                    };
                    let drawn = |wedge: Option<Wedge>| {
                        let mut picture = Picture::new([120, 24]);
                        let marks: Vec<Mark> = wedge.into_iter().map(Mark::Wedge).collect();
                        draw(&marks, &mut picture, area);
                        picture
                    };
                    let is_narrower = found.as_ref().is_none_or(|found| found.clip.w < clip.w);
                    cut_down += u32::from(is_narrower);
                    assert!(
                        drawn(found) == drawn(Some(whole)),
                        "{radius_mm:?} {turn} {from}"
                    );
                }
            }
        }
        assert!(cut_down > 400, "{cut_down}");
    }
}
