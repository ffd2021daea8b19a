//! Some rows of a picture, and how marks are laid on them.

use std::ops::Range;

use glam::Vec4;

use super::coverage::Crossing;
use super::ink::{BLACK, Ink, Share};
use crate::pattern::{Bar, Curve, Letter, Stroke};
use crate::rig::PxRect;

/// Some rows of a picture.
pub struct Band<'a> {
    pixels: &'a mut [[u8; 4]],
    stride: usize,
    corner: [u32; 2],
}

impl<'a> Band<'a> {
    /// Rows of pixels, `stride` pixels each, whose first one stands at `corner`
    /// in the picture.
    pub fn new(pixels: &'a mut [[u8; 4]], stride: usize, corner: [u32; 2]) -> Band<'a> {
        Band {
            pixels,
            stride,
            corner,
        }
    }

    /// Makes a part black.
    pub fn blacken(&mut self, part: PxRect) {
        self.fill(part, BLACK);
    }

    fn fill(&mut self, part: PxRect, pixel: [u8; 4]) {
        for row in part.y..part.bottom() {
            let start = self.index(part.x, row);
            self.pixels[start..start + part.w as usize].fill(pixel);
        }
    }

    #[inline]
    fn index(&self, x: u32, y: u32) -> usize {
        (y - self.corner[1]) as usize * self.stride + (x - self.corner[0]) as usize
    }

    /// Draws a stroke's part inside `clip`; `same` is its [`same_crossing`].
    pub fn stroke(&mut self, stroke: &Stroke, same: Option<&Crossing>, ink: &Ink, clip: PxRect) {
        match (&stroke.curve, same) {
            (Curve::Panel(curve), Some(crossing)) => {
                self.sloping(crossing, ink, clip, |columns| curve.rows(columns));
            }
            (Curve::Panel(curve), _) => {
                self.bending(stroke, ink, clip, |columns| curve.rows(columns));
            }
            (Curve::Chord(curve), _) => {
                self.bending(stroke, ink, clip, |columns| curve.rows(columns));
            }
        }
    }

    /// A line whose slope may change.
    fn bending<Rows: Iterator<Item = f64>>(
        &mut self,
        stroke: &Stroke,
        ink: &Ink,
        clip: PxRect,
        rows: impl Fn(Range<u32>) -> Rows,
    ) {
        // Counted from the curve's own start, so that a pixel doesn't depend on
        // where a redraw begins.
        let origin = stroke.curve.first_column();
        let mut x = clip.x;
        while x < clip.right() {
            let block = x - (x - origin) % SLOPE_COLUMNS;
            let right = (block + SLOPE_COLUMNS).min(clip.right());
            match crossing(stroke, block) {
                Some(crossing) => {
                    let w = right - x;
                    self.sloping(&crossing, ink, PxRect { x, w, ..clip }, &rows);
                }
                None => (x..right).for_each(|x| self.upright(stroke, ink, clip, x)),
            }
            x = right;
        }
    }

    /// A line with the same slope in all columns.
    #[inline]
    fn sloping<Rows: Iterator<Item = f64>>(
        &mut self,
        crossing: &Crossing,
        ink: &Ink,
        clip: PxRect,
        rows: impl Fn(Range<u32>) -> Rows,
    ) {
        let columns = clip.x..clip.right();
        // Most columns at a stretch's ends touch no row of the clip.
        let centre = f64::from(clip.y) + f64::from(clip.h) / 2.0;
        let near = f64::from(clip.h) / 2.0 + f64::from(crossing.reach());
        let rows_here = [clip.y as i32, clip.bottom() as i32];
        // Held here, so that the loop needn't look at the band again.
        let (pixels, stride) = (&mut *self.pixels, self.stride);
        let [left, top] = self.corner;
        for (x, row) in columns.clone().zip(rows(columns)) {
            if (row - centre).abs() < near {
                let at = |row: i32| (row as u32 - top) as usize * stride + (x - left) as usize;
                crossed(pixels, stride, at, rows_here, row, crossing, ink);
            }
        }
    }

    /// One column of a line that runs along its columns.
    fn upright(&mut self, stroke: &Stroke, ink: &Ink, clip: PxRect, x: u32) {
        let column = stroke.curve.column(x);
        let distance = (column.at_top / column.per_column.abs()) as f32;
        let crossing = Crossing::new(0.0, stroke.width_px);
        // Not a number where the line runs nowhere in particular.
        if distance.is_nan() || distance.abs() >= crossing.reach() {
            return;
        }
        let [share, ..] = Share::of_each(crossing.shares(Vec4::splat(distance)));
        let mut index = self.index(x, clip.y);
        for _ in 0..clip.h {
            ink.cover(&mut self.pixels[index], share);
            index += self.stride;
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
                let share = Share::new(rows * share(left, right, x));
                ink.cover(&mut self.pixels[index], share);
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
                    let share = Share::new(f64::from(value) / 255.0);
                    ink.cover(&mut self.pixels[index], share);
                }
            }
        }
    }
}

/// Columns that share the slope of their first: on a panel curved as tightly as
/// any, it changes by a thousandth over so many.
const SLOPE_COLUMNS: u32 = 4;

/// Steeper than this, in rows per column, a line is taken as upright: over the
/// tallest picture it then strays by a thirtieth of a pixel.
const STEEPEST: f64 = 1e6;

/// How a stroke crosses every column; `None` where it crosses some otherwise, or
/// runs along them.
pub fn same_crossing(stroke: &Stroke) -> Option<Crossing> {
    match &stroke.curve {
        Curve::Panel(curve) if curve.is_straight() => crossing(stroke, stroke.clip.x),
        Curve::Panel(_) | Curve::Chord(_) => None,
    }
}

/// How a stroke crosses a column; `None` where it runs along it.
fn crossing(stroke: &Stroke, column: u32) -> Option<Crossing> {
    let slope = stroke.curve.column(column).slope();
    // Not a number where the line runs nowhere in particular.
    (slope.abs() <= STEEPEST).then(|| Crossing::new(slope, stroke.width_px))
}

/// Covers the rows of a column, from and to, that a line touches whose middle lies
/// at a row coordinate: four at a time. `at` finds a row's pixel in the column.
#[inline(always)]
fn crossed(
    pixels: &mut [[u8; 4]],
    stride: usize,
    at: impl Fn(i32) -> usize,
    rows: [i32; 2],
    row: f64,
    crossing: &Crossing,
    ink: &Ink,
) {
    // The middle as a whole row and a part of one, counted in pixel centres. Rows
    // counted from the whole one are exact, so that a pixel doesn't depend on
    // which others are drawn with it.
    let (whole, part) = nearest(row - 0.5);
    let reach = crossing.reach();
    let mut from = (whole + floor(part - reach) + 1).max(rows[0]);
    let to = (whole + floor(part + reach) + 1).min(rows[1]);
    if from >= to {
        return;
    }
    let mut below = Vec4::splat((from - whole) as f32) + Vec4::new(0.0, 1.0, 2.0, 3.0);
    let mut index = at(from);
    loop {
        let shares = Share::of_each(crossing.shares(below - Vec4::splat(part)));
        // Rows past the line get a share of nothing: to lay it on takes less time
        // than to find out which they are.
        let room = (rows[1] - from) as usize;
        if room >= 4 {
            let rows = [0, 1, 2, 3].map(|row| index + row * stride);
            let under = rows.map(|row| pixels[row]);
            let over = ink.over_four(under, shares);
            for (row, pixel) in rows.into_iter().zip(over) {
                pixels[row] = pixel;
            }
        } else {
            for (row, share) in shares[..room].iter().enumerate() {
                ink.cover(&mut pixels[index + row * stride], *share);
            }
        }
        from += 4;
        if from >= to {
            return;
        }
        below += 4.0;
        index += 4 * stride;
    }
}

/// The nearest whole number and what is left, for numbers within two thousand
/// million.
#[inline(always)]
fn nearest(value: f64) -> (i32, f32) {
    // At this size a number's last place is one, so that the sum is rounded, and
    // the whole number stands in its lowest bits.
    const WHOLE: f64 = 1.5 * (1_u64 << 52) as f64;
    let sum = value + WHOLE;
    (sum.to_bits() as i32, (value - (sum - WHOLE)) as f32)
}

/// The largest whole number below a value within four million; where the value
/// is whole, itself or the one before it.
#[inline(always)]
fn floor(value: f32) -> i32 {
    const WHOLE: f32 = 1.5 * (1 << 23) as f32;
    ((value - 0.5) + WHOLE).to_bits() as i32 - WHOLE.to_bits() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_parted_as_the_standard_library_parts_them() {
        for value in [0.0, 0.25, -0.25, 7.75, -1439.5, 1e-9, 4_000_000.7, -8.0] {
            let (whole, part) = nearest(value);
            assert_eq!(f64::from(whole), value.round_ties_even(), "{value}");
            assert!(
                (f64::from(whole) + f64::from(part) - value).abs() < 1e-7,
                "{value}"
            );
        }
        for value in [0.1_f32, -0.1, 3.9, -3.9, 1_500_000.4, -1_500_000.4] {
            assert_eq!(floor(value), value.floor() as i32, "{value}");
        }
        assert!([6, 7].contains(&floor(7.0)));
    }
}
