//! Laying a line on the pixels that it touches, four at a time.

use glam::Vec4;

use super::coverage::CrossSection;
use super::ink::{Ink, Share};
use crate::rig::PxRect;

/// Farthest, in rows, that a line may run past both ends of four columns within
/// them, for the four to be laid at once. On a panel of thousands of columns, curved
/// as tightly as any, it is far less.
pub(super) const TURN: f64 = 0.01;

/// A rectangle of pixels that a line is laid on.
pub(super) struct Rows<'a> {
    /// The pixels that hold it.
    pub pixels: &'a mut [[u8; 4]],
    /// From one row to the next.
    pub stride: usize,
    /// The rectangle in the picture,
    pub clip: PxRect,
    /// and where its first pixel is.
    pub first: usize,
}

impl Rows<'_> {
    #[inline(always)]
    fn index(&self, x: u32, row: i32) -> usize {
        self.first + (row as u32 - self.clip.y) as usize * self.stride + (x - self.clip.x) as usize
    }

    /// The rows, from and to, that a line touches whose middle lies between two
    /// row coordinates; none for what is no number.
    #[inline(always)]
    fn touched(&self, low: f64, high: f64, section: &CrossSection) -> [i32; 2] {
        let reach = f64::from(section.reach());
        let (top, bottom) = (f64::from(self.clip.y), f64::from(self.clip.bottom()));
        let (low, high) = (low - reach, high + reach);
        if low < bottom && high > top {
            // Row coordinates of a line are counted from the rows' edges.
            let (from, _) = nearest(if low > top { low } else { top });
            let (to, _) = nearest(if high < bottom { high } else { bottom });
            [from, to]
        } else {
            [0, 0]
        }
    }

    /// Covers a column of a line whose middle crosses it at `row`.
    #[inline(always)]
    pub(super) fn cross(&mut self, x: u32, row: f64, section: &CrossSection, ink: &Ink) {
        let [mut from, to] = self.touched(row, row, section);
        if from >= to {
            return;
        }
        // The middle as a whole row and a part of one, counted in pixel centres. Rows
        // counted from the whole one are exact, so that a pixel doesn't depend on
        // which others are drawn with it.
        let (whole, part) = nearest(row - 0.5);
        let mut below = Vec4::splat((from - whole) as f32) + Vec4::new(0.0, 1.0, 2.0, 3.0);
        let mut index = self.index(x, from);
        let bottom = self.clip.bottom().cast_signed();
        let (pixels, stride) = (&mut *self.pixels, self.stride);
        loop {
            let shares = Share::of_each(section.shares(below - Vec4::splat(part)));
            // Rows past the line get a share of nothing: to lay it on takes less time
            // than to find out which they are.
            let room = (bottom - from) as usize;
            if room >= 4 {
                let [a, b] = [index, index + stride];
                let [c, d] = [b + stride, b + 2 * stride];
                let under = [pixels[a], pixels[b], pixels[c], pixels[d]];
                [pixels[a], pixels[b], pixels[c], pixels[d]] = ink.over_four(under, shares);
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

    /// Covers four columns, from `x` on, of a level line whose middle crosses them
    /// at `rows`: row by row, since a few rows hold all that it touches. The inner two
    /// lie at most [`TURN`] outside the outer two.
    #[inline(always)]
    pub(super) fn cross_four(&mut self, x: u32, rows: [f64; 4], section: &CrossSection, ink: &Ink) {
        let [left, _, _, right] = rows;
        let (low, high) = if left < right {
            (left, right)
        } else {
            (right, left)
        };
        let [from, to] = self.touched(low - TURN, high + TURN, section);
        if from >= to {
            return;
        }
        let (mut parts, mut below) = ([0.0; 4], [0.0; 4]);
        for column in 0..4 {
            let (whole, part) = nearest(rows[column] - 0.5);
            (parts[column], below[column]) = (part, (from - whole) as f32);
        }
        let parts = Vec4::from_array(parts);
        let mut below = Vec4::from_array(below);
        let mut index = self.index(x, from);
        for _ in from..to {
            let shares = Share::of_each(section.shares(below - parts));
            let Some(four) = self
                .pixels
                .get_mut(index..)
                .and_then(<[_]>::first_chunk_mut)
            else {
                return;
            };
            *four = ink.over_four(*four, shares);
            below += 1.0;
            index += self.stride;
        }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Colour;

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
    }
    /// Four columns by ten rows of grey, with a line laid on by `lay`.
    fn laid(lay: impl FnOnce(&mut Rows)) -> Vec<[u8; 4]> {
        let mut pixels = vec![[30, 40, 50, 255]; 4 * 10];
        lay(&mut Rows {
            pixels: &mut pixels,
            stride: 4,
            clip: PxRect {
                x: 8,
                y: 5,
                w: 4,
                h: 10,
            },
            first: 0,
        });
        pixels
    }

    #[test]
    fn four_columns_at_once_are_those_laid_singly() {
        let ink = Ink::of(Colour([250, 200, 90]));
        let mut touched = 0;
        for slope in [0.0, 0.004, -0.31, 0.77, -1.0] {
            for width_px in [0.7, 1.0, 2.0, 3.0] {
                let section = CrossSection::new(slope, width_px);
                // From above the rectangle to below it.
                for step in 0..90 {
                    let at = 2.0 + f64::from(step) * 0.17;
                    // A line that bends as much as one on a panel may.
                    let rows = [0.0, 1.0, 2.0, 3.0]
                        .map(|x: f64| at + slope * x + 0.8 * TURN * (x - 1.0) * (x - 2.0) / 2.0);
                    let at_once = laid(|pixels| pixels.cross_four(8, rows, &section, &ink));
                    let singly = laid(|pixels| {
                        for (x, row) in (8..).zip(rows) {
                            pixels.cross(x, row, &section, &ink);
                        }
                    });
                    assert_eq!(at_once, singly, "{slope} {width_px} {at}");
                    touched += usize::from(at_once != laid(|_| ()));
                }
            }
        }
        assert!(touched > 1000, "{touched}");
    }
}
