//! Light and its sRGB codes.
//!
//! Transfer functions of IEC 61966-2-1. Everything is blended in linear light,
//! because a bar is seen where the centroid of its light is.

use std::sync::OnceLock;

/// Linear light, 0 to 1, of an sRGB value, 0 to 1.
pub fn decode(srgb: f64) -> f64 {
    if srgb <= 0.04045 {
        srgb / 12.92
    } else {
        ((srgb + 0.055) / 1.055).powf(2.4)
    }
}

/// sRGB value, 0 to 1, of linear light, 0 to 1.
pub fn encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        linear * 12.92
    } else {
        1.055 * linear.powf(1.0 / 2.4) - 0.055
    }
}

/// A colour, held as its sRGB codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Colour(pub [u8; 3]);

impl Colour {
    /// No light.
    pub const BLACK: Colour = Colour([0, 0, 0]);

    /// Linear light of the three channels, 0 to 1.
    pub fn linear(self) -> [f32; 3] {
        let tables = Tables::get();
        self.0.map(|code| tables.linear[usize::from(code)])
    }

    /// `#rrggbb`.
    pub fn hex(self) -> String {
        let [r, g, b] = self.0;
        format!("#{r:02x}{g:02x}{b:02x}")
    }
}

/// Steps of the encoding table: fine enough that a code is off by at most one
/// where a value lies within a tenth of a code of the border between two.
const STEPS: usize = 1 << 15;

/// Look-up tables for whole pictures.
#[derive(Debug)]
pub struct Tables {
    linear: [f32; 256],
    codes: Vec<u8>,
}

impl Tables {
    /// The tables, made at the first call.
    pub fn get() -> &'static Tables {
        static TABLES: OnceLock<Tables> = OnceLock::new();
        TABLES.get_or_init(|| {
            let mut linear = [0.0; 256];
            for (code, value) in linear.iter_mut().enumerate() {
                *value = decode(code as f64 / 255.0) as f32;
            }
            let codes = (0..=STEPS)
                .map(|step| (encode(step as f64 / STEPS as f64) * 255.0).round() as u8)
                .collect();
            Tables { linear, codes }
        })
    }

    /// Linear light, 0 to 1, of a code.
    #[inline]
    pub fn linear(&self, code: u8) -> f32 {
        self.linear[usize::from(code)]
    }

    /// Code of linear light; outside 0 to 1 it is the nearer end.
    #[inline]
    pub fn code(&self, linear: f32) -> u8 {
        // The cast saturates at 0, the minimum keeps it in the table.
        let step = (linear * STEPS as f32 + 0.5) as usize;
        self.codes[step.min(STEPS)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 61966-2-1, values computed from its formulas.
    #[test]
    fn transfer_functions_give_the_standards_values() {
        for (linear, srgb) in [(0.18, 0.461_356_1), (0.5, 0.735_357), (0.25, 0.537_099)] {
            assert!((encode(linear) - srgb).abs() < 1e-6, "{linear}");
        }
        assert!((decode(0.5) - 0.214_041).abs() < 1e-6);
        assert!((decode(128.0 / 255.0) - 0.215_861).abs() < 1e-6);
    }

    #[test]
    fn every_code_survives_the_round_trip_through_the_tables() {
        let tables = Tables::get();
        for code in 0..=255 {
            assert_eq!(tables.code(tables.linear(code)), code);
        }
    }

    #[test]
    fn the_encoding_table_is_within_a_tenth_of_a_code() {
        let tables = Tables::get();
        for i in 0..=100_000 {
            let linear = f64::from(i) / 100_000.0;
            let exact = encode(linear) * 255.0;
            let code = f64::from(tables.code(linear as f32));
            assert!((code - exact).abs() < 0.6, "{linear}: {code} for {exact}");
        }
    }
}
