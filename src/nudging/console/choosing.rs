//! Choosing at the glass: a rung of a ladder, a panel's size, a step of the walk.

use super::{Console, Mode, Request, RungChoice};
use crate::nudging::nudge::Act;
use crate::nudging::walk::Step;
use crate::pattern::{DrawnLadder, LadderKind, Layer, drawn_ladder};
use crate::rig::{Measure, PanelQuantity};

impl Console {
    /// Opens the list of the chosen value's rungs, as they are on the glass.
    pub(super) fn open_rungs(&mut self) -> Option<Request> {
        let Some((seam, kind)) = LadderKind::of(self.nudging.chosen()) else {
            self.message = Some(
                "choose a seam's fold, gap or rise first: Home and End, then Left and Right"
                    .to_owned(),
            );
            return Some(Request::Words);
        };
        if !self.nudging.layers().has(Layer::Ladders) {
            self.message = Some("the ladders are off: 4 shows them".to_owned());
            return Some(Request::Words);
        }
        // What is on the glass must be what is listed.
        let was_flipped = self.nudging.is_flipped();
        if was_flipped {
            self.nudging.act(Act::Flip);
        }
        let ladder = drawn_ladder(self.nudging.now(), seam, kind, self.fineness);
        let DrawnLadder { rungs, span_rad } = ladder;
        let Some(at) = rungs.iter().position(|rung| rung.step == 0) else {
            self.mode = Mode::Nudge;
            self.message =
                Some("this ladder has no rungs here: nudge the value instead".to_owned());
            return Some(if was_flipped {
                Request::Picture
            } else {
                Request::Words
            });
        };
        self.mode = Mode::Rungs(RungChoice {
            seam,
            kind,
            rungs,
            at,
            span_rad,
        });
        Some(if was_flipped {
            Request::Picture
        } else {
            Request::Words
        })
    }

    /// Goes to a step of the walk, or, where there is nothing to do in it, to the next in
    /// the same direction: without seams there are no greys to compare and no lines to
    /// read.
    pub(super) fn walk_to(&mut self, step: Step, by: isize) {
        let has_seams = !self.nudging.now().seams().is_empty();
        let must_begin = step.reads().is_some() && has_seams && self.readings_here().is_none();
        let mut step = if must_begin { Step::Head } else { step };
        while !self.enter(step) {
            match step.onward(by) {
                Some(next) => step = next,
                None => return,
            }
        }
        self.walk_at = step;
    }

    fn enter(&mut self, step: Step) -> bool {
        let has_seams = !self.nudging.now().seams().is_empty();
        let reads = step.reads().is_some();
        if (reads || matches!(step, Step::Tones | Step::Head)) && !has_seams {
            return false;
        }
        if self.nudging.is_flipped() {
            self.nudging.act(Act::Flip);
        }
        if reads && !self.enter_readings(step) {
            return false;
        }
        self.mode = Mode::Walk(step);
        let facing = self.nudging.now().seat().view.panel;
        match step {
            Step::Sizes => self.choose_size_of(facing),
            Step::Level => {
                let roll = PanelQuantity::Roll;
                self.nudging.choose(Measure::Panel(facing, roll));
            }
            Step::Whole => self.sum_up(),
            _ => {}
        }
        true
    }

    pub(super) fn leave_walk(&mut self, message: &str) {
        self.mode = Mode::Nudge;
        self.message = Some(message.to_owned());
    }

    /// The size of the panel so many further on.
    pub(super) fn choose_size(&mut self, by: isize) {
        let count = self.nudging.now().panels().len();
        let now = match self.nudging.chosen() {
            Measure::Panel(panel, _) => panel,
            _ => self.nudging.now().seat().view.panel,
        };
        let next = (now.cast_signed() + by).rem_euclid(count.cast_signed());
        self.choose_size_of(next.cast_unsigned());
    }

    /// The first of a panel's sizes that it is told by.
    fn choose_size_of(&mut self, panel: usize) {
        if let Some(&first) = self.sizes_of(panel).first() {
            self.nudging.choose(first);
        }
    }

    /// The other one of the chosen panel's sizes, where there are two.
    pub(super) fn choose_other_size(&mut self) {
        let chosen = self.nudging.chosen();
        let Measure::Panel(panel, _) = chosen else {
            return;
        };
        let sizes = self.sizes_of(panel);
        if let Some(&other) = sizes.iter().find(|size| **size != chosen) {
            self.nudging.choose(other);
        }
    }

    fn sizes_of(&self, panel: usize) -> Vec<Measure> {
        let parts = self.nudging.now().parts();
        let sizes = [
            PanelQuantity::Diagonal,
            PanelQuantity::Width,
            PanelQuantity::Height,
        ];
        let sizes = sizes.map(|size| Measure::Panel(panel, size)).into_iter();
        sizes.filter(|size| size.get(parts).is_some()).collect()
    }
}
