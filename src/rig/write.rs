//! From a checked rig to a rig file's text.

use super::checked::Rig;
use crate::parts::{Panel, Seam, Size, Turn};

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
    out.line("distance_mm", number(seat.distance_mm));
    out.unless("height_mm", seat.height_mm, 0.0);
    out.unless("offset_mm", seat.offset_mm, 0.0);
    for panel in rig.panels() {
        out.panel(panel);
    }
    for seam in rig.seams() {
        out.seam(seam);
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

    fn unless(&mut self, key: &str, value: f64, default: f64) {
        if value != default {
            self.line(key, number(value));
        }
    }

    fn panel(&mut self, panel: &Panel) {
        self.header("[[panel]]");
        self.line("name", text(&panel.name));
        let [columns, rows] = panel.pixels;
        self.line("pixels", format!("[{columns}, {rows}]"));
        match panel.size {
            Size::DiagonalIn(diagonal) => self.line("diagonal_in", number(diagonal)),
            Size::LitMm([w, h]) => {
                self.line("size_mm", format!("[{}, {}]", number(w), number(h)));
            }
        }
        if let Some(radius) = panel.curve_radius_mm {
            self.line("curve_radius_mm", number(radius));
        }
        if panel.views != 1 {
            self.line("views", panel.views.to_string());
        }
        if let Some(refresh) = panel.refresh_hz {
            self.line("refresh_hz", number(refresh));
        }
        self.unless("scale", panel.scale, 1.0);
        let bezel = &panel.bezel_mm;
        let edges = [
            ("left", bezel.left),
            ("right", bezel.right),
            ("top", bezel.top),
            ("bottom", bezel.bottom),
        ];
        let wide: Vec<_> = edges
            .iter()
            .filter(|(_, mm)| *mm != 0.0)
            .map(|(edge, mm)| format!("{edge} = {}", number(*mm)))
            .collect();
        if !wide.is_empty() {
            self.line("bezel_mm", format!("{{ {} }}", wide.join(", ")));
        }
        if let Some([x, y]) = panel.desktop_px {
            self.line("desktop_px", format!("[{x}, {y}]"));
        }
        self.unless("tilt_deg", panel.tilt_deg, 0.0);
        self.unless("roll_deg", panel.roll_deg, 0.0);
    }

    fn seam(&mut self, seam: &Seam) {
        self.header("[[seam]]");
        let (Turn::AngleDeg(turn) | Turn::FoldDeg(turn)) = seam.turn;
        self.line(seam.turn.key(), number(turn));
        self.unless("gap_mm", seam.gap_mm, 0.0);
        self.unless("step_mm", seam.step_mm, 0.0);
        self.unless("rise_mm", seam.rise_mm, 0.0);
        if seam.hidden_px != 0 {
            self.line("hidden_px", seam.hidden_px.to_string());
        }
    }
}

/// The shortest spelling that reads back as the same number; TOML takes it.
fn number(value: f64) -> String {
    format!("{value:?}")
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
