//! What the boxes over the pattern say.

use throughline::geometry::{Layout, azimuth, elevation};
use throughline::rig::Rig;

use super::console::{Console, Mode};
use super::keys::{BINDINGS, MOUSE};
use super::overlay::{DIM, LOUD, Line, PLAIN, Words};
use super::value::{meaning, place_name};

/// For whoever stands at the rig: one line at the start.
const CAUTION: &str = "Move a heavy panel with two people and within its mount's rated load. \
     Motion base and wheel motors off before you reach across.";

/// Which error makes which break, as the eye sees it.
const ERRORS: [(&str, &str); 10] = [
    (
        "angle, fold",
        "lines meet at the seam, then part more and more along the panel; the horizon stays straight",
    ),
    (
        "gap, bezel",
        "sloping lines jump at the seam, rising and falling ones to opposite sides; level ones don't",
    ),
    (
        "step",
        "a scale jumps: lines above the horizon one way, below it the other way",
    ),
    (
        "rise",
        "every line jumps by the same amount, the horizon too",
    ),
    (
        "roll",
        "the horizon tips on one panel: up at one of its ends, down at the other",
    ),
    (
        "tilt",
        "lines at the top and at the bottom of one panel jump the same way, those at its middle don't",
    ),
    (
        "size",
        "lines above the middle of one panel jump one way, below it the other way, at both its ends",
    ),
    (
        "curve radius",
        "lines bend within the panel and jump at both its ends",
    ),
    (
        "eye distance",
        "lines above and below the horizon kink to opposite sides, alike at every seam",
    ),
    (
        "eye height, offset",
        "height: level lines kink the same way at every seam; offset: oppositely at left and right",
    ),
];

/// What the mouse points at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hover {
    /// The panel.
    pub panel: usize,
    /// The pixel, in the panel's own columns and rows.
    pub px: [u32; 2],
}

/// The box that follows what is done.
pub fn main_box(console: &Console, hover: Option<Hover>, is_start: bool, offer: &str) -> Vec<Line> {
    let text = |text: String, colour| Line::Text(Words::new(text, colour));
    let mut lines = match console.mode() {
        Mode::Nudge => value_lines(console),
        Mode::Keys => return keys(),
        Mode::Errors => return errors(),
        Mode::Rungs(rungs, at) => {
            let mut lines = vec![
                Line::Title(Words::new("Which rung runs straight?", PLAIN).bold()),
                text(
                    "Up and Down mark it, Enter takes it as the value, L leaves".to_owned(),
                    DIM,
                ),
            ];
            for (index, rung) in rungs.iter().enumerate().rev() {
                let words = Words::new(
                    if index == *at {
                        format!("»  {}", rung.label)
                    } else {
                        format!("    {}", rung.label)
                    },
                    if index == *at { LOUD } else { PLAIN },
                );
                lines.push(Line::Text(if index == *at { words.bold() } else { words }));
            }
            lines
        }
        Mode::Offer(numbers) => {
            let parts = console.nudging.now().parts();
            let mut lines = vec![
                Line::Title(Words::new("Nudges from last time, not saved", LOUD).bold()),
                text(offer.to_owned(), PLAIN),
            ];
            lines.extend(numbers.iter().take(12).map(|(value, number)| {
                let place = place_name(value.place, parts);
                let name = value.name(parts);
                let now = value.show(value.get(parts));
                text(
                    format!("{place}: {name} {now} in the file, {}", value.show(*number)),
                    PLAIN,
                )
            }));
            lines.push(text(
                "Enter takes them up, Delete throws them away, Q leaves them for later".to_owned(),
                LOUD,
            ));
            return lines;
        }
    };
    if let Some(message) = console.message() {
        lines.push(text(message.to_owned(), LOUD));
    }
    if let Some(hover) = hover {
        lines.push(text(pointed(console.nudging.shown(), hover), DIM));
    }
    if *console.mode() == Mode::Nudge {
        lines.push(text(
            "Up Down change it    Left Right other value    Space compare    S save    Q quit    H all keys".to_owned(),
            DIM,
        ));
    }
    if is_start {
        lines.push(text(CAUTION.to_owned(), DIM));
    }
    lines
}

fn value_lines(console: &Console) -> Vec<Line> {
    let nudging = &console.nudging;
    let parts = nudging.now().parts();
    let value = nudging.chosen();
    let [number, change] = nudging.number();
    let title = format!(
        "{}    {} {}",
        place_name(value.place, parts),
        value.name(parts),
        value.show(number)
    );
    let mut lines = vec![Line::Title(Words::new(title, PLAIN).bold())];
    let about = if change == 0.0 {
        "as loaded".to_owned()
    } else {
        format!(
            "{} since loading: {}",
            value.show_change(change),
            meaning(value, parts, change)
        )
    };
    lines.push(Line::Text(Words::new(about, PLAIN)));
    if nudging.is_flipped() {
        let text = "The pattern is as loaded now; Space shows it as nudged";
        lines.push(Line::Text(Words::new(text, LOUD).bold()));
    }
    let count = nudging.nudged().len();
    if count > 0 {
        let values = if count == 1 { "value" } else { "values" };
        let text = format!("{count} {values} nudged; S saves, Backspace undoes");
        lines.push(Line::Text(Words::new(text, DIM)));
    }
    lines
}

fn keys() -> Vec<Line> {
    let mut lines = vec![Line::Title(Words::new("Keys", PLAIN).bold())];
    let pair = |label: &str, text: &str| {
        Line::Pair(Words::new(label, LOUD).bold(), Words::new(text, PLAIN))
    };
    lines.extend(BINDINGS.iter().map(|b| pair(b.label, b.text)));
    lines.push(Line::Title(Words::new("Mouse", PLAIN).bold()));
    lines.extend(MOUSE.iter().map(|(label, text)| pair(label, text)));
    lines.push(Line::Text(Words::new(
        "The keypad works as well, with or without its digits: 8 2 4 6 are the arrows, 5 is Space. \
         H turns the page.",
        DIM,
    )));
    lines
}

fn errors() -> Vec<Line> {
    let title = "What a break tells";
    let mut lines = vec![Line::Title(Words::new(title, PLAIN).bold())];
    lines.extend(ERRORS.iter().map(|(error, makes)| {
        Line::Pair(Words::new(*error, LOUD).bold(), Words::new(*makes, PLAIN))
    }));
    lines.push(Line::Text(Words::new(
        "Judge a line along a straightedge held up at arm's length, one eye closed. H goes back.",
        DIM,
    )));
    lines
}

/// Where the mouse points: pixel, distance from the nearer lit edge, direction.
fn pointed(rig: &Rig, hover: Hover) -> String {
    let Some(surface) = Layout::of(rig).surfaces().get(hover.panel).copied() else {
        return String::new();
    };
    let [x, y] = hover.px;
    let (px, py) = (f64::from(x) + 0.5, f64::from(y) + 0.5);
    let point = surface.point_px(px, py);
    let [pitch_x, _] = surface.pitch_mm();
    let (left, right) = (px * pitch_x, (surface.pixels[0] - px) * pitch_x);
    let (edge_mm, edge) = if left <= right {
        (left, "left")
    } else {
        (right, "right")
    };
    format!(
        "pixel {x}, {y} of \"{}\": {edge_mm:.1} mm from its {edge} lit edge, \
         azimuth {:+.2}°, elevation {:+.2}°",
        rig.panels()[hover.panel].name,
        azimuth(point).to_degrees(),
        elevation(point).to_degrees()
    )
}

/// The box of what isn't as the rig says.
pub fn complaint_box(complaints: &[String]) -> Vec<Line> {
    complaints
        .iter()
        .map(|text| Line::Text(Words::new(text.clone(), LOUD)))
        .collect()
}

/// The words on a display that no panel claims.
pub fn idle_box(name: &str) -> Vec<Line> {
    vec![
        Line::Title(Words::new(name, PLAIN).bold()),
        Line::Text(Words::new("no panel of this rig", DIM)),
    ]
}
