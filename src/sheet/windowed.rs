//! The section of a program that draws into the rig's window.

use super::Sheet;
use super::fits;
use super::page::Page;
use super::units::{Units, degrees};
use super::verdict;
use crate::fit::{Typed, WindowFit};
use crate::parts::words::count;
use crate::rig::Ahead;

pub(super) fn window(sheet: &Sheet, page: &mut Page) {
    let [.., width, height] = sheet.window_px;
    page.section("Window", "as the rig file says, in pixels");
    page.value("size", &format!("{width} x {height}"), "");
    fits::corner(sheet, page);
    if let Some(window) = sheet.rig.window() {
        let columns: Vec<String> = window.columns.iter().map(u32::to_string).collect();
        page.value("columns", &columns.join(", "), "that the panels carry");
    }
}

pub(super) fn flat_views(fit: &WindowFit, units: Units, page: &mut Page) {
    let (model, figures) = (fit.model.flat, fit.figures);
    let length = |mm: f64| format!("{} {}", units.length(mm), units.symbol());
    page.section(
        "One camera a screen",
        &format!(
            "{} of the window, equal and flat; fitted: {}",
            count(model.count, "column"),
            fit.free.names().join(", "),
        ),
    );
    page.value(
        "angle",
        &format!("{} deg", degrees(model.angle_rad, 2)),
        "between neighbouring screens' facings",
    );
    let ahead = match fit.model.ahead {
        Ahead::Column(column) => format!("eye to the middle of screen {}", column + 1),
        Ahead::Cut(left) => format!("eye square to screens {} and {}", left + 1, left + 2),
    };
    page.value("distance", &length(model.distance_mm), &ahead);
    page.value("width", &length(model.width_mm), "lit, of each screen");
    page.value("height", &length(model.height_mm), "lit, of each screen");
    page.value(
        "bezel",
        &length(model.bezel_mm),
        "at each side of each screen",
    );
    fits::fields_of_view(&model, page);
    page.reason(
        "field of view",
        "of one screen seen square, twice the arctangent of half its side over the distance; \
         programs ask for one of the three.",
    );
    page.value(
        "turn",
        &format!("{} deg", degrees(fit.model.turn_rad.abs(), 2)),
        match fit.model.turn_rad {
            turn if turn.to_degrees() >= 0.005 => "its ahead lies right of the rig's",
            turn if turn.to_degrees() <= -0.005 => "its ahead lies left of the rig's",
            _ => "its ahead is the rig's",
        },
    );
    let [rms, max] = [figures.rms_rad, figures.max_rad].map(|radians| degrees(radians, 2));
    page.value("error", &format!("{rms} deg rms, {max} deg at most"), "");
    page.reason(
        "error",
        "the angle between where the eye sees a pixel inside the window and where the program has \
         it: its root mean square over all of them, and its largest. The eye is where it is, so \
         eye level counts.",
    );
    page.sentence(verdict::quality(figures.rms_rad));
    if let Some(pointer) = verdict::pointer(figures.rms_rad) {
        page.sentence(pointer);
    }
    if figures.jump_rad.to_degrees() >= 0.1 {
        page.sentence(&format!(
            "At eye level the picture jumps by up to {} degrees across a seam.",
            degrees(figures.jump_rad, 2),
        ));
    }
    if figures.inner_jump_rad.to_degrees() >= 0.1 {
        page.sentence(&format!(
            "The bezel cuts it inside a panel, too, where it jumps by up to {} degrees.",
            degrees(figures.inner_jump_rad, 2),
        ));
    }
    if let Some(held) = held(fit, units) {
        page.sentence(&held);
    }
}

fn held(fit: &WindowFit, units: Units) -> Option<String> {
    let mut held: Vec<String> = (fit.at_limit.iter())
        .map(|&typed: &Typed| verdict::at(typed, &fit.model.flat, units))
        .collect();
    if fit.is_turn_at_limit {
        held.push("the turn at 10 degrees".to_owned());
    }
    verdict::held_by(&held)
}
