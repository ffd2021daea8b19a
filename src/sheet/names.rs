//! What the sheet calls seams.

use crate::rig::Rig;

/// A seam by the two panels it joins.
pub fn seam_name(rig: &Rig, seam: usize) -> String {
    let [left, right] = [seam, seam + 1].map(|panel| &rig.panels()[panel].name);
    format!("{left} | {right}")
}
