//! The page: which part goes where, at which scale.

use glam::DVec2;

use super::above::{self, Above, MOST_DETAILED};
use super::drawing::{Drawing, HEADING_MM, PLAIN_MM, Rect, Stroke};
use super::heights::{self, Heights};
use super::scale::{Extent, Frame, bar_mm, denominators};
use super::side::{self, Side};
use crate::fit::FlatViews;
use crate::geometry::Layout;
use crate::rig::Rig;
use crate::sheet::Units;
use crate::typeset::Cut;

/// A4, landscape.
pub const PAPER_MM: [f64; 2] = [297.0, 210.0];
const MARGIN_MM: f64 = 10.0;
/// Room for the heading, and for the scale bar with its notes.
const HEAD_MM: f64 = 13.0;
const FOOT_MM: f64 = 10.0;
/// Room for labels around the rig from above, from the right, and around its heights.
const ABOVE_MM: [f64; 2] = [48.0, 44.0];
const SIDE_MM: [f64; 2] = [22.0, 22.0];
const HEIGHTS_MM: f64 = 20.0;

/// Draws a rig to scale; lengths are written in `units`.
pub fn draw(rig: &Rig, units: Units) -> Drawing {
    let layout = Layout::of(rig);
    let views = layout.views(rig);
    let facing = &views[FlatViews::of(rig).facing];
    let extents = [
        above::extent(rig, &layout),
        side::extent(rig, &layout),
        heights::extent(rig, &layout),
    ];
    let denominator = denominators()
        .find(|&denominator| fits(&extents, denominator))
        .unwrap_or(1e7);
    let [from_above, from_right, up_and_down] = extents;
    let (left, top) = (MARGIN_MM, MARGIN_MM + HEAD_MM);
    let (right, bottom) = (PAPER_MM[0] - MARGIN_MM, PAPER_MM[1] - MARGIN_MM - FOOT_MM);

    let low = bottom - (up_and_down.size().y / denominator + HEIGHTS_MM);
    let side_width = from_right.size().x / denominator + SIDE_MM[0];
    let border = right - side_width;
    let area = |from: [f64; 2], to: [f64; 2]| Rect {
        min: from.into(),
        max: to.into(),
    };
    // An extent's middle comes to lie in the middle of its area.
    let frame = |area: Rect, extent: &Extent| Frame {
        eye: (area.min + area.max) / 2.0 - (extent.min + extent.max) / 2.0 / denominator,
        denominator,
    };

    let above_area = area([left, top], [border, low]);
    let above = Above {
        rig,
        layout: &layout,
        views: &views,
        frame: frame(above_area, &from_above),
        area: above_area,
        units,
    };
    let side_area = area([border, top], [right, low]);
    let side = Side {
        rig,
        layout: &layout,
        facing,
        frame: frame(side_area, &from_right),
        extent: from_right,
        area: side_area,
        units,
    };
    let heights_area = area([left, low], [right, bottom]);
    let heights = Heights {
        rig,
        layout: &layout,
        frame: frame(heights_area, &up_and_down),
        area: heights_area,
        units,
    };

    let mut drawing = Drawing::new();
    heading(&mut drawing, rig, denominator, units);
    for (area, text) in [
        (above_area, "From above"),
        (side_area, "From the right, the facing view cut through"),
        (heights_area, "Heights of what is lit, from eye level"),
    ] {
        let label = drawing.label(text, Cut::Bold, PLAIN_MM);
        drawing.put(label, area.min);
    }
    above.strokes(&mut drawing);
    side.strokes(&mut drawing);
    heights.strokes(&mut drawing);
    let foot_top = bottom + 1.5;
    foot(&mut drawing, [left, foot_top], denominator, units);
    above.labels(&mut drawing);
    side.labels(&mut drawing);
    heights.labels(&mut drawing);
    if drawing.left_out > 0 || rig.panels().len() > MOST_DETAILED {
        let label = drawing.label(
            "Not every number found room here: the sheet has them all.",
            Cut::Regular,
            PLAIN_MM,
        );
        let width = label.rect.max.x;
        drawing.put(label, DVec2::new(right - width, foot_top + 4.0));
    }
    drawing
}

/// Whether all parts find room on the page.
fn fits(extents: &[Extent; 3], denominator: f64) -> bool {
    let [above, side, heights] = extents.map(|extent| extent.size() / denominator);
    let width = PAPER_MM[0] - 2.0 * MARGIN_MM;
    let height = PAPER_MM[1] - 2.0 * MARGIN_MM - HEAD_MM - FOOT_MM;
    let upper = (above.y + ABOVE_MM[1]).max(side.y + SIDE_MM[1]);
    above.x + ABOVE_MM[0] + side.x + SIDE_MM[0] <= width && upper + heights.y + HEIGHTS_MM <= height
}

fn heading(drawing: &mut Drawing, rig: &Rig, denominator: f64, units: Units) {
    const MOST: usize = 60;
    let mut name: String = rig.name().chars().take(MOST).collect();
    if rig.name().chars().count() > MOST {
        name.push('…');
    }
    let title = drawing.label(&name, Cut::Bold, HEADING_MM);
    let below = title.rect.max.y;
    drawing.put(title, DVec2::splat(MARGIN_MM));
    let unit = match units {
        Units::Millimetres => "millimetres",
        Units::Inches => "inches",
    };
    let about = format!(
        "Scale 1:{denominator} on A4. Lengths in {unit}; angles from straight ahead and from eye level."
    );
    let about = drawing.label(&about, Cut::Regular, PLAIN_MM);
    drawing.put(about, DVec2::new(MARGIN_MM, MARGIN_MM + below + 0.6));
}

/// The scale bar, and what to do with it.
fn foot(drawing: &mut Drawing, [left, top]: [f64; 2], denominator: f64, units: Units) {
    let bar = match units {
        Units::Millimetres => bar_mm(denominator, 60.0),
        Units::Inches => bar_mm(denominator / 25.4, 60.0) * 25.4,
    };
    let paper_mm = bar / denominator;
    let corner = DVec2::new(left, top + 1.6);
    const PARTS: u32 = 5;
    for part in 0..PARTS {
        let from = corner + DVec2::X * (paper_mm * f64::from(part) / f64::from(PARTS));
        let to = from + DVec2::new(paper_mm / f64::from(PARTS), 1.4);
        let stroke = if part % 2 == 0 {
            Stroke::Eye
        } else {
            Stroke::Blank
        };
        let area = [from, DVec2::new(to.x, from.y), to, DVec2::new(from.x, to.y)];
        drawing.path(stroke, area);
        drawing.path(Stroke::Measure, area.into_iter().chain([from]));
    }
    let (number, unit) = match units {
        Units::Millimetres => (bar, "mm"),
        Units::Inches => (bar / 25.4, "in"),
    };
    let text = format!(
        "{} {unit}. Print at 100 %: the bar is then {paper_mm:.1} mm long on the paper.",
        number.round(),
    );
    let label = drawing.label(&text, Cut::Regular, PLAIN_MM);
    drawing.put(label, corner + DVec2::new(paper_mm + 2.0, -0.6));
    let note = drawing.label(
        "Black: lit. Grey: cases, whose depth is not known here. Dashed: from the eye to lit edges. \
         Dotted: to the middle of each view, with its distance.",
        Cut::Regular,
        PLAIN_MM,
    );
    drawing.put(note, DVec2::new(left, top + 4.6));
}
