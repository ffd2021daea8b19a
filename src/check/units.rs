//! Lengths that were likely given in another unit than the rig file's.

use super::limits::{
    ANOTHER_UNITS_MM, LARGE_HEIGHT, NARROW_BEZEL_MM, NARROW_DIAGONAL_IN, PITCH_MM,
    PLAUSIBLE_BEZEL_MM, PLAUSIBLE_MM, USUAL_DIAGONAL_IN, VAST_HEIGHT,
};
use super::{Code, Finding, listed, quoted};
use crate::rig::{Panel, Rig, Size, Subject};

/// Panels whose size is no display's, but would be in another unit.
pub(super) fn sizes(rig: &Rig) -> Vec<Finding> {
    (0..rig.panels().len())
        .filter_map(|index| match rig.panels()[index].size {
            Size::LitMm(size) => side_lengths(rig, index, size),
            Size::DiagonalIn(diagonal) => diagonal_unit(rig, index, diagonal),
        })
        .collect()
}

/// The mean of a pixel's width and height.
fn pitch_mm(panel: &Panel) -> f64 {
    let [x, y] = panel.pitch_mm();
    (x * y).sqrt()
}

pub(super) fn diagonal_in(panel: &Panel) -> f64 {
    let [w, h] = panel.size_mm();
    w.hypot(h) / 25.4
}

fn side_lengths(rig: &Rig, index: usize, [w, h]: [f64; 2]) -> Option<Finding> {
    let panel = &rig.panels()[index];
    let pitch = pitch_mm(panel);
    if pitch >= PITCH_MM[0] {
        return None;
    }
    let is_usual = |factor: f64| {
        USUAL_DIAGONAL_IN.contains(&(diagonal_in(panel) * factor))
            && (PITCH_MM[0]..=PITCH_MM[1]).contains(&(pitch * factor))
    };
    let units = [("inches", 25.4), ("centimetres", 10.0)];
    let readings: Vec<String> = units
        .into_iter()
        .filter(|&(_, factor)| is_usual(factor))
        .map(|(unit, factor)| {
            let [w_mm, h_mm] = [w, h].map(|side| side * factor);
            format!("{w} x {h} {unit} are `size_mm` = [{w_mm:.1}, {h_mm:.1}]")
        })
        .collect();
    let remedy = match &readings[..] {
        [] => "measure the lit area's width and height".to_owned(),
        readings => listed(readings),
    };
    Some(Finding::error(
        Code::SizeInOtherUnit,
        Subject::panel(index, "size_mm"),
        format!(
            "Panel {} would have {w} mm x {h} mm for its {} x {} pixels, which is too fine for \
             any display, so that every angle would be wrong. Give millimetres: {remedy}.",
            quoted(rig, index),
            panel.pixels[0],
            panel.pixels[1],
        ),
    ))
}

fn diagonal_unit(rig: &Rig, index: usize, diagonal: f64) -> Option<Finding> {
    let panel = &rig.panels()[index];
    let [w, h] = panel.size_mm();
    let distance = rig.seat().distance_mm;
    let reaches = |heights: f64| PLAUSIBLE_MM.contains(&distance) && w.min(h) > heights * distance;
    let subject = Subject::panel(index, "diagonal_in");
    let size = format!(
        "Panel {} would be {w:.0} mm wide and {h:.0} mm high with its diagonal of {diagonal} inches",
        quoted(rig, index),
    );
    let inches = diagonal / 25.4;
    let is_vast = pitch_mm(panel) > PITCH_MM[1] || reaches(VAST_HEIGHT);
    if is_vast && USUAL_DIAGONAL_IN.contains(&inches) {
        let text = format!(
            "{size}, larger than any display at a seat, so that every angle would be wrong. Give \
             inches: {diagonal} millimetres are `diagonal_in` = {inches:.1}.",
        );
        return Some(Finding::error(Code::SizeInOtherUnit, subject, text));
    }
    let inches = diagonal / 2.54;
    if reaches(LARGE_HEIGHT) && USUAL_DIAGONAL_IN.contains(&inches) {
        let text = format!(
            "{size}, which is very large for an eye {distance} mm away. If those are centimetres, \
             give inches, `diagonal_in` = {inches:.1}; if it is that large, leave it.",
        );
        return Some(Finding::warning(Code::SizeInOtherUnit, subject, text));
    }
    None
}

/// A distance that nobody sits at, but would in another unit.
pub(super) fn distance(rig: &Rig) -> Option<Finding> {
    let distance = rig.seat().distance_mm;
    if !ANOTHER_UNITS_MM.contains(&distance) {
        return None;
    }
    let units = [
        ("inches", 25.4),
        ("centimetres", 10.0),
        ("metres", 1000.0),
        ("feet", 304.8),
    ];
    let plausible: Vec<_> = units
        .into_iter()
        .map(|(unit, factor)| (unit, distance * factor))
        .filter(|(_, mm)| PLAUSIBLE_MM.contains(mm))
        .map(|(unit, mm)| format!("{distance} {unit} are {mm:.1} mm"))
        .collect();
    let remedy = match &plausible[..] {
        [] => "measure from the eye to the middle of that view".to_owned(),
        plausible => listed(plausible),
    };
    Some(Finding::error(
        Code::DistanceInInches,
        Subject::seat("distance_mm"),
        format!(
            "The eye would be {distance} mm from the facing view, nearer than anyone sits, so \
             every angle would be wrong. Give millimetres: {remedy}.",
        ),
    ))
}

/// Panels whose bezels are narrower than any, but would not be in another unit.
pub(super) fn bezels(rig: &Rig) -> Vec<Finding> {
    (0..rig.panels().len())
        .filter_map(|index| bezel(rig, index))
        .collect()
}

fn bezel(rig: &Rig, index: usize) -> Option<Finding> {
    let panel = &rig.panels()[index];
    let bezel = panel.bezel_mm;
    let widest = bezel.left.max(bezel.right);
    if widest <= 0.0 || widest >= NARROW_BEZEL_MM || diagonal_in(panel) > NARROW_DIAGONAL_IN {
        return None;
    }
    let units = [("centimetres", 10.0), ("inches", 25.4), ("metres", 1000.0)];
    let plausible: Vec<_> = units
        .into_iter()
        .map(|(unit, factor)| (unit, widest * factor))
        .filter(|(_, mm)| PLAUSIBLE_BEZEL_MM.contains(mm))
        .map(|(unit, mm)| format!("{widest} {unit} are {mm:.1} mm"))
        .collect();
    if plausible.is_empty() {
        return None;
    }
    Some(Finding::warning(
        Code::BezelInOtherUnit,
        Subject::panel(index, "bezel_mm"),
        format!(
            "The bezels beside the lit area of panel {} are {widest} mm at the most, narrower \
             than those of any display this small. Measure from the lit edge to the edge of the \
             case and give millimetres: {}.",
            quoted(rig, index),
            listed(&plausible),
        ),
    ))
}
