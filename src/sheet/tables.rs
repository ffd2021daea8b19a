//! The sections of many numbers: what the eye sees, views, seams, the desktop.

use super::Sheet;
use super::names::seam_name;
use super::page::Page;
use super::units::{Units, degrees, fixed};

pub(super) fn fov(sheet: &Sheet, page: &mut Page) {
    let fov = sheet.fov;
    page.section("Fields of view", "as the eye has them");
    let value = |radians: f64, way: &str| format!("{} deg {way}", degrees(radians, 2));
    page.value("whole span", &value(fov.whole_rad, "horizontal"), "");
    page.reason(
        "whole span",
        "from the azimuth of the leftmost lit edge to that of the rightmost, dark gaps included.",
    );
    page.value(
        "facing view",
        &value(fov.facing_horizontal_rad, "horizontal"),
        "",
    );
    page.value("", &value(fov.facing_vertical_rad, "vertical"), "");
    page.value("", &value(fov.facing_diagonal_rad, "corner to corner"), "");
    page.reason(
        "facing view",
        "between its edges, at mid height and at its middle column; between its corners, the \
         larger of the two.",
    );
}

pub(super) fn views(sheet: &Sheet, units: Units, page: &mut Page) {
    page.section("Views", "where the eye sees them, and from how far");
    let rows: Vec<Vec<String>> = (sheet.views.iter())
        .map(|view| {
            vec![
                sheet.rig.view_name(view.id),
                degrees(view.azimuth_rad[0], 2),
                degrees(view.azimuth_rad[1], 2),
                degrees(view.elevation_rad[0], 2),
                degrees(view.elevation_rad[1], 2),
                units.length(view.distance_mm),
                units.length(view.square_mm),
            ]
        })
        .collect();
    let unit = units.symbol();
    let [middle, square] = ["middle", "square"].map(|what| format!("{what}\n{unit}"));
    page.table(
        &[
            "view",
            "left\ndeg",
            "right\ndeg",
            "bottom\ndeg",
            "top\ndeg",
            &middle,
            &square,
        ],
        &rows,
    );
    page.reason(
        "left, right",
        "azimuths of the edges at mid height; right of straight ahead is positive.",
    );
    page.reason(
        "bottom, top",
        "elevations of the edges at the middle column; above the eye is positive.",
    );
    page.reason("middle", "eye to the view's middle, as a tape measures it.");
    page.reason(
        "square",
        "eye to the view's plane, or to the plane that touches a curved view at its middle: \
         the distance of a camera with an off-centre picture.",
    );
}

pub(super) fn pixels(sheet: &Sheet, units: Units, page: &mut Page) {
    page.section("Pixels", "their pitch, and how many fill a degree");
    let rows: Vec<Vec<String>> = (sheet.views.iter())
        .map(|view| {
            vec![
                sheet.rig.view_name(view.id),
                units.pitch(view.pitch_mm[0]),
                units.pitch(view.pitch_mm[1]),
                fixed(view.px_per_deg[0], 1),
                fixed(view.px_per_deg[1], 1),
            ]
        })
        .collect();
    let unit = units.symbol();
    let [across, down] = ["pitch x", "pitch y"].map(|what| format!("{what}\n{unit}"));
    page.table(
        &["view", &across, &down, "across\npx/deg", "down\npx/deg"],
        &rows,
    );
    page.reason(
        "pitch",
        "lit width, along the surface, over columns; lit height over rows.",
    );
    page.reason(
        "px/deg",
        "at the view's middle, as the eye sees it, slant included.",
    );
}

pub(super) fn frusta(sheet: &Sheet, page: &mut Page) {
    page.section(
        "Off-axis cameras",
        "one a view, for pictures of your own; at near distance 1",
    );
    let rows: Vec<Vec<String>> = (sheet.frusta.iter())
        .map(|view| {
            let mut row = vec![sheet.rig.view_name(view.id)];
            match view.through {
                Some(through) => {
                    row.extend(through.frustum.near_1.map(|extent| fixed(extent, 5)));
                    row.push(degrees(through.max_rad, 2));
                }
                None => row.extend(["-"; 5].map(str::to_owned)),
            }
            row
        })
        .collect();
    page.table(
        &["view", "left", "right", "bottom", "top", "strays\ndeg"],
        &rows,
    );
    if sheet.frusta.iter().any(|view| view.through.is_none()) {
        page.sentence(
            "A view that reaches round the eye, so that its corners lie behind it, has no such \
             camera: give its panel more views.",
        );
    }
    page.reason(
        "left to top",
        "times the near distance, what a renderer's frustum asks for: through the view's corners, \
         which --json gives the axes for.",
    );
    page.reason(
        "strays",
        "the largest angle between a pixel of the view and the same pixel of that camera's flat \
         picture; --warp writes a file that bends the picture.",
    );
}

pub(super) fn seams(sheet: &Sheet, units: Units, page: &mut Page) {
    if sheet.seams.is_empty() {
        return;
    }
    page.section(
        "Seams",
        "how panels are turned to each other, and what is dark",
    );
    let rows: Vec<Vec<String>> = (sheet.seams.iter().enumerate())
        .map(|(index, seam)| {
            vec![
                seam_name(sheet.rig, index),
                degrees(seam.angle_rad, 2),
                degrees(seam.fold_rad, 2),
                units.length(sheet.rig.seams()[index].gap_mm),
                units.length(seam.dark_mm),
                fixed(seam.dark_px[0], 1),
                fixed(seam.dark_px[1], 1),
                seam.hidden_px.to_string(),
            ]
        })
        .collect();
    let [gap, dark] = ["gap", "dark"].map(|name| format!("{name}\n{}", units.symbol()));
    page.table(
        &[
            "seam",
            "angle\ndeg",
            "fold\ndeg",
            &gap,
            &dark,
            "dark\npx left",
            "dark\npx right",
            "hidden\npx",
        ],
        &rows,
    );
    page.reason("angle", "between the facings of the two adjoining views, as programs with one camera a screen want it.");
    page.reason("fold", "between the two surfaces where they adjoin, as a protractor reads it; less than the angle by the curves of half a view on either side.");
    page.reason("gap", "between the two cases, as the rig file has it.");
    page.reason("dark", "what a ruler held level across the seam reads from lit edge to lit edge: both bezels, the gap, and what the fold does to them.");
    page.reason("px left, px right", "the same in columns of the left and of the right panel, for programs that ask for bezels in pixels.");
    page.reason(
        "hidden",
        "columns of the canvas that the display driver hides there, from the rig file.",
    );
}

/// What tells a fold without a protractor.
pub(super) fn tape(sheet: &Sheet, units: Units, page: &mut Page) {
    if sheet.seams.is_empty() {
        return;
    }
    page.section(
        "Tape",
        "from the left panel's outer lit edge straight to the right panel's",
    );
    let rows: Vec<Vec<String>> = (sheet.seams.iter().enumerate())
        .map(|(index, seam)| {
            let by_degree = seam.outer_mm_per_rad.map(|mm| mm * 1_f64.to_radians());
            vec![
                seam_name(sheet.rig, index),
                degrees(seam.fold_rad, 2),
                units.length(seam.outer_mm),
                by_degree.map_or_else(|| "-".to_owned(), |mm| units.length(mm)),
            ]
        })
        .collect();
    let [level, more] =
        ["level", "a degree more"].map(|name| format!("{name}\n{}", units.symbol()));
    page.table(&["seam", "fold\ndeg", &level, &more], &rows);
    page.reason(
        "level",
        "what a tape held level and taut reads from the left lit edge of the left panel to the right lit edge of the right one.",
    );
    page.reason(
        "a degree more",
        "what one more degree of fold adds to it: divide by this how much your tape reads more, and add the result to the fold.",
    );
}

pub(super) fn desktop(sheet: &Sheet, units: Units, page: &mut Page) {
    if sheet.seams.is_empty() {
        return;
    }
    let facing = &sheet.rig.panels()[sheet.rig.seat().view.panel].name;
    page.section(
        "Desktop",
        &format!("top rows at which heights meet, from {facing}'s"),
    );
    let rows: Vec<Vec<String>> = (sheet.rig.panels().iter().zip(&sheet.places))
        .map(|(panel, place)| {
            let mut row = vec![panel.name.clone()];
            match place {
                Some(place) => row.extend([
                    place.top_px.to_string(),
                    place.top_now_px.to_string(),
                    place
                        .residual_mm
                        .map_or_else(|| "-".to_owned(), |mm| units.length(mm)),
                ]),
                None => row.extend(["-", "-", "-"].map(str::to_owned)),
            }
            row
        })
        .collect();
    let left = format!("left over\n{}", units.symbol());
    page.table(&["panel", "top\npx", "now\npx", &left], &rows);
    page.reason(
        "top",
        "the display's y position in the system's settings, told from the facing panel's, at which \
         a window that crosses the seam goes on at the same height on the desk; matched midway up \
         what two neighbours have in common.",
    );
    page.reason("now", "the same, as the rig has it.");
    page.reason(
        "left over",
        "the most by which heights still differ along the seam, since pixels of another size need \
         other heights and positions are whole pixels.",
    );
}

pub(super) fn rate(sheet: &Sheet, page: &mut Page) {
    let rate = &sheet.rate;
    page.section("Drawing load", "of a program that draws the whole span");
    let millions = |pixels: f64| fixed(pixels / 1e6, 1);
    page.value(
        "a picture",
        &format!("{} million px", millions(rate.canvas_px as f64)),
        &format!("{} million of them lit", millions(rate.lit_px as f64)),
    );
    for &refresh_hz in &rate.refresh_hz {
        page.value(
            "a second",
            &format!("{} million px", millions(rate.per_second(refresh_hz))),
            &format!("at {refresh_hz} Hz"),
        );
    }
    page.reason(
        "a second",
        "all of the canvas's pixels at each refresh rate of the rig's panels.",
    );
}
