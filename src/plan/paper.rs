//! The page: which part goes where, at which scale.

use glam::DVec2;

use super::above::{self, Above, MOST_DETAILED};
use super::drawing::{Drawing, HEADING_MM, PLAIN_MM, PaperRect, Stroke};
use super::heights::{self, COLUMN_MM, Heights, LEFT_MM};
use super::scale::{Extent, Frame, bar_mm, denominators};
use super::side::{self, Side};
use crate::fit::FlatViews;
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
const ABOVE_MM: [f64; 2] = [38.0, 32.0];
const SIDE_MM: [f64; 2] = [19.0, 18.0];
const HEIGHTS_MM: f64 = 18.0;
/// Room for the longest of the parts' names.
const TITLE_MM: f64 = 52.0;
/// More of that room lies above the rig than below the eye.
const LOWERED_MM: f64 = 3.0;

/// Draws a rig to scale; lengths are written in `units`.
pub fn draw(rig: &Rig, units: Units) -> Drawing {
    let layout = rig.layout();
    let views = rig.views();
    let facing = &views[FlatViews::of(rig).facing];
    let extents = [
        above::extent(rig, layout),
        side::extent(rig, layout),
        heights::extent(rig, layout),
    ];
    let Page { denominator, areas } = Page::of(&extents, rig.panels().len());
    // An extent's middle comes to lie in the middle of its area.
    let frame = |area: PaperRect, extent: &Extent| Frame {
        eye: (area.min + area.max) / 2.0 - (extent.min + extent.max) / 2.0 / denominator,
        denominator,
    };
    let above = Above {
        rig,
        layout,
        views: &views,
        frame: Frame {
            eye: frame(areas[0], &extents[0]).eye + DVec2::Y * LOWERED_MM,
            denominator,
        },
        area: areas[0],
        units,
    };
    let side = Side {
        rig,
        layout,
        facing,
        frame: frame(areas[1], &extents[1]),
        extent: extents[1],
        area: areas[1],
        units,
    };
    let heights = Heights {
        rig,
        layout,
        frame: frame(areas[2], &extents[2]),
        area: areas[2],
        units,
    };

    let mut drawing = Drawing::new();
    heading(&mut drawing, rig, denominator, units);
    let names = [
        "From above",
        "From the right, the facing view cut through",
        "Heights of what is lit, from eye level",
    ];
    for (area, name) in areas.iter().zip(names) {
        let label = drawing.label(name, Cut::Bold, PLAIN_MM);
        drawing.put(label, area.min);
    }
    above.strokes(&mut drawing);
    side.strokes(&mut drawing);
    heights.strokes(&mut drawing);
    let foot_top = PAPER_MM[1] - MARGIN_MM - FOOT_MM + 1.5;
    foot(&mut drawing, [MARGIN_MM, foot_top], denominator, units);
    above.labels(&mut drawing);
    side.labels(&mut drawing);
    heights.labels(&mut drawing);
    if drawing.left_out > 0 || rig.panels().len() > MOST_DETAILED {
        let label = drawing.label(
            "Not every number found room here: the sheet has them all.",
            Cut::Regular,
            PLAIN_MM,
        );
        let right = PAPER_MM[0] - MARGIN_MM - label.rect.max.x;
        drawing.put(label, DVec2::new(right, foot_top));
    }
    drawing
}

/// The scale, and the areas of the parts: from above, from the right, heights.
struct Page {
    denominator: f64,
    areas: [PaperRect; 3],
}

impl Page {
    /// The largest drawing in which everything finds room. Where the scale
    /// allows several arrangements, the first of these is taken: the heights
    /// below the side view, both beside the view from above; both below it, side
    /// by side; the heights alone below the other two.
    fn of(extents: &[Extent; 3], panels: usize) -> Page {
        let room = DVec2::new(
            PAPER_MM[0] - 2.0 * MARGIN_MM,
            PAPER_MM[1] - 2.0 * MARGIN_MM - HEAD_MM - FOOT_MM,
        );
        let corner = DVec2::new(MARGIN_MM, MARGIN_MM + HEAD_MM);
        let area = |from: [f64; 2], to: [f64; 2]| PaperRect {
            min: corner + DVec2::from(from),
            max: corner + DVec2::from(to),
        };
        let columns = LEFT_MM + COLUMN_MM * panels as f64;
        let mut last = None;
        for denominator in denominators() {
            let [above, side, heights] = extents.map(|extent| extent.size() / denominator);
            let above = above + DVec2::from(ABOVE_MM);
            let side = (side + DVec2::from(SIDE_MM)).max(DVec2::new(TITLE_MM, 0.0));
            let heights = DVec2::new(columns.max(TITLE_MM), heights.y + HEIGHTS_MM);

            let border = room.x - side.x.max(heights.x);
            let line = room.y - heights.y;
            let beside = [
                area([0.0, 0.0], [border, room.y]),
                area([border, 0.0], [room.x, line]),
                area([border, line], [room.x, room.y]),
            ];
            if above.x <= border && above.y <= room.y && side.y <= line {
                let areas = beside;
                return Page { denominator, areas };
            }
            let (border, line) = (side.x, room.y - side.y.max(heights.y));
            let areas = [
                area([0.0, 0.0], [room.x, line]),
                area([0.0, line], [border, room.y]),
                area([border, line], [room.x, room.y]),
            ];
            if above.y <= line && above.x.max(side.x + heights.x) <= room.x {
                return Page { denominator, areas };
            }
            let (border, line) = (room.x - side.x, room.y - heights.y);
            let areas = [
                area([0.0, 0.0], [border, line]),
                area([border, 0.0], [room.x, line]),
                area([0.0, line], [room.x, room.y]),
            ];
            // Columns of too many panels are drawn narrower.
            if above.x <= border && above.y.max(side.y) <= line {
                return Page { denominator, areas };
            }
            last = Some(Page { denominator, areas });
        }
        last.expect("there are denominators")
    }
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
