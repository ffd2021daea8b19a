//! Sizes: pixels' shape, displays' claims, hidden columns, the canvas.

use super::limits::{CLAIMED_SIZE, HIDDEN_PX, HIDDEN_SHARE, PIXEL_SHAPE, TEXTURE_SIDE_PX};
use super::{Code, Finding, name, quoted};
use crate::display::Display;
use crate::geometry::Layout;
use crate::matching::Matching;
use crate::rig::{Rig, Size, Subject, Table};

pub(super) fn findings(
    rig: &Rig,
    displays: &[Display],
    matching: Option<&Matching>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    let layout = rig.layout();
    found.extend((0..rig.panels().len()).filter_map(|panel| pixel_shape(rig, panel)));
    if let Some(matching) = matching {
        let claims = (0..rig.panels().len())
            .filter_map(|panel| claimed(rig, panel, displays, &matching.carriers(panel)));
        found.extend(claims);
    }
    found.extend((0..rig.seams().len()).filter_map(|seam| hidden(rig, layout, seam)));
    found
}

fn size_key(size: Size) -> &'static str {
    match size {
        Size::DiagonalIn(_) => "diagonal_in",
        Size::LitMm(_) => "size_mm",
    }
}

fn pixel_shape(rig: &Rig, index: usize) -> Option<Finding> {
    let panel = &rig.panels()[index];
    let [x, y] = panel.pitch_mm();
    if (x / y - 1.0).abs() <= PIXEL_SHAPE {
        return None;
    }
    let [width, height] = panel.size_mm();
    let [columns, rows] = panel.pixels;
    let fitting = height * f64::from(columns) / f64::from(rows);
    Some(Finding::error(
        Code::PixelsNotSquare,
        Subject::panel(index, "size_mm"),
        format!(
            "Panel {} is {width:.1} mm wide and {height:.1} mm high, which makes its pixels \
             {:.1} % {} than high; nearly all displays have square ones, so every angle across \
             this panel is likely to be off. Measure the lit area again, without the case and \
             along the glass: {columns} x {rows} square pixels of this height would be \
             {fitting:.1} mm wide.",
            quoted(rig, index),
            100.0 * (x / y - 1.0).abs(),
            if x > y { "wider" } else { "narrower" },
        ),
    ))
}

/// Compares a panel with what the displays that show it claim: together, where
/// several tile it, since each may claim its share or the whole.
fn claimed(rig: &Rig, index: usize, displays: &[Display], carriers: &[usize]) -> Option<Finding> {
    let panel = &rig.panels()[index];
    let claims: Option<Vec<[f64; 2]>> = carriers.iter().map(|&d| displays[d].size_mm).collect();
    let claims = claims.filter(|claims| !claims.is_empty())?;
    let one = &displays[*carriers.first()?];
    if carriers.len() == 1 && one.size_px != panel.pixels {
        // A span's claim, if it has one, is not the panel's.
        return None;
    }
    let size = panel.size_mm();
    let fits = |[w, h]: [f64; 2]| {
        let near = |claim: f64, mm: f64| (claim / mm - 1.0).abs() <= CLAIMED_SIZE;
        near(w, size[0]) && near(h, size[1]) || near(h, size[0]) && near(w, size[1])
    };
    let widths = claims.iter().map(|claim| claim[0]).sum();
    let heights = claims.iter().map(|claim| claim[1]).sum();
    let [first_w, first_h] = claims[0];
    let readings = [[first_w, first_h], [widths, first_h], [first_w, heights]];
    if readings.into_iter().any(fits) {
        return None;
    }
    let found = Finding::warning(
        Code::SizeContradictsDisplay,
        Subject::panel(index, size_key(panel.size)),
        format!(
            "Panel {} is {:.0} mm x {:.0} mm in the rig file, but display {} claims to be \
             {first_w:.0} mm x {first_h:.0} mm. Such claims are no more than hints, but a wrong \
             size makes every angle wrong: measure the lit area, and check that this display is \
             that panel.",
            quoted(rig, index),
            size[0],
            size[1],
            name(one),
        ),
    );
    Some(found)
}

/// Hidden columns should be as wide as what is dark, in either panel's pixels.
fn hidden(rig: &Rig, layout: &Layout, index: usize) -> Option<Finding> {
    let seam = &rig.seams()[index];
    if seam.hidden_px == 0 {
        return None;
    }
    let [left, right] = [&rig.panels()[index], &rig.panels()[index + 1]];
    let along_mm = left.bezel_mm.right + seam.gap_mm + right.bezel_mm.left;
    let dark_mm = layout.dark_mm(index);
    let pitches = [left.pitch_mm()[0], right.pitch_mm()[0]];
    let columns = pitches.map(|pitch| dark_mm / pitch);
    let least = columns.iter().copied().fold(f64::INFINITY, f64::min);
    let most = columns.iter().copied().fold(0.0, f64::max);
    let hidden = f64::from(seam.hidden_px);
    let slack = HIDDEN_PX.max(hidden * HIDDEN_SHARE);
    if (least - slack..=most + slack).contains(&hidden) {
        return None;
    }
    Some(Finding::warning(
        Code::HiddenColumnsMismatch,
        Subject::seam(index, "hidden_px"),
        format!(
            "The driver hides {} columns between {} and {}, {:.1} mm worth, but {dark_mm:.1} mm \
             are dark there (gap_mm = {}), {along_mm:.1} mm along the cases. What crosses this seam will jump: \
             set the driver to about {:.0} columns and write the same here, or correct the \
             bezels and the gap.",
            seam.hidden_px,
            quoted(rig, index),
            quoted(rig, index + 1),
            hidden * (pitches[0] + pitches[1]) / 2.0,
            seam.gap_mm,
            2.0 * dark_mm.max(0.0) / (pitches[0] + pitches[1]),
        ),
    ))
}

pub(super) fn canvas(rig: &Rig) -> Option<Finding> {
    let [w, h] = rig.canvas().size_px;
    if w.max(h) <= TEXTURE_SIDE_PX {
        return None;
    }
    Some(Finding::error(
        Code::CanvasTooLarge,
        Subject::whole(Table::Rig),
        format!(
            "The canvas is {w} x {h} pixels, but many GPUs hold no picture longer than \
             {TEXTURE_SIDE_PX} a side, so a program cannot draw it in one window. Use smaller \
             modes, fewer panels or a window for each display."
        ),
    ))
}
