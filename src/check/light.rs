//! Displays that don't show light as the file has it.

use super::{Code, Finding, name};
use crate::display::Display;
use crate::matching::Matching;
use crate::rig::{Rig, Subject, Table};

pub(super) fn findings(
    rig: &Rig,
    displays: &[Display],
    matching: Option<&Matching>,
) -> Vec<Finding> {
    let Some(matching) = matching else {
        return Vec::new();
    };
    let mut seen = Vec::new();
    let mut found = Vec::new();
    for panel in 0..rig.panels().len() {
        for carrier in matching.carriers(panel) {
            let display = &displays[carrier];
            // A display that carries several panels is in one mode.
            if display.features.is_hdr == Some(true) && !seen.contains(&carrier) {
                seen.push(carrier);
                found.push(in_hdr(panel, display));
            }
        }
    }
    found
}

fn in_hdr(panel: usize, display: &Display) -> Finding {
    Finding::warning(
        Code::DisplayHdr,
        Subject::whole(Table::Panel(panel)),
        format!(
            "Display {} is driven with high dynamic range: the system converts every grey and \
             colour on its way there, so its greys, gamma and brightness can't be compared with \
             another display's. Switch HDR off for it in the system's display settings before \
             you judge `tones`.",
            name(display)
        ),
    )
}
