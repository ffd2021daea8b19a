//! What a person at the rig is told where something isn't as the rig says.

use super::leftovers::left_to_right;
use super::{Fault, Matching, has_places};
use crate::display::Display;
use crate::rig::Rig;

/// One sentence for every fault; one for all displays that stand elsewhere, where
/// their order is that of the panels.
pub(super) fn sentences(matching: &Matching, rig: &Rig, displays: &[Display]) -> Vec<String> {
    let words = Words { rig, displays };
    let is_ordered = is_in_order(matching, displays);
    let mut texts: Vec<String> = Vec::new();
    let mut is_told = false;
    for &fault in matching.faults() {
        match fault {
            Fault::Place { .. } if is_ordered => {
                if !is_told {
                    texts.push(words.elsewhere());
                }
                is_told = true;
            }
            fault => texts.push(words.fault(fault)),
        }
    }
    texts
}

/// What the system reports of each display, and whether it is as the rig says: its mode,
/// the area of the desktop that it shows, its scale, and the window's surface on it
/// where that is known.
pub(super) fn reports(
    matching: &Matching,
    displays: &[Display],
    surfaces_px: &[Option<[u32; 2]>],
) -> Vec<String> {
    let report = |(index, display): (usize, &Display)| {
        let [w, h] = display.size_px;
        let mode = display
            .mode_px
            .map_or(String::new(), |[w, h]| format!("mode {w} x {h}, "));
        let surface = match surfaces_px.get(index).copied().flatten() {
            Some(surface) if surface == display.size_px => ", window pixel for pixel".to_owned(),
            Some([w, h]) => format!(", window {w} x {h}, so NOT pixel for pixel"),
            None => String::new(),
        };
        let is_named = |fault: &Fault| fault.display() == Some(index);
        let verdict = if display.resampled_to_px().is_some() {
            "NOT pixel for pixel"
        } else if matching.faults().iter().any(is_named) {
            "NOT as the rig says"
        } else {
            "as the rig says"
        };
        format!(
            "{}: {mode}shows {w} x {h}, scale {}{surface}: {verdict}",
            display.name, display.scale
        )
    };
    displays.iter().enumerate().map(report).collect()
}

/// Whether the panels, from left to right, are shown by displays from left to right.
fn is_in_order(matching: &Matching, displays: &[Display]) -> bool {
    let order = left_to_right(displays);
    let rank = |display: usize| order.iter().position(|&other| other == display);
    let mut last = None;
    (0..matching.carriers.len()).all(|panel| {
        let ranks = matching.carriers(panel).into_iter().map(rank);
        let (Some(first), Some(end)) = (ranks.clone().min(), ranks.max()) else {
            return true;
        };
        let follows = last <= first;
        last = end;
        follows
    })
}

struct Words<'a> {
    rig: &'a Rig,
    displays: &'a [Display],
}

impl Words<'_> {
    fn fault(&self, fault: Fault) -> String {
        match fault {
            Fault::Missing { panel } => format!(
                "{} was expected {}, but no display is left for it",
                self.panel(panel),
                self.expected_at(panel),
            ),
            Fault::Size { panel, display } => {
                let text = format!(
                    "{} was expected {}, but is shown on {}: cut or in the middle",
                    self.panel(panel),
                    self.expected_at(panel),
                    self.display(display),
                );
                text + self.cure(panel, display)
            }
            Fault::Unfilled {
                display,
                first,
                filled_px: [w, h],
                ..
            } => format!(
                "{} takes up {w} × {h} px of {}",
                self.panel(first),
                self.display(display),
            ),
            Fault::Place { panel, display, .. } => format!(
                "{} was expected {}, and is shown on {} for its size",
                self.panel(panel),
                self.expected_at(panel),
                self.display(display),
            ),
            Fault::Name { panel, display, .. } => format!(
                "{} was expected {} and is shown there, but {} bears its name",
                self.panel(panel),
                self.expected_at(panel),
                self.display(display),
            ),
            Fault::Resampled { panel, display } => {
                let [w, h] = self.displays[display].resampled_to_px().unwrap_or([0, 0]);
                format!(
                    "{} is shown on {}, which is driven with {w} × {h} px, so its picture is \
                     not pixel for pixel; set that display's own resolution, and a scale of 100 %",
                    self.panel(panel),
                    self.display(display),
                )
            }
            Fault::NothingHidden { seam } => format!(
                "the rig file says that the display driver hides {} columns between {} and {}, \
                 but the displays adjoin with none between",
                self.rig.seams()[seam].hidden_px,
                self.panel(seam),
                self.panel(seam + 1),
            ),
        }
    }

    /// What to do where a display has a panel's size turned by a quarter.
    fn cure(&self, panel: usize, display: usize) -> &'static str {
        let [w, h] = self.rig.panels()[panel].pixels;
        if w != h && self.displays[display].size_px == [h, w] {
            "; rotate it in the display settings, or swap the panel's `pixels` in the rig file"
        } else {
            ""
        }
    }

    /// What to say where the order matches and the places don't.
    fn elsewhere(&self) -> String {
        let order = left_to_right(self.displays).into_iter();
        let found: Vec<String> = order.map(|display| self.display(display)).collect();
        let panels = 0..self.rig.panels().len();
        let wanted: Vec<String> = panels
            .map(|panel| format!("{} {}", self.panel(panel), self.place(panel)))
            .collect();
        let has_desktop = self.rig.panels().iter().all(|p| p.desktop_px.is_some());
        let stand = if has_desktop {
            "stand elsewhere in the virtual desktop than `desktop_px` says"
        } else {
            "don't stand in a row with their middle rows in line, as panels without `desktop_px` do"
        };
        format!(
            "the displays {stand}, and are matched by size and order: expected {}; found {}",
            wanted.join(", "),
            found.join(", ")
        )
    }

    fn panel(&self, panel: usize) -> String {
        let panel = &self.rig.panels()[panel];
        let [w, h] = panel.pixels;
        format!("panel \"{}\" ({w} × {h} px)", panel.name)
    }

    fn expected_at(&self, panel: usize) -> String {
        match self.rig.panels()[panel].desktop_px {
            Some(_) => self.place(panel),
            None => format!("as number {} from the left", panel + 1),
        }
    }

    /// A panel's place on the desktop as the rig file has it.
    fn place(&self, panel: usize) -> String {
        let canvas = self.rig.canvas().panels[panel];
        match self.rig.panels()[panel].desktop_px {
            Some([x, y]) => format!("at {x}, {y}"),
            None => format!("at {}, {}", canvas.x, canvas.y),
        }
    }

    fn display(&self, display: usize) -> String {
        let Display {
            name,
            position_px: [x, y],
            size_px: [w, h],
            ..
        } = &self.displays[display];
        let at = if has_places(self.displays) {
            format!(" at {x}, {y}")
        } else {
            String::new()
        };
        format!("display \"{name}\" ({w} × {h} px{at})")
    }
}
