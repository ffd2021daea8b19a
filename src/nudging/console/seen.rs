//! What is to be seen of the pattern, and where more is to be read.

use super::{Console, Mode};
use crate::pattern::{LadderKind, Ladders, Layers, Slide};

impl Console {
    /// All that the picture goes by beside the rig.
    pub(super) fn seen(&self) -> (Layers, Ladders, Option<Slide>, bool) {
        let has_program = self.program().is_some();
        (self.layers(), self.ladders(), self.slide(), has_program)
    }

    /// The same, which names a page of help.
    pub fn with_manual(self, manual: Option<String>) -> Console {
        Console { manual, ..self }
    }

    /// The page of help, where there is one.
    pub fn manual(&self) -> Option<&str> {
        self.manual.as_deref()
    }

    /// The layers to be seen: a step's own in a walk.
    pub fn layers(&self) -> Layers {
        match self.mode {
            Mode::Walk(step) => step.layers(),
            Mode::Moving(moving) => moving.layers,
            _ => self.nudging.layers(),
        }
    }

    /// The ladders to be seen: the chosen value's, or else those of the seam chosen
    /// last, so that no rung is taken for another's.
    pub fn ladders(&self) -> Ladders {
        let lit = match &self.mode {
            Mode::Rungs(choice) => {
                let rung = choice.rungs.get(choice.at);
                rung.map(|rung| (choice.kind, rung.step))
            }
            _ => None,
        };
        let chosen = LadderKind::of(self.nudging.chosen());
        Ladders {
            seam: self.seam,
            kind: chosen.filter(|_| self.seam.is_some()).map(|(_, kind)| kind),
            fineness: self.fineness,
            lit,
        }
    }

    /// The line that is to be read, where there is one.
    pub fn slide(&self) -> Option<Slide> {
        match self.mode {
            Mode::Walk(step) if step.reads().is_some() => self.guided.as_ref()?.slide(),
            _ => None,
        }
    }
}
