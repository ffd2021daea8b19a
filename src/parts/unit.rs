//! Units of a rig file.

/// Millimetres of an inch.
pub(crate) const MM_PER_INCH: f64 = 25.4;

/// A unit of a rig file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Degrees.
    Deg,
    /// Inches of 25.4 millimetres.
    Inch,
    /// Pixels, columns or rows.
    Px,
    /// Hertz.
    Hz,
    /// A count or a ratio.
    One,
}

impl Unit {
    /// As it stands behind a number, with the space before it where one is due.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Mm => " mm",
            Unit::Deg => "°",
            Unit::Inch => " in",
            Unit::Px => " px",
            Unit::Hz => " Hz",
            Unit::One => "",
        }
    }

    /// The word for it; empty where a key says it already.
    pub const fn word(self) -> &'static str {
        match self {
            Unit::Mm => "millimetres",
            Unit::Deg => "degrees",
            Unit::Inch => "inches",
            Unit::Hz => "hertz",
            Unit::Px | Unit::One => "",
        }
    }
}
