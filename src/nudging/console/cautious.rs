//! What can disturb people: shown after a caution.

use super::{Caution, Console, Mode, Request};
use crate::nudging::keys::Wish;
use crate::nudging::nudge::Act;
use crate::pattern::{Layer, Layers};

impl Console {
    /// Asks before something is shown.
    pub(super) fn caution(&mut self, caution: Caution) -> Option<Request> {
        self.mode = Mode::Caution(caution);
        Some(Request::Words)
    }

    /// Shows it where somebody agreed; any other key leaves it.
    pub(super) fn answer_caution(&mut self, caution: Caution, wish: Wish) -> Option<Request> {
        self.mode = Mode::Nudge;
        match caution {
            _ if wish != Wish::Accept => {}
            Caution::Motion => self.start_moving(Layers::NONE),
            Caution::Marks => {
                self.nudging.act(Act::Toggle(Layer::Marks));
                self.message = Some(
                    "marks for photographs; O takes this box away, and 0 the marks".to_owned(),
                );
            }
        }
        Some(Request::Words)
    }

    /// Takes the marks away, or asks before they are shown.
    pub(super) fn marks(&mut self) -> Option<Request> {
        self.mode = Mode::Nudge;
        if !self.nudging.layers().has(Layer::Marks) {
            return self.caution(Caution::Marks);
        }
        self.nudging.act(Act::Toggle(Layer::Marks));
        Some(Request::Words)
    }
}
