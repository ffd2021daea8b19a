//! Whether the rig's window suits what stands there.

use super::limits::WINDOW_EYE_LEVEL_DEG;
use super::{Code, Finding, quoted};
use crate::place::{carried_columns, eye_level_rows};
use crate::rig::{Rig, Subject};

pub(super) fn findings(rig: &Rig) -> Vec<Finding> {
    let Some(window) = rig.window() else {
        return Vec::new();
    };
    let mut findings = Vec::new();
    let carried = carried_columns(rig, window);
    if carried != window.columns {
        findings.push(Finding::warning(
            Code::WindowColumns,
            Subject::window("columns"),
            format!(
                "The panels carry {carried:?} of the window's columns where it lies, but `columns` \
                 says {:?}. A program cuts its window into equal columns wherever the panels are, \
                 so what is fitted is not what is drawn. Correct `px`, `columns` or the panels' \
                 `desktop_px`.",
                window.columns
            ),
        ));
    }
    // The panel on which eye level is farthest from the window's middle row.
    let middle = f64::from(window.px[1]) + f64::from(window.px[3]) / 2.0;
    let off = eye_level_rows(rig)
        .into_iter()
        .enumerate()
        .map(|(panel, row)| {
            let surface = &rig.layout().surfaces()[panel];
            let seen = (row - middle) * surface.pitch_mm()[1] / surface.middle.length();
            (panel, row - middle, seen.atan().to_degrees())
        });
    let worst = off.max_by(|a, b| a.2.abs().total_cmp(&b.2.abs()));
    if let Some((panel, rows, off_deg)) = worst
        && off_deg.abs() > WINDOW_EYE_LEVEL_DEG
    {
        let way = if rows < 0.0 { "above" } else { "below" };
        findings.push(Finding::warning(
            Code::WindowEyeLevel,
            Subject::window("px"),
            format!(
                "Eye level crosses panel {} {:.0} rows {way} the window's middle row. There a \
                 program with one camera a screen has it, so its picture is {:.1} degrees off. \
                 `throughline place` says where displays and window go.",
                quoted(rig, panel),
                rows.abs(),
                off_deg.abs(),
            ),
        ));
    }
    findings
}
