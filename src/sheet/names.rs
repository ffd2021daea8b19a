//! What the sheet calls panels, views and seams.

use crate::rig::{Rig, ViewId};

/// A view as the rig file names it, `panel/2`; a panel's only view goes by the
/// panel's name.
pub fn view_name(rig: &Rig, id: ViewId) -> String {
    let panel = &rig.panels()[id.panel];
    if panel.views == 1 {
        panel.name.clone()
    } else {
        format!("{}/{}", panel.name, id.view + 1)
    }
}

/// A seam by the two panels it joins.
pub fn seam_name(rig: &Rig, seam: usize) -> String {
    let [left, right] = [seam, seam + 1].map(|panel| &rig.panels()[panel].name);
    format!("{left} | {right}")
}

/// `1 view`, `2 views`.
pub(super) fn count(number: usize, noun: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {noun}{plural}")
}
