//! What panels have that no display sold has.

use super::limits::{TIGHT_RADIUS_MM, USUAL_DIAGONAL_IN};
use super::units::diagonal_in;
use super::{Code, Finding, quoted};
use crate::rig::{Rig, Subject};

pub(super) fn findings(rig: &Rig) -> Vec<Finding> {
    let mut found: Vec<_> = no_bezels(rig).into_iter().collect();
    found.extend((0..rig.panels().len()).filter_map(|panel| curve(rig, panel)));
    found
}

/// Panels that would all touch with their lit areas. A rig doesn't tell a bezel
/// of 0 in its file from one left out; larger panels may well be projected.
fn no_bezels(rig: &Rig) -> Option<Finding> {
    let has_none = rig.panels().iter().all(|panel| {
        let bezel = panel.bezel_mm;
        [bezel.left, bezel.right, bezel.top, bezel.bottom] == [0.0; 4]
            && diagonal_in(panel) <= *USUAL_DIAGONAL_IN.end()
    });
    let is_closed = rig.seams().iter().all(|seam| seam.gap_mm == 0.0);
    if rig.seams().is_empty() || !has_none || !is_closed {
        return None;
    }
    Some(Finding::warning(
        Code::NoBezels,
        Subject::panel(0, "bezel_mm"),
        "No panel has a bezel and no seam a gap, so that the lit areas would touch, but displays \
         have bezels, and lines would jump by them at every seam. Measure from the lit edge to the \
         edge of the case and write it for each panel, such as bezel_mm = { left = 7, right = 7, \
         top = 7, bottom = 12 }; where they truly have none, there is nothing to do."
            .to_owned(),
    ))
}

fn curve(rig: &Rig, index: usize) -> Option<Finding> {
    let panel = &rig.panels()[index];
    let radius = panel.curve_radius_mm?;
    if radius >= TIGHT_RADIUS_MM {
        return None;
    }
    let diagonal_mm = diagonal_in(panel) * 25.4;
    let hint = if (radius / diagonal_mm - 1.0).abs() < 0.02 {
        "; this is its diagonal in millimetres"
    } else {
        ""
    };
    Some(Finding::warning(
        Code::CurveTooTight,
        Subject::panel(index, "curve_radius_mm"),
        format!(
            "Panel {} would be curved with a radius of {radius} mm, more tightly than any display \
             sold{hint}. The radius in millimetres is the number before the R that it is sold \
             with, 1500 for \"1500R\": write that, or leave the key out for a flat panel.",
            quoted(rig, index),
        ),
    ))
}
