//! A colour ready to be laid on in any share.

use std::sync::Arc;

use glam::Vec4;

use crate::kept::Kept;
use crate::light::{Colour, Tables};

/// Shares are rounded to this many steps, which moves no code by more than one,
/// and no line's centroid by more than 0.001 px.
const STEPS: usize = 4096;

/// Room for every step in a table whose index needs no check.
const SLOTS: usize = 2 * STEPS;

/// A pixel that nothing was laid on.
pub const BLACK: [u8; 4] = [0, 0, 0, 255];

/// A share of a pixel, in steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Share(u32);

impl Share {
    /// Four shares, each 0 to 1.
    #[inline]
    pub(super) fn of_each(shares: Vec4) -> [Share; 4] {
        // At this size a float's last place is one, so that the sum is rounded
        // to a whole number, which stands in its lowest bits.
        const WHOLE: f32 = (1 << 23) as f32;
        let sums = (shares * STEPS as f32 + Vec4::splat(WHOLE)).to_array();
        let share = |sum: f32| Share(sum.to_bits() & (SLOTS - 1) as u32);
        // Spelt out, since the standard library's `map` is not always inlined.
        [
            share(sums[0]),
            share(sums[1]),
            share(sums[2]),
            share(sums[3]),
        ]
    }

    /// A share, 0 to 1.
    #[inline]
    pub(super) fn new(share: f64) -> Share {
        Share((share * STEPS as f64 + 0.5) as u32)
    }
}

/// A colour, and its codes on black for every share.
#[derive(Debug)]
pub(super) struct Ink {
    colour: Colour,
    light: [f32; 3],
    on_black: Box<[[u8; 4]; SLOTS]>,
}

impl Ink {
    /// The ink of a colour. Inks are kept, since a pattern has few and a redraw
    /// of a part of it takes less time than mixing them.
    pub(super) fn of(colour: Colour) -> Arc<Ink> {
        /// More colours than a pattern and the words over it have.
        static INKS: Kept<Ink> = Kept::new(32);
        INKS.get(|ink| ink.colour == colour, || Ink::new(colour))
    }

    fn new(colour: Colour) -> Ink {
        let tables = Tables::get();
        let light = colour.linear();
        let mut on_black = Box::new([BLACK; SLOTS]);
        for (step, pixel) in on_black.iter_mut().enumerate() {
            let share = step.min(STEPS) as f32 / STEPS as f32;
            let [r, g, b] = light.map(|light| tables.code(light * share));
            *pixel = [r, g, b, 255];
        }
        Ink {
            colour,
            light,
            on_black,
        }
    }

    /// The colour.
    pub(super) fn colour(&self) -> Colour {
        self.colour
    }

    /// A pixel that is covered all over.
    #[inline]
    pub(super) fn full(&self) -> [u8; 4] {
        self.on_black[STEPS]
    }

    /// Covers a share of a pixel.
    #[inline]
    pub(super) fn cover(&self, pixel: &mut [u8; 4], share: Share) {
        *pixel = if *pixel == BLACK {
            self.on_black(share)
        } else {
            self.over(*pixel, share)
        };
    }

    /// Four pixels, a share of each covered.
    #[inline]
    pub(super) fn over_four(&self, under: [[u8; 4]; 4], shares: [Share; 4]) -> [[u8; 4]; 4] {
        if under == [BLACK; 4] {
            let [a, b, c, d] = shares;
            [
                self.on_black(a),
                self.on_black(b),
                self.on_black(c),
                self.on_black(d),
            ]
        } else {
            let mut over = under;
            for (pixel, share) in over.iter_mut().zip(shares) {
                *pixel = self.over(*pixel, share);
            }
            over
        }
    }

    #[inline]
    fn on_black(&self, share: Share) -> [u8; 4] {
        self.on_black[share.0 as usize & (SLOTS - 1)]
    }

    fn over(&self, mut pixel: [u8; 4], share: Share) -> [u8; 4] {
        if pixel == BLACK {
            return self.on_black(share);
        }
        if share.0 > 0 {
            let tables = Tables::get();
            let share = share.0 as f32 / STEPS as f32;
            for (code, light) in pixel[..3].iter_mut().zip(&self.light) {
                let under = tables.linear(*code);
                *code = tables.code(under + (light - under) * share);
            }
        }
        pixel
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_light_on_black_and_on_grey() {
        let white = Ink::of(Colour([255, 255, 255]));
        let mut pixel = BLACK;
        white.cover(&mut pixel, Share::new(0.5));
        // IEC 61966-2-1: half the light has code 188.
        assert_eq!(pixel, [188, 188, 188, 255]);
        // Half of what is left, three quarters, has code 225.
        white.cover(&mut pixel, Share::new(0.5));
        assert_eq!(pixel, [225, 225, 225, 255]);
        white.cover(&mut pixel, Share::new(0.0));
        assert_eq!(pixel, [225, 225, 225, 255]);
        white.cover(&mut pixel, Share::new(1.0));
        assert_eq!(pixel, white.full());
    }

    #[test]
    fn four_shares_at_once_are_those_taken_singly() {
        let shares = [0.0, 0.25, 0.7, 1.0];
        let four = Share::of_each(Vec4::from_array(shares));
        assert_eq!(four, shares.map(|share| Share::new(share.into())));
    }

    #[test]
    fn more_colours_than_are_kept_are_mixed_all_the_same() {
        for code in 0..=255 {
            let ink = Ink::of(Colour([code, 0, 7]));
            assert_eq!(ink.full(), [code, 0, 7, 255]);
        }
    }
}
