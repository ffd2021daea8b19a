//! The range of every number in a rig, with what to do about one outside it.

use super::words::number;

/// A number's range, both ends included unless said otherwise.
pub struct Limit {
    /// The rig file's key.
    pub key: &'static str,
    min: f64,
    max: f64,
    /// The ends themselves are outside.
    open: bool,
    unit: &'static str,
    remedy: &'static str,
}

impl Limit {
    const fn new(
        key: &'static str,
        [min, max]: [f64; 2],
        unit: &'static str,
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

    /// The same range for another key.
    pub const fn named(mut self, key: &'static str) -> Self {
        self.key = key;
        self
    }

    /// Says what is wrong with `value`, if anything is.
    pub fn broken_by(&self, value: f64) -> Option<String> {
        let inside = if self.open {
            self.min < value && value < self.max
        } else {
            self.min <= value && value <= self.max
        };
        (!inside).then(|| {
            let Self { key, unit, .. } = self;
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

const TURN_REMEDY: &str = "measure how far the right-hand panel turns in from the left-hand one";
const BEZEL_REMEDY: &str = "measure from the lit edge to the edge of the case";

pub const PIXELS: Limit = Limit::new(
    "pixels",
    [1.0, 32_768.0],
    "",
    "give the panel's native columns and rows",
);
pub const DIAGONAL_IN: Limit = Limit::new(
    "diagonal_in",
    [0.1, 1000.0],
    "inches",
    "measure the lit area from corner to corner, 25.4 millimetres to the inch",
);
pub const SIZE_MM: Limit = Limit::new(
    "size_mm",
    [1.0, 30_000.0],
    "millimetres",
    "measure the lit area's width and height, or read them from the panel's data sheet",
);
/// The least radius is half the panel's width and checked with it.
pub const MAX_CURVE_RADIUS_MM: f64 = 1e6;
pub const VIEWS: Limit = Limit::new(
    "views",
    [1.0, 64.0],
    "",
    "give the number of equal columns that a program draws as screens of their own",
);
pub const REFRESH_HZ: Limit = Limit::new(
    "refresh_hz",
    [1.0, 1000.0],
    "hertz",
    "read it from the system's display settings, or leave the key out",
);
pub const SCALE: Limit = Limit::new(
    "scale",
    [0.25, 8.0],
    "",
    "150 % in the system's display settings is 1.5",
);
const BEZEL: Limit = Limit::new("bezel_mm", [0.0, 1000.0], "millimetres", BEZEL_REMEDY);
pub const BEZEL_LEFT: Limit = BEZEL.named("bezel_mm.left");
pub const BEZEL_RIGHT: Limit = BEZEL.named("bezel_mm.right");
pub const BEZEL_TOP: Limit = BEZEL.named("bezel_mm.top");
pub const BEZEL_BOTTOM: Limit = BEZEL.named("bezel_mm.bottom");
pub const DESKTOP_PX: Limit = Limit::new(
    "desktop_px",
    [-262_144.0, 262_144.0],
    "",
    "give the panel's top-left corner in the virtual desktop",
);
pub const TILT_DEG: Limit = Limit::new(
    "tilt_deg",
    [-89.0, 89.0],
    "degrees",
    "measure how far the panel's top leans away from you",
);
pub const ROLL_DEG: Limit = Limit::new(
    "roll_deg",
    [-180.0, 180.0],
    "degrees",
    "measure how far the panel is turned counter-clockwise as you see it",
);
pub const ANGLE_DEG: Limit = Limit {
    open: true,
    ..Limit::new("angle_deg", [-180.0, 180.0], "degrees", TURN_REMEDY)
};
pub const FOLD_DEG: Limit = Limit {
    open: true,
    ..Limit::new("fold_deg", [-180.0, 180.0], "degrees", TURN_REMEDY)
};
pub const GAP_MM: Limit = Limit::new(
    "gap_mm",
    [-1000.0, 10_000.0],
    "millimetres",
    "measure from case to case, without the bezels",
);
pub const STEP_MM: Limit = Limit::new(
    "step_mm",
    [-10_000.0, 10_000.0],
    "millimetres",
    "measure how much nearer to you the right-hand panel's edge is",
);
pub const RISE_MM: Limit = Limit::new(
    "rise_mm",
    [-10_000.0, 10_000.0],
    "millimetres",
    "measure how much higher the right-hand panel's middle is",
);
pub const HIDDEN_PX: Limit = Limit::new(
    "hidden_px",
    [0.0, 32_768.0],
    "",
    "give the columns that the display driver hides behind this seam",
);
pub const DISTANCE_MM: Limit = Limit::new(
    "distance_mm",
    [1.0, 100_000.0],
    "millimetres",
    "measure from the eye to the middle of the facing view",
);
pub const HEIGHT_MM: Limit = Limit::new(
    "height_mm",
    [-100_000.0, 100_000.0],
    "millimetres",
    "measure how far the eye is above the middle of the facing view",
);
pub const OFFSET_MM: Limit = Limit::new(
    "offset_mm",
    [-100_000.0, 100_000.0],
    "millimetres",
    "measure how far the eye is to the right of the middle of the facing view",
);
/// Most panels in a rig.
pub const MAX_PANELS: usize = 64;
/// Longest name of a rig or a panel.
pub const MAX_NAME_CHARS: usize = 80;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_belong_to_a_closed_range_and_neither_to_an_open_one() {
        assert_eq!(TILT_DEG.broken_by(-89.0), None);
        assert_eq!(TILT_DEG.broken_by(89.0), None);
        assert!(TILT_DEG.broken_by(89.000_001).is_some());
        assert_eq!(FOLD_DEG.broken_by(179.999), None);
        assert!(FOLD_DEG.broken_by(180.0).is_some());
        assert!(FOLD_DEG.broken_by(-180.0).is_some());
        assert!(FOLD_DEG.broken_by(f64::NAN).is_some());
        assert!(HEIGHT_MM.broken_by(f64::NEG_INFINITY).is_some());
    }

    #[test]
    fn the_sentence_names_key_value_range_and_remedy() {
        assert_eq!(
            SCALE.broken_by(9.0).as_deref(),
            Some(
                "`scale` is 9, but must lie between 0.25 and 8: \
                 150 % in the system's display settings is 1.5"
            )
        );
    }
}
