//! The solved rig as its file is to say it.

use crate::parts::{Measure, Panel, PanelQuantity, Size, Unit};
use crate::rig::Rig;

/// The solved rig with its numbers rounded to what is worth writing, far below what
/// readings tell, and those that hardly differ as `file` has them.
///
/// # Errors
///
/// Where the file gives a size as a diagonal, and the solved sides have none.
pub fn for_file(solved: &Rig, file: &Rig) -> Result<Rig, String> {
    let mut parts = solved.parts().clone();
    for (own, theirs) in parts.panels.iter().zip(file.panels()) {
        let is_diagonal = |panel: &Panel| matches!(panel.size, Size::DiagonalIn(_));
        if is_diagonal(theirs) && !is_diagonal(own) {
            let [width, height] = theirs.size_mm();
            return Err(format!(
                "panel \"{}\" gives its size as a diagonal, so its sides can't be corrected: \
                 write size_mm = [{width:.1}, {height:.1}] instead of diagonal_in first",
                theirs.name
            ));
        }
    }
    for measure in Measure::all(solved.parts()) {
        let (Some(number), known) = (measure.get(solved.parts()), measure.get(file.parts())) else {
            continue;
        };
        let digits: f64 = match (measure.spec().unit, measure) {
            (_, Measure::Panel(_, PanelQuantity::Radius)) => 1e1,
            (Unit::Deg, _) => 1e4,
            (Unit::Mm, _) => 1e3,
            _ => continue,
        };
        let is_same = known.is_some_and(|known| (known - number).abs() * digits < 0.5);
        let rounded = known.filter(|_| is_same);
        measure.put(
            &mut parts,
            rounded.unwrap_or((number * digits).round() / digits),
        );
    }
    // Rounding may take a rig that only just faces the eye over that border.
    Ok(Rig::new(parts).unwrap_or_else(|_| solved.clone()))
}
