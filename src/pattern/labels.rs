//! Each panel's name and numbers, its seams' values, and the key to the marks.

use rayon::prelude::*;

use super::board::{Anchor, Between, Board, Style};
use super::{LadderKind, Layer, Layers, palette};
use crate::light::Colour;
use crate::rig::{Panel, Rig, Seam, Turn};
use crate::typeset::Cut;

/// Labels every panel.
pub(super) fn draw(board: &mut Board, layers: Layers) {
    let panels = 0..board.rig.panels().len();
    let blocks: Vec<Block> = panels
        .map(|panel| Block::of(board, panel, lines(board.rig, panel, layers)))
        .collect();
    let looked_at: &Board = board;
    let corners: Vec<[f64; 2]> = blocks
        .par_iter()
        .map(|block| block.corner(looked_at))
        .collect();
    for (block, corner) in blocks.iter().zip(corners) {
        block.set(board, corner);
    }
}

/// What a panel is labelled with.
fn lines(rig: &Rig, index: usize, layers: Layers) -> Vec<(String, Style)> {
    let panel = &rig.panels()[index];
    let mut lines: Vec<(String, Style)> = Vec::new();
    let mut say = |text: String, cut: Cut, scale: f64, colour: Colour| {
        lines.push((
            text,
            Style {
                cut,
                scale,
                colour,
                anchor: Anchor::Left,
            },
        ));
    };
    say(panel.name.clone(), Cut::Bold, 1.6, palette::TEXT);
    for text in numbers(panel) {
        say(text, Cut::Regular, 1.0, palette::TEXT);
    }
    for (seam, side) in [(index.checked_sub(1), "left"), (Some(index), "right")] {
        if let Some(seam) = seam.and_then(|seam| rig.seams().get(seam)) {
            say(seam_numbers(seam, side), Cut::Regular, 1.0, palette::TEXT);
        }
    }
    if index == rig.seat().view.panel {
        let seat = rig.seat();
        let way = |mm: f64, more: &str, less: &str| {
            let word = if mm < 0.0 { less } else { more };
            format!("{:.0} mm {word}", mm.abs())
        };
        let text = format!(
            "eye {:.0} mm away, {} and {} of this view's middle",
            seat.distance_mm,
            way(seat.height_mm, "above", "below"),
            way(seat.offset_mm, "right", "left")
        );
        say(text, Cut::Regular, 1.0, palette::TEXT);
        for (layer, colour, text) in key() {
            if layers.has(layer) {
                say(text.to_owned(), Cut::Regular, 1.0, colour);
            }
        }
    }
    lines
}

/// What the layers are for: whose mark an entry explains, in which colour. Each wears
/// its mark's colour and names its shape, so that it can be told without the colour.
fn key() -> [(Layer, Colour, &'static str); 8] {
    let of = |layer| palette::line(layer).0;
    [
        (
            Layer::Horizon,
            of(Layer::Horizon),
            "widest line, level: the height of the eye",
        ),
        (
            Layer::Diagonals,
            of(Layer::Diagonals),
            "sloping lines: straight over every seam when the rig is true",
        ),
        (
            Layer::Grid,
            // The grid's own grey is too dim to read.
            palette::NOTE,
            "thin dim lines: floor and sky in metres",
        ),
        (
            Layer::Ladders,
            palette::ladder(LadderKind::Fold),
            "long rungs: the straight one names the fold or angle; read it at its far end",
        ),
        (
            Layer::Ladders,
            palette::ladder(LadderKind::Gap),
            "short sloping rungs: the straight one names the gap",
        ),
        (
            Layer::Ladders,
            palette::ladder(LadderKind::Rise),
            "short level rungs: the straight one names the rise",
        ),
        (
            Layer::Ladders,
            palette::NOTE,
            "judge rungs along a straightedge in the line of sight, long ones along a taut string",
        ),
        (
            Layer::Rulers,
            of(Layer::Rulers),
            "combs: pixels and millimetres from the lit edge; ticks: equal heights for the eye",
        ),
    ]
}

fn numbers(panel: &Panel) -> Vec<String> {
    let [w, h] = panel.pixels;
    let [width, height] = panel.size_mm();
    let [pitch_x, pitch_y] = panel.pitch_mm();
    let surface = match panel.curve_radius_mm {
        Some(radius) => format!("curved, radius {radius:.0} mm"),
        None => "flat".to_owned(),
    };
    let pitch = if (pitch_x / pitch_y - 1.0).abs() < 1e-3 {
        format!("{pitch_x:.4} mm")
    } else {
        format!("{pitch_x:.4} × {pitch_y:.4} mm")
    };
    let refresh = match panel.refresh_hz {
        Some(hz) => format!("{hz} Hz"),
        None => "refresh not given".to_owned(),
    };
    vec![
        format!("{w} × {h} px, {width:.1} × {height:.1} mm, {surface}"),
        format!("pixel {pitch}, {refresh}, scale {}", panel.scale),
    ]
}

fn seam_numbers(seam: &Seam, side: &str) -> String {
    let turn = match seam.turn {
        Turn::AngleDeg(value) => format!("angle {value}°"),
        Turn::FoldDeg(value) => format!("fold {value}°"),
    };
    let mut text = format!("seam on the {side}: {turn}, gap {} mm", seam.gap_mm);
    for (value, word) in [(seam.step_mm, "step"), (seam.rise_mm, "rise")] {
        if value != 0.0 {
            text += &format!(", {word} {value} mm");
        }
    }
    if seam.hidden_px > 0 {
        text += &format!(", {} px hidden", seam.hidden_px);
    }
    text
}

/// Lines of text below each other on a panel.
struct Block {
    panel: usize,
    lines: Vec<(String, Style)>,
    /// Width and height, in the panel's pixels.
    size: [f64; 2],
    /// From one line's middle to the next, for letters of the reading size.
    leading: f64,
}

impl Block {
    fn of(board: &mut Board, panel: usize, mut lines: Vec<(String, Style)>) -> Block {
        let [width, _] = board.layout.surfaces()[panel].pixels;
        let cap = board.cap_px(panel);
        let widths = lines
            .iter()
            .map(|(text, style)| board.text_width(panel, text, *style));
        let widest = widths.fold(1.0, f64::max);
        // A narrow panel gets smaller type rather than cut-off lines.
        let shrink = ((width - 4.0 * cap).max(1.0) / widest).min(1.0);
        for (_, style) in &mut lines {
            style.scale *= shrink;
        }
        let leading = cap * 1.9;
        let tall = lines.iter().map(|(_, style)| advance(leading, style)).sum();
        Block {
            panel,
            lines,
            size: [widest * shrink, tall],
            leading,
        }
    }

    /// The top left corner at which it hides least of the rest.
    fn corner(&self, board: &Board) -> [f64; 2] {
        let [width, height] = board.layout.surfaces()[self.panel].pixels;
        let [wide, tall] = self.size;
        let cap = board.cap_px(self.panel);
        let occupied = board.occupied(self.panel);
        let places = PLACES.map(|[x, y]| [(width - wide) * x, (height - tall) * y]);
        // Places in one column share what `between` finds.
        let mut lies_at: Vec<(f64, Between)> = Vec::new();
        for [x, _] in places {
            if !lies_at.iter().any(|(known, _)| *known == x) {
                lies_at.push((x, occupied.between([x - cap, x + wide + cap])));
            }
        }
        let hides = |[x, y]: &[f64; 2]| {
            let found = lies_at.iter().find(|(known, _)| known == x);
            found.map(|(_, between)| between.hidden_by([y - cap, y + tall + cap]))
        };
        let best = places.into_iter().min_by_key(hides);
        best.unwrap_or([cap, cap])
    }

    fn set(&self, board: &mut Board, [left, mut y]: [f64; 2]) {
        for (text, style) in &self.lines {
            let advance = advance(self.leading, style);
            y += advance / 2.0;
            board.text(self.panel, text, *style, left.round(), y.round());
            y += advance / 2.0;
        }
    }
}

/// How much height a line of text takes.
fn advance(leading: f64, style: &Style) -> f64 {
    leading * style.scale.max(0.6)
}

/// Where a block may stand, as shares of the room that it leaves; the first of
/// equals is taken.
const PLACES: [[f64; 2]; 15] = [
    [0.5, 0.75],
    [0.5, 0.2],
    [0.5, 0.9],
    [0.5, 0.06],
    [0.35, 0.75],
    [0.65, 0.75],
    [0.35, 0.2],
    [0.65, 0.2],
    [0.25, 0.9],
    [0.75, 0.9],
    [0.25, 0.06],
    [0.75, 0.06],
    [0.5, 0.6],
    [0.5, 0.4],
    [0.35, 0.5],
];
