//! The sections that are copied most: the window and the two models.

use std::f64::consts::PI;

use super::Sheet;
use super::page::Page;
use super::units::{Units, degrees, fixed};
use super::verdict;
use crate::fit::{FlatViews, GOOD_RAD, Improvement, SingleView, Typed, level_step};
use crate::geometry::View;
use crate::parts::words::count;

pub(super) fn window(sheet: &Sheet, page: &mut Page) {
    let [.., width, height] = sheet.window_px;
    page.section("Window", "over the whole span, in pixels");
    page.value("size", &format!("{width} x {height}"), "");
    page.reason(
        "size",
        "the bounding box of the panels' places on the desktop, and the columns that \
         the display driver hides behind the seams.",
    );
    corner(sheet, page);
    if sheet.rig.seams().iter().any(|seam| seam.hidden_px > 0) {
        page.sentence(
            "The display driver hides columns behind the seams: where it joins all panels to \
             one display, that display's corner is the window's, and left, top is 0, 0.",
        );
    }
}

/// Where the window's top left corner goes.
pub(super) fn corner(sheet: &Sheet, page: &mut Page) {
    let [left, top, ..] = sheet.window_px;
    let facing = &sheet.rig.panels()[sheet.rig.seat().view.panel].name;
    page.value(
        "left, top",
        &format!("{left}, {top}"),
        &format!("from the top left corner of {facing}"),
    );
    page.reason(
        "left, top",
        "most systems tell positions from the primary display's top left corner, so make the \
         facing panel the primary one; what lies left of it or above it is negative.",
    );
}

/// One screen's fields of view, seen square.
pub(super) fn fields_of_view(model: &FlatViews, page: &mut Page) {
    let half = |mm: f64| 2.0 * (mm / 2.0 / model.distance_mm).atan();
    let diagonal_mm = model.width_mm.hypot(model.height_mm);
    for (name, mm, way) in [
        ("field of view", model.width_mm, "horizontal"),
        ("", model.height_mm, "vertical"),
        ("", diagonal_mm, "corner to corner"),
    ] {
        page.value(name, &format!("{} deg {way}", degrees(half(mm), 2)), "");
    }
}

pub(super) fn flat_views(
    sheet: &Sheet,
    change: Option<Improvement>,
    units: Units,
    page: &mut Page,
) {
    let (rig, fit) = (sheet.rig, &sheet.flat_views);
    let (model, unit) = (fit.model, units.symbol());
    let length = |mm: f64| format!("{} {unit}", units.length(mm));
    page.section(
        "One camera a screen",
        &format!(
            "{}, equal and flat; fitted: {}",
            count(model.count, "screen"),
            fit.free.names().join(", "),
        ),
    );
    page.value(
        "angle",
        &format!("{} deg", degrees(model.angle_rad, 2)),
        "between neighbouring screens' facings",
    );
    page.reason(
        "angle",
        "the turn between neighbouring screens that puts the pixels, all counted alike, nearest \
         to where the eye sees them. A protractor laid on a seam of curved panels reads \
         less: it reads the fold.",
    );
    page.value(
        "distance",
        &length(model.distance_mm),
        "eye to the facing screen's middle",
    );
    page.reason(
        "distance",
        &held_or(
            fit.free.has(Typed::Distance),
            "fitted, and so not the tape's: flat screens of this width stand for surfaces that \
             bulge, lean or differ.",
            "the seat's own, from the rig file.",
        ),
    );
    page.value("width", &length(model.width_mm), "lit, of each screen");
    page.reason(
        "width",
        &held_or(
            fit.free.has(Typed::Width) && !fit.width_kept,
            "fitted.",
            "the facing view's, measured along its surface.",
        ),
    );
    page.value("height", &length(model.height_mm), "lit, of each screen");
    page.reason(
        "height",
        "the width in the proportion of the facing view's pixels.",
    );
    page.value(
        "bezel",
        &length(model.bezel_mm),
        "at each side of each screen",
    );
    page.reason(
        "bezel",
        &held_or(
            fit.free.has(Typed::Bezel),
            "fitted.",
            "the mean of all panels' left and right bezels.",
        ),
    );
    fields_of_view(&model, page);
    page.reason(
        "field of view",
        "of the facing screen, twice the arctangent of half its side over the distance; \
         programs ask for one of the three.",
    );
    errors(page, fit.rms_rad, fit.worst.angle_rad());
    let views = rig.views();
    eye_level(sheet, &views, units, page);
    page.sentence(&verdict::flat_views(rig, &views, fit, units));
    if let Some(pointer) = verdict::pointer(fit.rms_rad.max(fit.eye_level.rms_rad)) {
        page.sentence(pointer);
    }
    if let Some(held) = verdict::held(fit, units) {
        page.sentence(&held);
    }
    if fit.rms_rad.to_degrees() >= verdict::EXACT_DEG {
        page.sentence(&verdict::worst(rig, &views, &fit.worst));
        if let Some(step) = verdict::step(rig, &views, level_step(&views, &model)) {
            page.sentence(&step);
        }
    }
    if fit.rms_rad >= GOOD_RAD {
        match change {
            Some(change) => page.sentence(&verdict::change(rig, &change, fit.rms_rad, units)),
            None => page.sentence(
                "No single change to an angle, a distance, a gap, a rise, a tilt or a roll of the \
                 rig makes it usable without shrinking the view.",
            ),
        }
    }
    if fit.width_kept {
        page.sentence(
            "Only the ratio of distance and width matters to this rig, so the width is the rig's own.",
        );
    }
}

pub(super) fn single_view(sheet: &Sheet, page: &mut Page) {
    let (rig, fit) = (sheet.rig, &sheet.single_view);
    let model: SingleView = fit.model;
    page.section(
        "One camera for all",
        "one flat picture over the whole canvas",
    );
    if sheet.fov.whole_rad >= PI {
        page.sentence(&format!(
            "One flat picture can't show this rig: it spans {} degrees, and a flat picture ends \
             short of 180. There is no field of view to type.",
            degrees(sheet.fov.whole_rad, 1)
        ));
        return;
    }
    if fit.at_limit {
        page.sentence(
            "One flat picture can't show this rig: its panels don't lie on the canvas as the eye \
             sees them, so that no field of view comes near. There is none to type.",
        );
        return;
    }
    let value = |radians: f64, way: &str| format!("{} deg {way}", degrees(radians, 2));
    page.value(
        "field of view",
        &value(model.horizontal_rad, "horizontal"),
        "",
    );
    page.value("", &value(model.vertical_rad(), "vertical"), "");
    page.value("", &value(model.diagonal_rad(), "corner to corner"), "");
    page.reason(
        "field of view",
        "of a pinhole camera with square pixels, aimed straight ahead at the canvas's middle; \
         the horizontal one is fitted, the other two follow from the canvas's shape.",
    );
    errors(page, fit.rms_rad, fit.worst.angle_rad());
    page.sentence(verdict::quality(fit.rms_rad));
    if let Some(pointer) = verdict::pointer(fit.rms_rad) {
        page.sentence(pointer);
    }
    if fit.rms_rad.to_degrees() >= verdict::EXACT_DEG {
        let views = rig.views();
        page.sentence(&verdict::worst(rig, &views, &fit.worst));
        let step = verdict::step(rig, &views, fit.model.level_step(rig));
        if let Some(step) = step {
            page.sentence(&step);
        }
    }
}

fn errors(page: &mut Page, rms_rad: f64, max_rad: f64) {
    let [rms, max] = [rms_rad, max_rad].map(|radians| degrees(radians, 2));
    page.value("error", &format!("{rms} deg rms, {max} deg at most"), "");
    page.reason(
        "error",
        "the angle between where the eye sees a pixel and where the model has it: its root mean \
         square over all pixels, and its largest.",
    );
}

/// Where eye level is, which such a program has in the middle of its screens.
fn eye_level(sheet: &Sheet, views: &[View], units: Units, page: &mut Page) {
    let fit = &sheet.flat_views;
    let level = &fit.eye_level;
    let facing = &views[fit.model.facing];
    let way = if level.above_mm < 0.0 {
        "below"
    } else {
        "above"
    };
    page.value(
        "eye level",
        &format!("{} {}", units.length(level.above_mm.abs()), units.symbol()),
        &format!(
            "{way} the middle of {}{}",
            sheet.rig.view_name(facing.id),
            match level.row {
                Some(row) if row < 0.0 => ", which is above its top edge".to_owned(),
                Some(row) if row > facing.rows() => ", which is below its bottom edge".to_owned(),
                Some(row) => format!(", at its row {} of {:.0}", fixed(row, 0), facing.rows()),
                None => String::new(),
            },
        ),
    );
    page.reason(
        "eye level",
        "a program with one camera a screen has it in the middle of its screens; the fit \
         leaves out how far off that is, so it is told here.",
    );
}

fn held_or(free: bool, fitted: &str, held: &str) -> String {
    if free {
        fitted.to_owned()
    } else {
        format!("held: {held}")
    }
}
