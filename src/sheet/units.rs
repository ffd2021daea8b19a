//! Lengths as people want to read them.

/// The unit of lengths on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Millimetres.
    #[default]
    Millimetres,
    /// Inches of 25.4 mm.
    Inches,
}

impl Units {
    /// The unit's symbol.
    pub fn symbol(self) -> &'static str {
        match self {
            Units::Millimetres => "mm",
            Units::Inches => "in",
        }
    }

    pub(crate) fn in_words(self) -> &'static str {
        match self {
            Units::Millimetres => "millimetres",
            Units::Inches => "inches",
        }
    }

    /// A length without its unit, to what a tape measure can tell.
    pub(crate) fn length(self, mm: f64) -> String {
        match self {
            Units::Millimetres => fixed(mm, 1),
            Units::Inches => fixed(mm / 25.4, 2),
        }
    }

    /// The size of a pixel without its unit.
    pub(crate) fn pitch(self, mm: f64) -> String {
        match self {
            Units::Millimetres => fixed(mm, 4),
            Units::Inches => fixed(mm / 25.4, 5),
        }
    }
}

/// A number with so many decimals, and no minus before a zero.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.bytes().all(|b| b == b'0' || b == b'.') => digits.to_owned(),
        _ => text,
    }
}

/// An angle in degrees from radians.
pub(crate) fn degrees(radians: f64, decimals: usize) -> String {
    fixed(radians.to_degrees(), decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vanishing_negative_is_zero() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-0.06, 1), "-0.1");
        assert_eq!(Units::Inches.length(25.4), "1.00");
    }
}
