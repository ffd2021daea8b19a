//! How much two pictures differ, in figures.

use rayon::prelude::*;

use crate::raster::Picture;

/// What differs between two pictures of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Columns and rows of either.
    pub size_px: [u32; 2],
    /// Share of the pixels that differ at all, 0 to 1.
    pub changed_share: f64,
    /// Largest difference of one channel's sRGB codes, 0 to 255.
    pub max_difference: u8,
}

impl Figures {
    /// Compares two pictures; `None` where their sizes differ.
    pub fn of(before: &Picture, after: &Picture) -> Option<Figures> {
        if before.size_px() != after.size_px() {
            return None;
        }
        let stride = before.stride().max(4);
        let rows = before
            .bytes()
            .par_chunks(stride)
            .zip(after.bytes().par_chunks(stride));
        let (changed, max_difference) = rows
            .map(|(one, other)| row(one, other))
            .reduce(|| (0, 0), |a, b| (a.0 + b.0, a.1.max(b.1)));
        let [w, h] = before.size_px().map(f64::from);
        Some(Figures {
            size_px: before.size_px(),
            changed_share: if changed == 0 {
                0.0
            } else {
                changed as f64 / (w * h)
            },
            max_difference,
        })
    }
}

/// Pixels that differ, and the largest difference.
fn row(one: &[u8], other: &[u8]) -> (u64, u8) {
    if one == other {
        return (0, 0);
    }
    let pixels = one.as_chunks::<4>().0.iter().zip(other.as_chunks::<4>().0);
    pixels.fold((0, 0), |(changed, most), (a, b)| {
        let off = (0..3).map(|i| a[i].abs_diff(b[i])).max().unwrap_or(0);
        (changed + u64::from(off > 0), most.max(off))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_count_pixels_and_keep_the_largest_code() {
        let before = Picture::new([4, 5]);
        let mut after = before.clone();
        assert_eq!(
            Figures::of(&before, &after),
            Some(Figures {
                size_px: [4, 5],
                changed_share: 0.0,
                max_difference: 0
            })
        );
        after.bytes_mut()[8] = 7;
        after.bytes_mut()[9] = 200;
        after.bytes_mut()[77] = 3;
        let figures = Figures::of(&before, &after).expect("of one size");
        assert_eq!(figures.changed_share, 0.1);
        assert_eq!(figures.max_difference, 200);
        assert_eq!(Figures::of(&before, &Picture::new([5, 4])), None);
    }
}
