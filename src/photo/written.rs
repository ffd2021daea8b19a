//! The measured rig as its file is to say it.

use super::measurement::Measurement;
use crate::parts::{MM_PER_INCH, Measure, Panel, PanelQuantity, Size};
use crate::rig::{EditError, Rig, with_values_of};
use crate::solve::for_file;

/// The text of a rig's file with the measured numbers in place of its own, and comments
/// at its top that say how surely each is known. `file` is what the text says. A size that
/// it gives as a diagonal stays one: that of square pixels which is nearest.
///
/// # Errors
///
/// Where the text can't take the numbers one by one.
pub fn written(text: &str, file: &Rig, measurement: &Measurement) -> Result<String, EditError> {
    let measured = in_diagonals(measurement.rig(), file);
    let rig = for_file(&measured, file).unwrap_or(measured);
    let body = with_values_of(text, &rig)?;
    let ending = if body.contains("\r\n") { "\r\n" } else { "\n" };
    let lines = comments(measurement).into_iter();
    let out: String = lines.map(|line| format!("# {line}{ending}")).collect();
    Ok(match body.strip_prefix('\u{feff}') {
        Some(body) => format!("\u{feff}{out}{body}"),
        None => out + &body,
    })
}

/// The rig with sizes given as diagonals where its file does so.
fn in_diagonals(measured: &Rig, file: &Rig) -> Rig {
    let mut parts = measured.parts().clone();
    for (own, theirs) in parts.panels.iter_mut().zip(file.panels()) {
        let is_diagonal = |panel: &Panel| matches!(panel.size, Size::DiagonalIn(_));
        if is_diagonal(theirs) && !is_diagonal(own) {
            let [width, height] = own.size_mm();
            // A ten-thousandth of an inch is far below what is told.
            let diagonal_in = width.hypot(height) / MM_PER_INCH;
            own.size = Size::DiagonalIn((diagonal_in * 1e4).round() / 1e4);
        }
    }
    Rig::new(parts).unwrap_or_else(|_| measured.clone())
}

fn comments(measurement: &Measurement) -> Vec<String> {
    let used = measurement
        .photos()
        .iter()
        .filter(|photo| photo.left_out.is_none());
    let mut lines = vec![format!(
        "Measured from {} photographs, marks to {:.2} px. What each number is uncertain by:",
        used.count(),
        measurement.rms_px()
    )];
    for value in measurement.values() {
        let path = value.measure.plain_path();
        let digits = match value.measure {
            Measure::Panel(_, PanelQuantity::Radius) => 1,
            _ => 3,
        };
        let is_as_before = value.change() == 0.0 && value.sigma == value.before;
        lines.push(if is_as_before {
            format!("  {path} was not measured")
        } else {
            format!(
                "  {path} = {:.digits$} +- {:.digits$}",
                value.solved, value.sigma
            )
        });
    }
    lines
}
