//! A picture in shades of grey.

use crate::light::Tables;

/// A picture as one sRGB code a pixel, row by row from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grey {
    width: u32,
    height: u32,
    codes: Vec<u8>,
}

impl Grey {
    /// The picture with these columns, rows and codes; `None` where it has no pixel or
    /// another number of codes.
    pub fn new([width, height]: [u32; 2], codes: Vec<u8>) -> Option<Grey> {
        let area = u64::from(width) * u64::from(height);
        (area > 0 && codes.len() as u64 == area).then_some(Grey {
            width,
            height,
            codes,
        })
    }

    /// Columns and rows.
    pub fn size_px(&self) -> [u32; 2] {
        [self.width, self.height]
    }

    /// Its rows of codes, from the top.
    pub(crate) fn rows(&self) -> impl Iterator<Item = &[u8]> {
        self.codes.chunks(self.width as usize)
    }

    /// A row of codes, counted from 0 at the top.
    pub(crate) fn row(&self, row: usize) -> &[u8] {
        let width = self.width as usize;
        &self.codes[row * width..(row + 1) * width]
    }

    /// The code that one pixel in a thousand reaches.
    pub(crate) fn brightest(&self) -> u8 {
        let mut counts = [0_usize; 256];
        for &code in &self.codes {
            counts[usize::from(code)] += 1;
        }
        let mut left = self.codes.len() / 1000;
        for code in (1..=255).rev() {
            if counts[usize::from(code)] > left {
                return code;
            }
            left -= counts[usize::from(code)];
        }
        1
    }

    /// The mean light of each square of `factor` pixels; what is left at the right and
    /// at the bottom is dropped, but for a picture smaller than a square.
    pub(crate) fn reduced(&self, factor: u32) -> Grey {
        if factor <= 1 || factor > self.width.min(self.height) {
            return self.clone();
        }
        let [width, height] = [self.width / factor, self.height / factor];
        let tables = Tables::get();
        let mut codes = Vec::with_capacity(width as usize * height as usize);
        for y in 0..height {
            for x in 0..width {
                let mut sum = 0.0;
                for row in y * factor..(y + 1) * factor {
                    let start = row as usize * self.width as usize + (x * factor) as usize;
                    let square = &self.codes[start..start + factor as usize];
                    sum += square.iter().map(|&code| tables.linear(code)).sum::<f32>();
                }
                codes.push(tables.code(sum / (factor * factor) as f32));
            }
        }
        Grey {
            width,
            height,
            codes,
        }
    }

    /// Light, 0 to 1, at a place, blended from the four pixels around it; `None` outside
    /// the picture. The top left pixel's middle is at (0.5, 0.5).
    pub fn light(&self, [x, y]: [f64; 2]) -> Option<f64> {
        let [w, h] = self.size_px().map(f64::from);
        if !((0.0..w).contains(&x) && (0.0..h).contains(&y)) {
            return None;
        }
        let tables = Tables::get();
        let [x, y] = [x - 0.5, y - 0.5];
        let [left, top] = [x.floor(), y.floor()];
        let [right_share, low_share] = [x - left, y - top];
        let at = |x: f64, y: f64| {
            // The picture's outermost pixels go on beyond their middles.
            let [x, y] = [x.clamp(0.0, w - 1.0), y.clamp(0.0, h - 1.0)].map(|v| v as usize);
            f64::from(tables.linear(self.codes[y * self.width as usize + x]))
        };
        let along = |y: f64| {
            let [one, other] = [at(left, y), at(left + 1.0, y)];
            one + (other - one) * right_share
        };
        let [upper, lower] = [along(top), along(top + 1.0)];
        Some(upper + (lower - upper) * low_share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn light_is_blended_between_pixels_and_ends_at_the_edge() {
        let grey = Grey::new([2, 1], vec![0, 255]).expect("two pixels");
        let near = |a: Option<f64>, b: f64| (a.expect("inside") - b).abs() < 1e-6;
        assert!(near(grey.light([0.5, 0.5]), 0.0));
        assert!(near(grey.light([1.0, 0.2]), 0.5));
        assert!(near(grey.light([1.9, 0.9]), 1.0));
        assert_eq!(grey.light([2.0, 0.5]), None);
        assert_eq!(grey.light([f64::NAN, 0.5]), None);
        assert_eq!(Grey::new([2, 2], vec![0; 3]), None);
        assert_eq!(Grey::new([0, 0], Vec::new()), None);
    }

    #[test]
    fn squares_are_averaged_in_light() {
        let grey = Grey::new([3, 2], vec![0, 255, 9, 255, 0, 9]).expect("six pixels");
        let reduced = grey.reduced(2);
        // IEC 61966-2-1: half the light has code 188.
        assert_eq!(reduced, Grey::new([1, 1], vec![188]).expect("a pixel"));
    }
}
