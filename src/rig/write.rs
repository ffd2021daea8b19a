//! From a checked rig to a rig file's text.

use super::checked::Rig;
use crate::parts::{Panel, PanelQuantity, Seam, SeamQuantity, SeatQuantity, Spec, Window};

/// Writes a rig as a rig file: every key whose value isn't the default, in the
/// order of the documentation. [`read`](super::read) gives the same rig back.
pub fn write(rig: &Rig) -> String {
    let seat = rig.seat();
    let facing = &rig.panels()[seat.view.panel].name;
    let mut out = File(String::new());
    out.line("format", "1");
    out.line("name", text(rig.name()));
    out.header("[seat]");
    out.line("view", text(&format!("{facing}/{}", seat.view.view + 1)));
    out.numbers(SeatQuantity::ALL.map(|what| (what.spec(), Some(what.get(seat)))));
    for panel in rig.panels() {
        out.panel(panel);
    }
    for seam in rig.seams() {
        out.seam(seam);
    }
    if let Some(window) = rig.window() {
        out.header("[window]");
        for (key, value) in window_values(window) {
            out.line(key, value);
        }
    }
    out.0
}

struct File(String);

impl File {
    fn header(&mut self, header: &str) {
        self.0.push('\n');
        self.0.push_str(header);
        self.0.push('\n');
    }

    fn line(&mut self, key: &str, value: impl AsRef<str>) {
        self.0.push_str(key);
        self.0.push_str(" = ");
        self.0.push_str(value.as_ref());
        self.0.push('\n');
    }

    /// Every number that isn't its default. Numbers of one pair or one table
    /// follow each other.
    fn numbers(&mut self, numbers: impl IntoIterator<Item = (&'static Spec, Option<f64>)>) {
        let mut pair = Vec::new();
        let mut table = Vec::new();
        for (spec, value) in numbers {
            let said = value.filter(|value| spec.default != Some(*value));
            let said = said.map(|value| spelt(spec, value));
            if let Some((name, part)) = spec.key.split_once('.') {
                table.extend(said.map(|said| (name, format!("{part} = {said}"))));
                continue;
            }
            // Bezels are never the last.
            if let Some((name, _)) = table.first() {
                let parts: Vec<_> = table.iter().map(|(_, part)| part.as_str()).collect();
                self.line(name, format!("{{ {} }}", parts.join(", ")));
                table.clear();
            }
            match (said, spec.item) {
                (None, _) => {}
                (Some(said), None) => self.line(spec.key, said),
                (Some(said), Some(0)) => pair = vec![said],
                (Some(said), Some(_)) => {
                    pair.push(said);
                    self.line(spec.key, format!("[{}]", pair.join(", ")));
                }
            }
        }
    }

    fn panel(&mut self, panel: &Panel) {
        self.header("[[panel]]");
        self.line("name", text(&panel.name));
        self.numbers(PanelQuantity::ALL.map(|what| (what.spec(), what.get(panel))));
    }

    fn seam(&mut self, seam: &Seam) {
        self.header("[[seam]]");
        self.numbers(SeamQuantity::ALL.map(|what| (what.spec(), what.get(seam))));
    }
}

/// The keys of a window and their values, as the file spells them.
pub(crate) fn window_values(window: &Window) -> Vec<(&'static str, String)> {
    let ahead = window.ahead.map(|ahead| ("ahead", ahead.to_string()));
    let arrays = [
        ("px", format!("{:?}", window.px)),
        ("columns", format!("{:?}", window.columns)),
    ];
    arrays.into_iter().chain(ahead).collect()
}

/// The shortest spelling that reads back as the same number; TOML takes it.
pub(super) fn spelt(spec: &Spec, value: f64) -> String {
    if spec.is_whole {
        format!("{value:.0}")
    } else {
        format!("{value:?}")
    }
}

/// A basic string; a checked name has no control characters.
fn text(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
