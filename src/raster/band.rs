//! Some rows of a picture, and how marks are laid on them.

use super::coverage::Crossing;
use super::ink::Ink;
use crate::pattern::{Bar, Column, Curve, Letter, Stroke};
use crate::rig::PxRect;

/// Some rows of a picture.
pub struct Band<'a> {
    /// Their pixels.
    pub pixels: &'a mut [[u8; 4]],
    /// Pixels from one row to the next.
    pub stride: usize,
    /// The picture's row that comes first.
    pub top: u32,
}

impl Band<'_> {
    /// Makes a part black.
    pub fn blacken(&mut self, part: PxRect) {
        self.fill(part, [0, 0, 0, 255]);
    }

    fn fill(&mut self, part: PxRect, pixel: [u8; 4]) {
        for row in part.y..part.bottom() {
            let start = self.index(part.x, row);
            self.pixels[start..start + part.w as usize].fill(pixel);
        }
    }

    #[inline]
    fn index(&self, x: u32, y: u32) -> usize {
        (y - self.top) as usize * self.stride + x as usize
    }

    /// Draws a stroke's part inside `clip`.
    pub fn stroke(&mut self, stroke: &Stroke, ink: &Ink, clip: PxRect) {
        column_spans(&stroke.curve, clip, stroke.width_px / 2.0, |from, to| {
            self.span(stroke, ink, clip, from..to);
        });
    }

    fn span(&mut self, stroke: &Stroke, ink: &Ink, clip: PxRect, columns: std::ops::Range<u32>) {
        let (first, last) = (f64::from(clip.y), f64::from(clip.bottom()) - 1.0);
        let origin = stroke.curve.first_column();
        let slope_of = |block: u32| {
            let column = stroke.curve.column(origin + block * SLOPE_COLUMNS);
            Slope::of(column, stroke.width_px)
        };
        let mut block = (columns.start - origin) / SLOPE_COLUMNS;
        let mut slope = slope_of(block);
        for x in columns {
            // Counted from the curve's own start, so that a pixel doesn't depend
            // on where a redraw begins.
            if (x - origin) / SLOPE_COLUMNS != block {
                block += 1;
                slope = slope_of(block);
            }
            let column = stroke.curve.column(x);
            let Slope::Sloping {
                crossing,
                rows_per_value,
            } = &slope
            else {
                self.upright(stroke, ink, clip, x, column);
                continue;
            };
            // The line's middle, counted in pixel centres.
            let middle = column.at_top * rows_per_value - 0.5;
            let (above, below) = (middle - crossing.reach(), middle + crossing.reach());
            let touches = above < last && below >= first;
            if !touches {
                continue;
            }
            // Casts round towards zero; both ends are positive here.
            let from = if above < first {
                clip.y
            } else {
                above as u32 + 1
            };
            let to = below.min(last) as u32;
            let mut index = self.index(x, from);
            let mut below = f64::from(from) - middle;
            for _ in from..=to {
                ink.blend(&mut self.pixels[index], crossing.share(below));
                index += self.stride;
                below += 1.0;
            }
        }
    }

    /// One column of a line that runs along its columns.
    fn upright(&mut self, stroke: &Stroke, ink: &Ink, clip: PxRect, x: u32, column: Column) {
        let distance = column.at_top / column.per_column.abs();
        let share = Crossing::new(0.0, stroke.width_px).share(distance);
        // Not a number where the line runs nowhere in particular.
        if share.is_nan() || share <= 0.0 {
            return;
        }
        for row in clip.y..clip.bottom() {
            let index = self.index(x, row);
            ink.blend(&mut self.pixels[index], share);
        }
    }

    /// Draws a bar's part inside `clip`.
    pub fn bar(&mut self, bar: &Bar, ink: &Ink, clip: PxRect) {
        let [left, top, right, bottom] = bar.edges;
        let share = |from: f64, to: f64, at: u32| {
            let at = f64::from(at);
            (to.min(at + 1.0) - from.max(at)).clamp(0.0, 1.0)
        };
        if bar.edges.iter().all(|edge| edge.fract() == 0.0) {
            self.fill(clip, ink.full());
            return;
        }
        for row in clip.y..clip.bottom() {
            let rows = share(top, bottom, row);
            for x in clip.x..clip.right() {
                let index = self.index(x, row);
                ink.blend(&mut self.pixels[index], rows * share(left, right, x));
            }
        }
    }

    /// Draws a letter's part inside `clip`.
    pub fn letter(&mut self, letter: &Letter, ink: &Ink, clip: PxRect) {
        let placed = &letter.placed;
        for row in clip.y..clip.bottom() {
            let from = (row as i32 - placed.y) as usize * placed.glyph.width as usize;
            for x in clip.x..clip.right() {
                let value = placed.glyph.coverage[from + (x as i32 - placed.x) as usize];
                if value > 0 {
                    let index = self.index(x, row);
                    ink.blend(&mut self.pixels[index], f64::from(value) / 255.0);
                }
            }
        }
    }
}

/// Columns that share the slope of their first: on a panel curved as tightly as
/// any, it changes by a thousandth over so many.
const SLOPE_COLUMNS: u32 = 4;

/// A line's slope in some columns.
enum Slope {
    Sloping {
        rows_per_value: f64,
        crossing: Crossing,
    },
    /// Along the columns.
    Upright,
}

impl Slope {
    /// Steeper than this the line is taken as upright.
    const STEEPEST: f64 = 1e9;

    fn of(column: Column, width_px: f64) -> Slope {
        let slope = column.per_column / column.per_row;
        if slope.abs() < Slope::STEEPEST {
            Slope::Sloping {
                rows_per_value: -1.0 / column.per_row,
                crossing: Crossing::new(slope, width_px),
            }
        } else {
            Slope::Upright
        }
    }
}

/// Calls `span` with the ranges of columns of `clip` in which the line may touch
/// its rows, from left to right, none twice.
///
/// A pixel that the line touches is less than `half` + 1 from a point of it, so
/// the columns are those of the points that near the rows, widened by as much.
fn column_spans(curve: &Curve, clip: PxRect, half: f64, mut span: impl FnMut(u32, u32)) {
    // Between the lit edges a line may turn within a few columns, and there are few.
    if matches!(curve, Curve::Chord { .. }) {
        return span(clip.x, clip.right());
    }
    let margin = half + 1.5;
    let (left, right) = (f64::from(clip.x), f64::from(clip.right()));
    let rows = [
        f64::from(clip.y) - margin,
        f64::from(clip.bottom()) + margin,
    ];

    // Between neighbouring cuts the line is either near the rows or not.
    let mut cuts = [left, right, right, right, right, right];
    let mut count = 1;
    for x in rows.iter().flat_map(|&row| curve.columns_at(row)).flatten() {
        if (left - margin..=right + margin).contains(&x) {
            cuts[count] = x;
            count += 1;
        }
    }
    cuts[count] = right;
    let cuts = &mut cuts[..=count];
    cuts.sort_unstable_by(f64::total_cmp);

    let is_near = |x: f64| {
        let column = curve.column(x.clamp(left, right - 1.0) as u32);
        let [above, below] = rows.map(|row| column.at_top + column.per_row * row);
        above * below <= 0.0
    };
    // Neighbouring stretches are joined before they are handed on.
    let mut open: Option<[u32; 2]> = None;
    let mut add = |from: f64, to: f64| {
        let from = (from - margin).max(left).floor() as u32;
        let to = (to + margin).min(right).ceil() as u32;
        match &mut open {
            Some(stretch) if from <= stretch[1] => stretch[1] = stretch[1].max(to),
            _ if from < to => {
                if let Some([from, to]) = open.replace([from, to]) {
                    span(from, to);
                }
            }
            _ => {}
        }
    };
    for pair in cuts.windows(2) {
        // A crossing is near even where the stretches beside it are too short to tell.
        if pair[0] != left {
            add(pair[0], pair[0]);
        }
        if is_near(f64::midpoint(pair[0], pair[1])) {
            add(pair[0], pair[1]);
        }
    }
    if let Some([from, to]) = open {
        span(from, to);
    }
}
