//! The planes of a pattern's lines, as JSON.

use std::io::{self, Write};

use serde::Serialize;
use throughline::pattern::Pattern;
use throughline::rig::{PxRect, Rig};

#[derive(Serialize)]
struct LinesJson<'a> {
    canvas_px: [u32; 2],
    panels: Vec<Panel<'a>>,
    lines: Vec<LineJson<'a>>,
}

#[derive(Serialize)]
struct Panel<'a> {
    name: &'a str,
    canvas_px: [u32; 4],
}

#[derive(Serialize)]
struct LineJson<'a> {
    name: &'a str,
    layer: &'static str,
    normal: [f64; 3],
    width_px: f64,
    colour: String,
}

/// Writes the lines of a rig's pattern.
pub(super) fn write(rig: &Rig, pattern: &Pattern, out: &mut dyn Write) -> io::Result<()> {
    let canvas = rig.canvas();
    let panels = rig.panels().iter().zip(&canvas.panels);
    let document = LinesJson {
        canvas_px: canvas.size_px,
        panels: panels
            .map(|(panel, &PxRect { x, y, w, h })| Panel {
                name: &panel.name,
                canvas_px: [x, y, w, h],
            })
            .collect(),
        lines: pattern
            .lines()
            .iter()
            .map(|line| LineJson {
                name: &line.name,
                layer: line.layer.name(),
                normal: line.plane.normal().to_array(),
                width_px: line.width_px,
                colour: line.colour.hex(),
            })
            .collect(),
    };
    serde_json::to_writer_pretty(&mut *out, &document)?;
    writeln!(out)
}
