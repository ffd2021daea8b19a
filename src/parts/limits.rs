//! The range of every number in a rig, with what to do about one outside it.

use super::unit::Unit;
use super::words::number;

/// A number's range, both ends included unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    key: &'static str,
    min: f64,
    max: f64,
    /// The ends themselves are outside.
    open: bool,
    unit: Unit,
    remedy: &'static str,
}

impl Limit {
    /// A range with both its ends.
    pub const fn new(
        key: &'static str,
        [min, max]: [f64; 2],
        unit: Unit,
        remedy: &'static str,
    ) -> Self {
        Self {
            key,
            min,
            max,
            open: false,
            unit,
            remedy,
        }
    }

    /// The same range without its ends.
    pub const fn open(self) -> Self {
        Self { open: true, ..self }
    }

    /// The smallest number in it.
    pub const fn min(&self) -> f64 {
        self.min
    }

    /// The largest number in it.
    pub const fn max(&self) -> f64 {
        self.max
    }

    /// Whether `value` lies in it.
    pub fn holds(&self, value: f64) -> bool {
        if self.open {
            self.min < value && value < self.max
        } else {
            self.min <= value && value <= self.max
        }
    }

    /// Says what is wrong with `value`, if anything is.
    pub fn broken_by(&self, value: f64) -> Option<String> {
        (!self.holds(value)).then(|| {
            let Self { key, unit, .. } = self;
            let unit = unit.word();
            let space = if unit.is_empty() { "" } else { " " };
            let how = if self.open {
                "strictly between"
            } else {
                "between"
            };
            let found = if value.is_finite() {
                number(value)
            } else {
                "not a finite number".to_owned()
            };
            let (min, max) = (number(self.min), number(self.max));
            let remedy = self.remedy;
            format!("`{key}` is {found}, but must lie {how} {min} and {max}{space}{unit}: {remedy}")
        })
    }
}

/// Most panels in a rig.
pub(crate) const MAX_PANELS: usize = 64;
/// Longest name of a rig or a panel.
pub(crate) const MAX_NAME_CHARS: usize = 80;
