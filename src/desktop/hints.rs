//! What a display server adds to the window library's report.

use throughline::display::{Display, Features};

/// What is known about the display with this name, and corrects its report.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Hint {
    /// What the system calls the display.
    pub name: String,
    /// Width and height in millimetres as the display claims, as it is turned.
    pub size_mm: Option<[f64; 2]>,
    /// Its place on the desktop. It is of the same moment as the scale factor, which the
    /// window library multiplies places with by whole numbers that come later or earlier.
    pub position_px: Option<[i32; 2]>,
    /// Columns and rows, as it is turned.
    pub size_px: Option<[u32; 2]>,
    /// Columns and rows of the mode, as it is turned.
    pub mode_px: Option<[u32; 2]>,
    /// The desktop's scale factor.
    pub scale: Option<f64>,
    /// The rate of its mode, where the system knows it better than in whole hertz.
    pub refresh_hz: Option<f64>,
    /// What else the system tells of it.
    pub features: Features,
}

/// Lets the hints complete and correct the displays of the same name.
pub(super) fn apply(hints: &[Hint], displays: &mut [Display]) {
    for display in displays {
        let Some(hint) = hints.iter().find(|hint| hint.name == display.name) else {
            continue;
        };
        display.size_mm = hint.size_mm.or(display.size_mm);
        display.position_px = hint.position_px.unwrap_or(display.position_px);
        display.size_px = hint.size_px.unwrap_or(display.size_px);
        display.mode_px = hint.mode_px.or(display.mode_px);
        display.scale = hint.scale.unwrap_or(display.scale);
        display.refresh_hz = hint.refresh_hz.or(display.refresh_hz);
        display.features = hint.features.clone();
    }
}

/// A display's claim about its size, unless it is none.
///
/// Common practice, known to every display server: some displays claim zero,
/// and some the shape of their picture in place of a size, such as
/// 160 mm x 90 mm or 16 cm x 9 cm for any 16:9 one.
#[cfg(any(test, not(target_os = "macos")))]
pub(super) fn claimed_size_mm(size_mm: [f64; 2]) -> Option<[f64; 2]> {
    const SHAPES: [[f64; 2]; 6] = [
        [16.0, 9.0],
        [16.0, 10.0],
        [160.0, 90.0],
        [160.0, 100.0],
        [1600.0, 900.0],
        [1600.0, 1000.0],
    ];
    let [w, h] = size_mm;
    let is_shape = SHAPES
        .iter()
        .any(|&[a, b]| [w, h] == [a, b] || [h, w] == [a, b]);
    (w > 0.0 && h > 0.0 && !is_shape).then_some(size_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_and_zeros_are_no_sizes() {
        assert_eq!(claimed_size_mm([160.0, 90.0]), None);
        assert_eq!(claimed_size_mm([1000.0, 1600.0]), None);
        assert_eq!(claimed_size_mm([0.0, 0.0]), None);
        assert_eq!(claimed_size_mm([597.0, 336.0]), Some([597.0, 336.0]));
    }

    #[test]
    fn a_hint_reaches_the_display_of_its_name_only() {
        let display = |name: &str| Display {
            name: name.to_owned(),
            position_px: [0, 0],
            size_px: [1920, 1080],
            mode_px: None,
            scale: 2.0,
            refresh_hz: None,
            size_mm: None,
            is_primary: false,
            features: Default::default(),
        };
        let mut displays = [display("A"), display("B")];
        let hint = Hint {
            name: "B".to_owned(),
            size_mm: Some([527.0, 296.0]),
            position_px: Some([1280, 120]),
            scale: Some(1.5),
            refresh_hz: Some(143.97),
            ..Hint::default()
        };
        apply(&[hint], &mut displays);
        assert_eq!(displays[0], display("A"));
        assert_eq!(displays[1].size_mm, Some([527.0, 296.0]));
        assert_eq!(displays[1].position_px, [1280, 120]);
        assert_eq!(displays[1].refresh_hz, Some(143.97));
        assert_eq!(
            (displays[1].scale, displays[1].size_px),
            (1.5, [1920, 1080])
        );
    }
}
