//! What is known of a quantity, wherever it stands.

use crate::parts::limits::Limit;
use crate::parts::unit::Unit;

/// What is known of a quantity, wherever it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spec {
    /// The rig file's key; a bezel's is `bezel_mm.left` and so on.
    pub key: &'static str,
    /// Which number of the key's pair it is, where the key has two.
    pub item: Option<usize>,
    /// What people call it.
    pub name: &'static str,
    /// Its unit.
    pub unit: Unit,
    /// Its range, and what to do about a number outside it.
    pub limit: Limit,
    /// What it is where the file leaves the key out; `None` where it must be
    /// given, or is absent then.
    pub default: Option<f64>,
    /// Whether it is a whole number.
    pub is_whole: bool,
    /// Fine and coarse step of what is nudged at the glass, in its unit.
    pub steps: Option<[f64; 2]>,
}

impl Spec {
    pub(super) const fn new(
        key: &'static str,
        name: &'static str,
        unit: Unit,
        range: [f64; 2],
        remedy: &'static str,
    ) -> Spec {
        Spec {
            key,
            item: None,
            name,
            unit,
            limit: Limit::new(key, range, unit, remedy),
            default: None,
            is_whole: false,
            steps: None,
        }
    }

    pub(super) const fn item(self, item: usize) -> Spec {
        Spec {
            item: Some(item),
            ..self
        }
    }

    pub(super) const fn or(self, default: f64) -> Spec {
        Spec {
            default: Some(default),
            ..self
        }
    }

    pub(super) const fn whole(self) -> Spec {
        Spec {
            is_whole: true,
            ..self
        }
    }

    pub(super) const fn open(self) -> Spec {
        Spec {
            limit: self.limit.open(),
            ..self
        }
    }

    pub(super) const fn steps(self, fine: f64, coarse: f64) -> Spec {
        Spec {
            steps: Some([fine, coarse]),
            ..self
        }
    }

    /// Digits after the point that its steps need.
    pub const fn decimals(&self) -> u8 {
        match self.unit {
            Unit::Deg | Unit::Inch => 2,
            Unit::Px | Unit::One => 0,
            Unit::Mm | Unit::Hz => 1,
        }
    }

    /// A number with its unit.
    pub fn show(&self, number: f64) -> String {
        format!(
            "{number:.*}{}",
            usize::from(self.decimals()),
            self.unit.symbol()
        )
    }

    /// A change with its sign and unit.
    pub fn show_change(&self, change: f64) -> String {
        format!(
            "{change:+.*}{}",
            usize::from(self.decimals()),
            self.unit.symbol()
        )
    }
}

impl Spec {
    /// A length in millimetres.
    pub(super) const fn length(
        key: &'static str,
        name: &'static str,
        range: [f64; 2],
        remedy: &'static str,
    ) -> Spec {
        Spec::new(key, name, Unit::Mm, range, remedy)
    }
}
