//! A first rig, made of nothing but what the system reports of its displays.
//!
//! The displays become flat panels from left to right, each square to an eye
//! at one distance from all of them. Whatever the system doesn't know is
//! guessed and marked as such: it is there to be measured and overwritten.

mod text;

use std::fmt;

use crate::display::Display;
use crate::matching::has_places;
use crate::rig::{Bezel, Panel, PanelQuantity, Parts, Rig, Seam, Seat, Size, Turn, ViewId};

pub use text::text;

/// A rig of displays, with what was guessed.
#[derive(Debug, Clone, PartialEq)]
pub struct Starter {
    /// The rig's parts; [`Rig::new`] takes them.
    pub parts: Parts,
    /// For each panel, whether its size is a guess rather than a display's claim.
    pub is_size_guessed: Vec<bool>,
    /// What else its owner should know, one sentence each.
    pub notes: Vec<String>,
}

/// Why no rig can be made of displays: one sentence for people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoStarter(String);

impl fmt::Display for NoStarter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for NoStarter {}

/// Eye to every panel: within the published comfort range of 50 cm to 100 cm
/// (OSHA, second-hand).
const DISTANCE_MM: f64 = 700.0;
/// Case around each panel. Common practice: about a centimetre.
const BEZEL_MM: f64 = 10.0;

/// Makes a rig of displays.
///
/// # Errors
///
/// [`NoStarter`] where there is no display, or where they are too many or too
/// large for a rig.
pub fn starter_rig(displays: &[Display]) -> Result<Starter, NoStarter> {
    let mut notes = Vec::new();
    let mut row: Vec<&Display> = Vec::new();
    let mut sorted: Vec<&Display> = displays.iter().collect();
    // Of displays that mirror each other, the primary one stays.
    sorted.sort_by_key(|display| (display.position_px, !display.is_primary));
    for display in sorted {
        let twin = row.iter().find(|known| {
            (known.position_px, known.size_px) == (display.position_px, display.size_px)
        });
        match twin {
            Some(twin) => notes.push(format!(
                "display {} mirrors {} and was left out",
                display.name, twin.name
            )),
            None => row.push(display),
        }
    }
    if row
        .windows(2)
        .any(|pair| i64::from(pair[1].position_px[0]) < pair[0].right_px())
    {
        notes.push(
            "some displays stand above each other in the desktop, but a rig's panels stand side \
             by side: take out the [[panel]] and the [[seam]] of those that don't"
                .to_owned(),
        );
    }
    let mut starter = Starter {
        is_size_guessed: row
            .iter()
            .map(|d| claimed_diagonal_in(d).is_none())
            .collect(),
        parts: parts(&row),
        notes,
    };
    let placed = Rig::new(starter.parts.clone());
    if placed.is_ok() && has_places(&row) {
        return Ok(starter);
    }
    // In a row they may still make a rig.
    for panel in &mut starter.parts.panels {
        panel.desktop_px = None;
    }
    match Rig::new(starter.parts.clone()) {
        Err(flaw) => Err(NoStarter(format!(
            "the connected displays make no rig: {}",
            flaw.text
        ))),
        Ok(_) => {
            starter.notes.push(
                "the displays' places in the desktop are not told reliably or overlap, so \
                 `desktop_px` was left out: the panels stand in a row"
                    .to_owned(),
            );
            Ok(starter)
        }
    }
}

fn parts(row: &[&Display]) -> Parts {
    let mut panels: Vec<Panel> = Vec::new();
    for display in row {
        let name = free_name(display, &panels);
        panels.push(panel(display, name));
    }
    let square_deg = |panel: &Panel| {
        let half = panel.size_mm()[0] / 2.0 + BEZEL_MM;
        (half / DISTANCE_MM).atan().to_degrees()
    };
    let seams = panels.windows(2).map(|pair| {
        let angle_deg = tenths(square_deg(&pair[0]) + square_deg(&pair[1]));
        Seam::new(Turn::AngleDeg(angle_deg))
    });
    let primary = row.iter().position(|display| display.is_primary);
    let facing = primary.unwrap_or(panels.len().saturating_sub(1) / 2);
    Parts {
        window: None,
        name: "My rig".to_owned(),
        seat: Seat {
            view: ViewId {
                panel: facing,
                view: 0,
            },
            distance_mm: DISTANCE_MM,
            height_mm: 0.0,
            offset_mm: 0.0,
        },
        seams: seams.collect(),
        panels,
    }
}

fn panel(display: &Display, name: String) -> Panel {
    let diagonal = claimed_diagonal_in(display).unwrap_or(usual_diagonal_in(display.size_px));
    let panel = Panel::new(name, display.size_px, Size::DiagonalIn(diagonal));
    let within = |what: PanelQuantity, number: f64| what.spec().limit.holds(number);
    Panel {
        refresh_hz: (display.refresh_hz).filter(|&hz| within(PanelQuantity::Refresh, hz)),
        scale: if within(PanelQuantity::Scale, display.scale) {
            display.scale
        } else {
            panel.scale
        },
        bezel_mm: Bezel {
            left: BEZEL_MM,
            right: BEZEL_MM,
            top: BEZEL_MM,
            bottom: BEZEL_MM,
        },
        desktop_px: Some(display.position_px),
        ..panel
    }
}

/// The diagonal that a display claims, unless its shape is not that of its pixels.
fn claimed_diagonal_in(display: &Display) -> Option<f64> {
    /// Whole centimetres may make a small display's shape as wrong as this.
    const SHAPE: f64 = 0.1;
    let [w, h] = display.size_mm?;
    let [columns, rows] = display.size_px.map(f64::from);
    let off = (w / h) / (columns / rows) - 1.0;
    let diagonal = tenths(w.hypot(h) / 25.4);
    (off.abs() <= SHAPE && (1.0..=1000.0).contains(&diagonal)).then_some(diagonal)
}

/// Common practice: what displays of these pixels mostly measure.
fn usual_diagonal_in(size_px: [u32; 2]) -> f64 {
    let long = f64::from(size_px[0].max(size_px[1]));
    let short = f64::from(size_px[0].min(size_px[1]));
    match (long / short, short) {
        (shape, _) if shape > 3.0 => 49.0,
        (shape, _) if shape > 2.0 => 34.0,
        (_, short) if short <= 900.0 => 19.0,
        (_, short) if short <= 1200.0 => 24.0,
        (_, short) if short <= 1600.0 => 27.0,
        _ => 32.0,
    }
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// The display's name as a rig allows it: one line, short, and no other panel's.
fn free_name(display: &Display, taken: &[Panel]) -> String {
    // Room for a number behind it.
    const CHARS: usize = 60;
    // Windows begins the names of its displays with a path of devices.
    let plain = display.name.trim_start_matches(r"\\.\");
    let clean: String = plain
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(CHARS)
        .collect();
    let clean = match clean.trim() {
        "" => "display",
        name => name,
    };
    let is_free = |name: &String| taken.iter().all(|panel| panel.name != *name);
    let numbered = (2..).map(|number| format!("{clean} {number}"));
    std::iter::once(clean.to_owned())
        .chain(numbered)
        .find(is_free)
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn display(name: &str, position_px: [i32; 2], size_px: [u32; 2]) -> Display {
        Display {
            name: name.to_owned(),
            position_px,
            size_px,
            mode_px: None,
            scale: 1.0,
            refresh_hz: Some(59.951),
            size_mm: None,
            is_primary: false,
            features: Default::default(),
        }
    }

    fn three() -> Vec<Display> {
        let mut displays = vec![
            display("middle", [0, 0], [2560, 1440]),
            display("right", [2560, 100], [1920, 1200]),
            display("left", [-1200, -240], [1200, 1920]),
        ];
        displays[0].is_primary = true;
        displays[0].size_mm = Some([597.0, 336.0]);
        displays
    }

    #[test]
    fn panels_stand_from_left_to_right_and_face_the_primary() {
        let starter = starter_rig(&three()).unwrap();
        let parts = &starter.parts;
        let names: Vec<_> = parts.panels.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names, ["left", "middle", "right"]);
        assert_eq!(parts.seat.view.panel, 1);
        assert_eq!(parts.panels[0].desktop_px, Some([-1200, -240]));
        // 597 mm x 336 mm is 685.06 mm from corner to corner.
        assert_eq!(parts.panels[1].size, Size::DiagonalIn(27.0));
        assert_eq!(starter.is_size_guessed, [true, false, true]);
        assert_eq!(starter.notes, Vec::<String>::new());
    }

    /// 2 atan((w/2 + bezel) / distance) is where flat panels are square to the
    /// eye (common practice).
    #[test]
    fn panels_are_square_to_the_eye() {
        let parts = starter_rig(&three()).unwrap().parts;
        let half = |p: usize| ((parts.panels[p].size_mm()[0] / 2.0 + 10.0) / 700.0).atan();
        let angle = (half(0) + half(1)).to_degrees();
        assert!((parts.angle_rad(0).to_degrees() - angle).abs() <= 0.05);
    }

    #[test]
    fn mirrors_are_left_out_and_said_so() {
        let mut displays = three();
        displays.push(display("beamer", [0, 0], [2560, 1440]));
        let starter = starter_rig(&displays).unwrap();
        assert_eq!(starter.parts.panels.len(), 3);
        assert_eq!(
            starter.notes,
            ["display beamer mirrors middle and was left out"]
        );
    }

    #[test]
    fn overlapping_displays_stand_in_a_row() {
        let mut displays = three();
        displays[1].position_px = [2000, 0];
        let starter = starter_rig(&displays).unwrap();
        assert!(starter.parts.panels.iter().all(|p| p.desktop_px.is_none()));
        assert_eq!(starter.notes.len(), 2);
    }

    #[test]
    fn places_that_scale_factors_distort_are_left_out() {
        let mut displays = three();
        displays[0].is_primary = false;
        displays[2].scale = 2.0;
        let starter = starter_rig(&displays).unwrap();
        assert_eq!(starter.parts.seat.view.panel, 1);
        assert!(starter.parts.panels.iter().all(|p| p.desktop_px.is_none()));
    }

    #[test]
    fn any_names_make_names() {
        let mut displays = three();
        displays[0].name = "\\\\.\\DISPLAY1".to_owned();
        displays[1].name = "\n".to_owned();
        displays[2].name = "\t".to_owned();
        let parts = starter_rig(&displays).unwrap().parts;
        let names: Vec<_> = parts.panels.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names, ["display", "DISPLAY1", "display 2"]);
    }

    #[test]
    fn a_claim_of_another_shape_is_none() {
        let mut displays = three();
        displays[0].size_mm = Some([336.0, 597.0]);
        assert_eq!(
            starter_rig(&displays).unwrap().is_size_guessed,
            [true, true, true]
        );
    }

    #[test]
    fn no_display_makes_no_rig() {
        assert!(starter_rig(&[]).is_err());
        let many: Vec<_> = (0..65)
            .map(|i| display(&format!("d{i}"), [i * 100, 0], [100, 100]))
            .collect();
        let error = starter_rig(&many).unwrap_err();
        assert!(error.to_string().contains("65 panels"), "{error}");
    }
}
