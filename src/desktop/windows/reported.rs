//! A display in Windows' own words, and what they mean.

use throughline::display::Features;

use crate::desktop::edid::Edid;
use crate::desktop::hints::{Hint, claimed_size_mm};

/// Windows' numbers for a picture on its side (`DISPLAYCONFIG_ROTATION`).
const ON_ITS_SIDE: [i32; 2] = [2, 4];
/// Flags of advanced colour: on,
const COLOUR_ON: u32 = 1 << 1;
/// and on for a wide gamut alone.
const COLOUR_WIDE_ONLY: u32 = 1 << 2;

/// What Windows says of one lit display.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Reported {
    /// The desktop's name for it, such as `\\.\DISPLAY1`.
    pub source_name: String,
    /// What it calls itself; empty where it doesn't.
    pub model: String,
    /// The system's path to the device; empty where there is none.
    pub device_path: String,
    /// The rate that the desktop is drawn for, as a fraction.
    pub path_rate: [u32; 2],
    /// The rate of the signal, as a fraction.
    pub signal_rate: [u32; 2],
    /// Columns and rows of the signal, before the picture is turned.
    pub signal_px: [u32; 2],
    /// How the picture is turned.
    pub rotation: i32,
    /// The flags of its advanced colour.
    pub advanced_colour: Option<u32>,
}

impl Reported {
    /// The registry's key, on the local machine, of what the display says of itself.
    pub(super) fn registry_key(&self) -> Option<String> {
        // \\?\DISPLAY#MODEL#INSTANCE#{kind}
        let path = self.device_path.strip_prefix(r"\\?\")?;
        let parts: Vec<&str> = path.split('#').collect();
        let [class, model, instance, _] = parts[..] else {
            return None;
        };
        Some(format!(
            r"SYSTEM\CurrentControlSet\Enum\{class}\{model}\{instance}\Device Parameters"
        ))
    }

    /// What that corrects and adds, with the display's own block of data.
    pub(super) fn hint(&self, claims: Option<&[u8]>) -> Hint {
        let claims = claims.and_then(Edid::read).unwrap_or_default();
        let turned = |[w, h]: [u32; 2]| {
            if ON_ITS_SIDE.contains(&self.rotation) {
                [h, w]
            } else {
                [w, h]
            }
        };
        let is_signal = self.signal_px.iter().all(|&side| side > 0);
        let model = Some(self.model.trim().to_owned()).filter(|model| !model.is_empty());
        Hint {
            name: self
                .source_name
                .strip_prefix(r"\\.\")
                .unwrap_or(&self.source_name)
                .to_owned(),
            size_mm: claims
                .size_mm
                .map(|size| turned(size).map(f64::from))
                .and_then(claimed_size_mm),
            mode_px: is_signal.then(|| turned(self.signal_px)),
            refresh_hz: hz(self.signal_rate).or(hz(self.path_rate)),
            features: Features {
                model: model.or(claims.model),
                is_hdr: self
                    .advanced_colour
                    .map(|flags| flags & COLOUR_ON != 0 && flags & COLOUR_WIDE_ONLY == 0),
                variable_hz: claims.variable_hz,
            },
            ..Hint::default()
        }
    }
}

/// A rate from a fraction; none has no denominator, and where nothing is known
/// systems write 0 or 1 for it.
fn hz([numerator, denominator]: [u32; 2]) -> Option<f64> {
    (denominator > 0 && numerator > denominator)
        .then(|| f64::from(numerator) / f64::from(denominator))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desktop::edid::tests::block;

    fn reported() -> Reported {
        Reported {
            source_name: r"\\.\DISPLAY2".to_owned(),
            device_path: r"\\?\DISPLAY#THL1234#5&2b2a1&0&UID4353#{e6f07b5f-ee97}".to_owned(),
            path_rate: [144, 1],
            signal_rate: [143_973, 1000],
            signal_px: [2560, 1440],
            rotation: 1,
            ..Reported::default()
        }
    }

    #[test]
    fn rates_are_exact_and_those_of_the_signal() {
        let hint = reported().hint(None);
        assert_eq!(
            (hint.name.as_str(), hint.refresh_hz),
            ("DISPLAY2", Some(143.973))
        );
        // 60000/1001, the rate of television in North America.
        let rate = |signal_rate, path_rate| {
            let reported = Reported {
                signal_rate,
                path_rate,
                ..reported()
            };
            reported.hint(None).refresh_hz
        };
        assert_eq!(rate([60_000, 1001], [60, 1]), Some(60_000.0 / 1001.0));
        assert_eq!(rate([0, 0], [75, 1]), Some(75.0));
        assert_eq!(rate([60, 0], [1, 1]), None);
    }

    #[test]
    fn what_is_on_its_side_is_told_as_it_is_turned() {
        let mut reported = reported();
        let hint = reported.hint(Some(&block()));
        assert_eq!(hint.mode_px, Some([2560, 1440]));
        assert_eq!(hint.size_mm, Some([597.0, 336.0]));
        reported.rotation = 4;
        let hint = reported.hint(Some(&block()));
        assert_eq!(hint.mode_px, Some([1440, 2560]));
        assert_eq!(hint.size_mm, Some([336.0, 597.0]));
        reported.signal_px = [0, 0];
        assert_eq!(reported.hint(Some(b"none")).mode_px, None);
    }

    #[test]
    fn the_system_s_name_goes_before_the_display_s_own() {
        let mut reported = reported();
        let model = |reported: &Reported| reported.hint(Some(&block())).features.model;
        assert_eq!(model(&reported).as_deref(), Some("Loft 27"));
        reported.model = "Loft 27 on the left ".to_owned();
        assert_eq!(model(&reported).as_deref(), Some("Loft 27 on the left"));
    }

    #[test]
    fn a_wide_gamut_alone_is_no_hdr() {
        let mut reported = reported();
        let mut is_hdr = |flags| {
            reported.advanced_colour = flags;
            reported.hint(None).features.is_hdr
        };
        assert_eq!(is_hdr(None), None);
        assert_eq!(is_hdr(Some(0b0001)), Some(false), "it could, and isn't");
        assert_eq!(is_hdr(Some(0b0011)), Some(true));
        assert_eq!(is_hdr(Some(0b0111)), Some(false));
    }

    #[test]
    fn a_device_s_path_leads_to_its_key() {
        let mut reported = reported();
        assert_eq!(
            reported.registry_key().as_deref(),
            Some(
                r"SYSTEM\CurrentControlSet\Enum\DISPLAY\THL1234\5&2b2a1&0&UID4353\Device Parameters"
            )
        );
        for strange in ["", r"\\?\DISPLAY#x", "DISPLAY#a#b#{c}", r"\\?\A#b#c#d#e"] {
            reported.device_path = strange.to_owned();
            assert_eq!(reported.registry_key(), None, "{strange}");
        }
    }
}
