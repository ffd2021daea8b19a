//! A colour ready to be laid on in any share.

use crate::light::{Colour, Tables};

/// Shares are rounded to this many steps on black, which moves no code by more
/// than one, and no line's centroid by more than 0.001 px.
const STEPS: usize = 4096;

/// A colour, and its codes on black for every share.
#[derive(Debug)]
pub struct Ink {
    light: [f32; 3],
    on_black: Vec<[u8; 4]>,
}

impl Ink {
    /// The ink of a colour.
    pub fn new(colour: Colour) -> Ink {
        let tables = Tables::get();
        let light = colour.linear();
        let on_black = (0..=STEPS)
            .map(|step| {
                let share = step as f32 / STEPS as f32;
                let [r, g, b] = light.map(|light| tables.code(light * share));
                [r, g, b, 255]
            })
            .collect();
        Ink { light, on_black }
    }

    /// The colour itself.
    #[inline]
    pub fn full(&self) -> [u8; 4] {
        self.on_black[STEPS]
    }

    /// Covers a share, 0 to 1, of a pixel.
    #[inline]
    pub fn blend(&self, pixel: &mut [u8; 4], share: f64) {
        let step = ((share * STEPS as f64 + 0.5) as usize).min(STEPS);
        if step == STEPS || pixel[..3] == [0, 0, 0] {
            *pixel = self.on_black[step];
        } else {
            let tables = Tables::get();
            for (code, light) in pixel.iter_mut().zip(self.light) {
                let under = tables.linear(*code);
                *code = tables.code(under + (light - under) * share as f32);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_light_on_black_and_on_grey() {
        let white = Ink::new(Colour([255, 255, 255]));
        let mut pixel = [0, 0, 0, 255];
        white.blend(&mut pixel, 0.5);
        // IEC 61966-2-1: half the light has code 188.
        assert_eq!(pixel, [188, 188, 188, 255]);
        // Half of what is left, three quarters, has code 225.
        white.blend(&mut pixel, 0.5);
        assert_eq!(pixel, [225, 225, 225, 255]);
        white.blend(&mut pixel, 1.0);
        assert_eq!(pixel, white.full());
    }
}
