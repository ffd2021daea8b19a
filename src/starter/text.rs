//! The starter rig as a file that says what to measure and how.

use super::Starter;
use crate::rig::{Panel, Seam, SeamQuantity, Size};

/// Writes a starter rig as a commented rig file; [`rig::read`](crate::rig::read)
/// gives the same rig back.
pub fn text(starter: &Starter) -> String {
    let parts = &starter.parts;
    let facing = &parts.panels[parts.seat.view.panel];
    let mut out = String::from(
        "\
# A first rig file, made from the connected displays. What is marked \"guessed\"
# the system cannot know: measure it and overwrite it, then delete the mark.
# Lengths are millimetres, angles degrees. A tape measure, a protractor (or a
# telephone's level) and a second pair of hands are enough. Measure to the
# millimetre; what you don't know yet can stay, and `check` tells what is odd.
",
    );
    for note in &starter.notes {
        // A display may report any name, and a comment holds no control characters.
        let note: String = note
            .chars()
            .map(|c| if c.is_control() { '?' } else { c })
            .collect();
        out += &format!("#\n# Note: {note}.\n");
    }
    out += &format!(
        "
format = 1
name = {}

# Sit as you will sit, and let someone else measure. The view is the panel
# straight ahead of you; behind the slash stands the number of its view, counted
# from the left (see `views` below).
[seat]
view = {}
distance_mm = {:?}    # guessed: from the eye, level, to the glass at the view's middle
height_mm = {:?}        # guessed: eye above the view's middle; below it: negative
offset_mm = {:?}        # guessed: eye right of the view's middle; left of it: negative

# The panels follow from left to right, as you see them from the seat.
",
        quoted(&parts.name),
        quoted(&format!("{}/{}", facing.name, parts.seat.view.view + 1)),
        parts.seat.distance_mm,
        parts.seat.height_mm,
        parts.seat.offset_mm,
    );
    for (index, panel) in parts.panels.iter().enumerate() {
        out += &panel_text(panel, starter.is_size_guessed[index], index == 0);
    }
    for (index, seam) in parts.seams.iter().enumerate() {
        let names = [&parts.panels[index].name, &parts.panels[index + 1].name];
        out += &seam_text(seam, names, index == 0);
    }
    out
}

fn panel_text(panel: &Panel, is_guessed: bool, is_first: bool) -> String {
    let [columns, rows] = panel.pixels;
    let source = if is_guessed {
        "guessed"
    } else {
        "as the display claims, which is often wrong"
    };
    let mut out = format!(
        "\n[[panel]]\nname = {}\npixels = [{columns}, {rows}]\n",
        quoted(&panel.name)
    );
    if is_first {
        out += "\
# Measure the lit area from corner to corner, without the case, in inches of
# 25.4 mm. Better: measure its width (along the glass) and height, and write
# size_mm = [WIDTH, HEIGHT] in place of diagonal_in.
";
    }
    match panel.size {
        Size::DiagonalIn(diagonal) => out += &format!("diagonal_in = {diagonal:?}    # {source}\n"),
        Size::LitMm([w, h]) => out += &format!("size_mm = [{w:?}, {h:?}]    # {source}\n"),
    }
    if is_first {
        out += "\
# A curved panel: its radius is in its name or data sheet, 1000R is 1000. Or lay
# a straight batten across, edge to edge: width * width / (8 * depth) is near it.
";
    }
    out += "# curve_radius_mm = 1800    # guessed flat\n";
    if is_first {
        out += "# Into how many equal screens side by side your program divides this panel.\n";
    }
    out += &format!("views = {}\n", panel.views);
    if let Some(refresh) = panel.refresh_hz {
        out += &format!("refresh_hz = {refresh:?}\n");
    }
    out += &format!("scale = {:?}\n", panel.scale);
    if is_first {
        out += "\
# From the edge of the picture, not of the glass, to the edge of the case. Show
# a white picture and lay a ruler on the case.
";
    }
    let bezel = &panel.bezel_mm;
    out += &format!(
        "bezel_mm = {{ left = {:?}, right = {:?}, top = {:?}, bottom = {:?} }}    # guessed\n",
        bezel.left, bezel.right, bezel.top, bezel.bottom
    );
    if let Some([x, y]) = panel.desktop_px {
        out += &format!("desktop_px = [{x}, {y}]\n");
    }
    if is_first {
        out += "\
# A telephone's level on the glass: top leaning away from you is positive; on
# the upper edge of the case: turned counter-clockwise as you see it is positive.
";
    }
    out += &format!(
        "tilt_deg = {:?}    # guessed\nroll_deg = {:?}    # guessed\n",
        panel.tilt_deg, panel.roll_deg
    );
    out
}

fn seam_text(seam: &Seam, [left, right]: [&String; 2], is_first: bool) -> String {
    let mut out = String::new();
    if is_first {
        out += "
# The seams follow from left to right; each joins two neighbours.
# The angle is the one by which the right-hand panel turns in from the left-hand
# one: lay a batten along each panel's upper edge and measure between them; two
# panels in one plane have 0. On curved panels it is easier to measure at the
# seam itself, between the last fingerbreadths of glass: write that as fold_deg
# in place of angle_deg.
# The gap is between the two cases; negative where one stands in front of the other.
# The step: how much nearer to you the right-hand panel's edge is.
# The rise: how much higher the right-hand panel's middle is. Measure both
# pictures' upper and lower edges from the desk and take the middle.
# If the display driver hides columns behind the bezels, write how many there.
";
    }
    out += &format!(
        "
[[seam]]    # {} | {}
{} = {:?}    # guessed: both panels square to the eye
gap_mm = {:?}    # guessed
step_mm = {:?}    # guessed
rise_mm = {:?}    # guessed
hidden_px = {}
",
        left,
        right,
        SeamQuantity::turn_of(seam).spec().key,
        turn_deg(seam),
        seam.gap_mm,
        seam.step_mm,
        seam.rise_mm,
        seam.hidden_px,
    );
    out
}

fn turn_deg(seam: &Seam) -> f64 {
    use crate::rig::Turn::{AngleDeg, FoldDeg};

    let (AngleDeg(turn) | FoldDeg(turn)) = seam.turn;
    turn
}

/// A basic TOML string; a rig's names have no control characters.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
