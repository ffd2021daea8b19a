//! The checked [`Rig`].

use super::{check, turns, window};
use crate::geometry::{Layout, View};
use crate::parts::{Canvas, Flaw, Panel, Parts, Seam, Seat, ViewId, Window};

/// A checked rig.
///
/// # Guarantees
///
/// Every number is finite and in its documented range, names are unique,
/// there is one seam fewer than panels, desktop rectangles do not overlap,
/// the canvas is within [`Canvas::MAX_SIDE_PX`] and [`Canvas::MAX_AREA_PX`], a
/// window shows something on every panel, which carries at least one of its columns, and
/// every point of every lit surface faces the eye.
#[derive(Debug, Clone, PartialEq)]
pub struct Rig {
    parts: Parts,
    canvas: Canvas,
    layout: Layout,
}

impl Rig {
    /// Checks the parts, and lays out their canvas and their surfaces.
    ///
    /// # Errors
    ///
    /// The first [`Flaw`] found: names, panels, seams and the seat in turn,
    /// then the canvas, the window, then whether every panel faces the eye.
    pub fn new(parts: Parts) -> Result<Self, Flaw> {
        check::parts(&parts)?;
        let canvas = Canvas::new(&parts)?;
        window::check(&parts, &canvas)?;
        let layout = Layout::facing(&parts).map_err(|flaw| turns::explained(&parts, flaw))?;
        Ok(Self {
            parts,
            canvas,
            layout,
        })
    }

    /// The layout of the rig with another seam in a seam's place, which hides as many
    /// columns; `None` where that would be no rig.
    pub(crate) fn relaid(&self, seam: usize, other: Seam) -> Option<Layout> {
        let mut parts = self.parts.clone();
        let hidden_px = parts.seams[seam].hidden_px;
        parts.seams[seam] = Seam { hidden_px, ..other };
        // All else that is checked has nothing to do with how a seam runs.
        check::seams(&parts).ok()?;
        Layout::facing(&parts).ok()
    }

    /// The rig's parts.
    pub fn parts(&self) -> &Parts {
        &self.parts
    }

    /// Gives the parts back, to change and check anew.
    pub fn into_parts(self) -> Parts {
        self.parts
    }

    /// The picture over the whole span.
    pub fn canvas(&self) -> &Canvas {
        &self.canvas
    }

    /// Every lit surface in the seat frame.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// Every view of every panel, from left to right.
    pub fn views(&self) -> Vec<View> {
        self.layout.views(&self.parts)
    }

    /// A view as the rig file names it, `panel/2`; a panel's only view goes by the
    /// panel's name.
    pub fn view_name(&self, id: ViewId) -> String {
        let panel = &self.panels()[id.panel];
        if panel.views == 1 {
            panel.name.clone()
        } else {
            format!("{}/{}", panel.name, id.view + 1)
        }
    }

    /// The view of that name: as [`Rig::view_name`] has it, or with its number where
    /// it is its panel's only one.
    pub fn view_named(&self, name: &str) -> Option<View> {
        let numbered = |id: ViewId| format!("{}/{}", self.panels()[id.panel].name, id.view + 1);
        (self.views().into_iter())
            .find(|view| self.view_name(view.id) == name || numbered(view.id) == name)
    }

    /// The panels, from left to right.
    pub fn panels(&self) -> &[Panel] {
        &self.parts.panels
    }

    /// The seams, from left to right: one fewer than panels.
    pub fn seams(&self) -> &[Seam] {
        &self.parts.seams
    }

    /// The window that the rig's program draws into, where it isn't the whole canvas.
    pub fn window(&self) -> Option<&Window> {
        self.parts.window.as_ref()
    }

    /// Where the eye is.
    pub fn seat(&self) -> &Seat {
        &self.parts.seat
    }

    /// What the owner calls the rig.
    pub fn name(&self) -> &str {
        &self.parts.name
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::Turn;
    use crate::rig::{demos, read};

    #[test]
    fn a_seam_that_is_laid_anew_makes_the_layout_of_a_rig_that_has_it() {
        let (mut rigs, mut none) = (0, 0);
        for demo in demos() {
            let rig = read(demo.text, "test", &[]).expect("a sound rig");
            for (seam, own) in rig.seams().iter().enumerate() {
                let turns = [-190.0, -40.0, 0.0, 40.0, 100.0].map(Turn::AngleDeg);
                let folds = [-190.0, 20.0, 90.0].map(Turn::FoldDeg);
                for turn in turns.into_iter().chain(folds).chain([own.turn]) {
                    for [gap_mm, rise_mm] in [[own.gap_mm, 0.0], [-900.0, 40.0], [3.0, 1e9]] {
                        let other = Seam {
                            turn,
                            gap_mm,
                            rise_mm,
                            ..*own
                        };
                        let mut parts = rig.parts().clone();
                        parts.seams[seam] = other;
                        let anew = Rig::new(parts).ok().map(|rig| rig.layout);
                        rigs += usize::from(anew.is_some());
                        none += usize::from(anew.is_none());
                        // What it hides is not what is asked about.
                        let hidden_px = own.hidden_px + 7;
                        let relaid = rig.relaid(seam, Seam { hidden_px, ..other });
                        assert_eq!(relaid, anew, "{}", demo.text);
                    }
                }
            }
        }
        assert!(rigs > 20 && none > 20, "{rigs} {none}");
    }
}
