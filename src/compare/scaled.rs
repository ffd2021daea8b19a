//! Parts of pictures at another size, and their difference.

use rayon::prelude::*;

use crate::light::{Colour, Tables};
use crate::raster::{Footprint, Picture};
use crate::rig::PxRect;

/// Light that only the earlier picture has.
pub(super) const GONE: Colour = Colour([230, 159, 0]);
/// Light that only the later picture has.
pub(super) const COME: Colour = Colour([86, 180, 233]);
/// How bright what both have stays.
const COMMON: f32 = 0.18;

/// A part of a picture (left, top, width, height, in its pixels), at a size. The
/// whole picture at its own size is that picture, byte for byte.
pub fn scaled(picture: &Picture, [x, y, w, h]: [f64; 4], size_px: [u32; 2]) -> Picture {
    let [columns, rows] = picture.size_px();
    if size_px == [columns, rows] && [x, y, w, h] == [0, 0, columns, rows].map(f64::from) {
        return picture.clone();
    }
    let mut out = Picture::new(size_px);
    let area = PxRect {
        x: 0,
        y: 0,
        w: columns,
        h: rows,
    };
    let per = [w / f64::from(size_px[0]), h / f64::from(size_px[1])];
    let tables = Tables::get();
    let stride = out.stride().max(4);
    out.bytes_mut()
        .par_chunks_mut(stride)
        .enumerate()
        .for_each(|(row, bytes)| {
            for (column, pixel) in bytes.as_chunks_mut::<4>().0.iter_mut().enumerate() {
                let [red, green, blue] = Footprint {
                    centre: [
                        x + (column as f64 + 0.5) * per[0],
                        y + (row as f64 + 0.5) * per[1],
                    ],
                    per_column: [per[0], 0.0],
                    per_row: [0.0, per[1]],
                }
                .light(picture, area);
                *pixel = [tables.code(red), tables.code(green), tables.code(blue), 255];
            }
        });
    out
}

/// What two pictures of one size have in common in dim grey, what only the
/// first has in orange, what only the second has in blue.
pub fn difference(before: &Picture, after: &Picture) -> Picture {
    let tables = Tables::get();
    let (gone, come) = (GONE.linear(), COME.linear());
    let mut out = before.clone();
    let pixels = out.bytes_mut().as_chunks_mut::<4>().0.iter_mut();
    for (pixel, after) in pixels.zip(after.bytes().as_chunks::<4>().0) {
        let mut common = 0.0_f32;
        let (mut less, mut more) = (0.0_f32, 0.0_f32);
        for (one, other) in pixel[..3].iter().zip(&after[..3]) {
            let (one, other) = (tables.linear(*one), tables.linear(*other));
            common += one.min(other) / 3.0;
            less = less.max(one - other);
            more = more.max(other - one);
        }
        for (i, code) in pixel[..3].iter_mut().enumerate() {
            *code = tables.code(common * COMMON + less * gone[i] + more * come[i]);
        }
        pixel[3] = 255;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_light_is_grey_and_moved_light_is_orange_and_blue() {
        let mut before = Picture::new([3, 1]);
        let mut after = Picture::new([3, 1]);
        before.bytes_mut()[..8].fill(255);
        after.bytes_mut()[..4].fill(255);
        after.bytes_mut()[8..].fill(255);
        let seen = difference(&before, &after);
        let pixel = |i: usize| [0, 1, 2].map(|c| seen.bytes()[i * 4 + c]);
        let grey = Tables::get().code(COMMON);
        assert_eq!(pixel(0), [grey; 3]);
        assert_eq!(Colour(pixel(1)), GONE);
        assert_eq!(Colour(pixel(2)), COME);
    }

    #[test]
    fn a_picture_at_its_own_size_stays_as_it_is() {
        let mut picture = Picture::new([3, 2]);
        for (i, pixel) in picture.pixels_mut().iter_mut().enumerate() {
            *pixel = [i as u8 * 50, 7, 255 - i as u8, 255];
        }
        assert_eq!(scaled(&picture, [0.0, 0.0, 3.0, 2.0], [3, 2]), picture);
    }

    #[test]
    fn scaling_keeps_the_mean_light() {
        let mut picture = Picture::new([60, 40]);
        for (i, pixel) in picture.bytes_mut().chunks_exact_mut(4).enumerate() {
            let code = if (i % 60 / 6 + i / 60 / 5) % 2 == 0 {
                255
            } else {
                0
            };
            pixel.fill(code);
        }
        let small = scaled(&picture, [0.0, 0.0, 60.0, 40.0], [10, 8]);
        let light = |picture: &Picture| {
            let pixels = picture.bytes().chunks_exact(4);
            let count = pixels.len() as f64;
            pixels
                .map(|p| f64::from(Tables::get().linear(p[0])))
                .sum::<f64>()
                / count
        };
        assert!((light(&small) - light(&picture)).abs() < 0.01);
    }
}
