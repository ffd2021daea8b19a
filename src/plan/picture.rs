//! A drawing as pixels.

use std::error::Error;
use std::fmt;

use tiny_skia::{
    FillRule, LineCap, LineJoin, Paint, PathBuilder, Pixmap, Stroke, StrokeDash, Transform,
};

use super::drawing::{Drawing, HALO_MM, Label, Path};
use super::look::{Look, Pen};
use super::paper::PAPER_MM;
use crate::light::Colour;
use crate::raster::Picture;
use crate::typeset::{Outline, TypeSize, Typesetter};

const BLACK: Colour = Colour([0; 3]);
const WHITE: Colour = Colour([255; 3]);

/// A picture of so many columns and rows can't be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PictureError(pub [u32; 2]);

impl fmt::Display for PictureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let PictureError([w, h]) = self;
        write!(f, "a picture of {w} x {h} pixels can't be made")
    }
}

impl Error for PictureError {}

/// The picture of a drawing at so many pixels to the inch, dark on white.
///
/// # Errors
///
/// Where the picture would be too large, or without a pixel.
pub fn picture(drawing: &Drawing, px_per_inch: f64) -> Result<Picture, PictureError> {
    let [width, height] = PAPER_MM.map(|mm| (mm / 25.4 * px_per_inch).round() as u32);
    let mut pixmap = Pixmap::new(width, height).ok_or(PictureError([width, height]))?;
    pixmap.fill(tiny_skia::Color::WHITE);
    let [w, h] = PAPER_MM.map(|mm| mm as f32);
    let mut sheet = Sheet {
        px_from_mm: Transform::from_scale(width as f32 / w, height as f32 / h),
        pixmap,
    };
    for path in &drawing.paths {
        sheet.path(path);
    }
    let typesetter = Typesetter::new();
    for label in &drawing.labels {
        sheet.label(label, &typesetter);
    }
    let mut picture = Picture::new([width, height]);
    // The paper covers everything, so that nothing is transparent.
    picture.bytes_mut().copy_from_slice(sheet.pixmap.data());
    Ok(picture)
}

struct Sheet {
    pixmap: Pixmap,
    px_from_mm: Transform,
}

impl Sheet {
    fn path(&mut self, path: &Path) {
        let mut outline = PathBuilder::new();
        for (index, point) in path.points.iter().enumerate() {
            let (x, y) = (point.x as f32, point.y as f32);
            if index == 0 {
                outline.move_to(x, y);
            } else {
                outline.line_to(x, y);
            }
        }
        // Of a single point there is nothing to see.
        let Some(outline) = outline.finish() else {
            return;
        };
        let Look { fill, line } = path.stroke.look();
        if let Some(colour) = fill {
            self.fill(&outline, colour);
        }
        if let Some(Pen {
            colour,
            width_mm,
            is_round,
            dashes_mm,
        }) = line
        {
            let dash = dashes_mm.map(|dashes| dashes.map(|mm| mm as f32).to_vec());
            let stroke = Stroke {
                width: width_mm as f32,
                line_cap: if is_round {
                    LineCap::Round
                } else {
                    LineCap::Butt
                },
                dash: dash.and_then(|dash| StrokeDash::new(dash, 0.0)),
                ..Stroke::default()
            };
            self.stroke(&outline, colour, &stroke);
        }
    }

    fn label(&mut self, label: &Label, typesetter: &Typesetter) {
        let size = TypeSize {
            cap_px: label.cap_mm as f32,
            widening: 1.0,
        };
        let halo = Stroke {
            width: HALO_MM as f32,
            line_join: LineJoin::Round,
            ..Stroke::default()
        };
        for (index, line) in label.lines.iter().enumerate() {
            let at = label.baseline(index);
            let (left, base) = (at.x as f32, at.y as f32);
            let pieces = typesetter.outlines(line, label.cut, size);
            let Some(letters) = letters(&pieces, [left, base]) else {
                continue;
            };
            self.stroke(&letters, WHITE, &halo);
            self.fill(&letters, BLACK);
        }
    }

    fn fill(&mut self, path: &tiny_skia::Path, colour: Colour) {
        let (paint, place) = (paint(colour), self.px_from_mm);
        self.pixmap
            .fill_path(path, &paint, FillRule::Winding, place, None);
    }

    fn stroke(&mut self, path: &tiny_skia::Path, colour: Colour, stroke: &Stroke) {
        let (paint, place) = (paint(colour), self.px_from_mm);
        self.pixmap.stroke_path(path, &paint, stroke, place, None);
    }
}

fn paint(Colour([red, green, blue]): Colour) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(red, green, blue, 255);
    paint
}

/// Outlines as a path whose contours are closed; `None` where there is no ink.
fn letters(pieces: &[Outline], [left, base]: [f32; 2]) -> Option<tiny_skia::Path> {
    let mut path = PathBuilder::new();
    let mut is_open = false;
    for piece in pieces {
        match *piece {
            Outline::Move([x, y]) => {
                if is_open {
                    path.close();
                }
                path.move_to(left + x, base + y);
                is_open = true;
            }
            Outline::Line([x, y]) => path.line_to(left + x, base + y),
            Outline::Quad([[a, b], [x, y]]) => {
                path.quad_to(left + a, base + b, left + x, base + y);
            }
            Outline::Cubic([[a, b], [c, d], [x, y]]) => {
                path.cubic_to(left + a, base + b, left + c, base + d, left + x, base + y);
            }
        }
    }
    if is_open {
        path.close();
    }
    path.finish()
}
