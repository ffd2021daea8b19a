//! What moves: started after a caution, stopped by any key but those of its speed.

use super::{Console, Mode, Moving, Request};
use crate::nudging::walk::Step;
use crate::pattern::{Layer, Layers, Motion};

impl Console {
    /// Starts what moves, beside other layers: somebody asked for it and was cautioned.
    pub fn start_moving(&mut self, beside: Layers) {
        let walk = match self.mode {
            Mode::Walk(step) => Some(step),
            _ => None,
        };
        self.mode = Mode::Moving(Moving {
            layers: beside.with(Layer::Motion),
            walk,
        });
    }

    /// How fast bars sweep now, in degrees a second as asked for; `None` where they
    /// don't.
    pub fn sweeping_deg_s(&self) -> Option<f64> {
        matches!(self.mode, Mode::Moving(_)).then_some(self.speed_deg_s)
    }

    /// The speed that is asked for, in degrees a second, whether bars sweep or not.
    pub fn speed_deg_s(&self) -> f64 {
        self.speed_deg_s
    }

    /// A key without a meaning: it stops what moves.
    pub(super) fn obey_none(&mut self) -> Option<Request> {
        let Mode::Moving(Moving { walk, .. }) = self.mode else {
            return None;
        };
        self.message = None;
        self.is_answer = false;
        self.stop_moving(walk);
        Some(Request::Ladders)
    }

    pub(super) fn stop_moving(&mut self, walk: Option<Step>) {
        self.mode = walk.map_or(Mode::Nudge, Mode::Walk);
        self.message = Some(
            if walk.is_some() {
                "stopped; M starts them again, Enter goes on"
            } else {
                "stopped; M starts them again"
            }
            .to_owned(),
        );
    }

    /// Another speed of the bars, by so many degrees a second, as far as the rig takes it.
    pub(super) fn change_speed(&mut self, by_deg_s: f64) -> Option<Request> {
        let motion = Motion {
            frame: 0,
            speed_deg_s: self.speed_deg_s + by_deg_s,
        };
        self.speed_deg_s = motion.speed_on(self.nudging.now());
        Some(Request::Words)
    }
}
