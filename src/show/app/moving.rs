//! Frames of what moves: which is current, and whether it is drawn.

use std::time::Instant;

use throughline::nudging::Console;
use throughline::pattern::{Choices, Motion};
use throughline::staging::Beat;

use super::App;

/// What is chosen of the pattern at a frame of the sweep; at the first one where there
/// is none.
pub(super) fn choices(console: &Console, sweep: Option<&Sweep>) -> Choices {
    Choices {
        ladders: console.ladders(),
        motion: Motion {
            frame: sweep.map_or(0, |sweep| sweep.frame),
            speed_deg_s: console.speed_deg_s(),
        },
        slide: console.slide(),
    }
}

/// A sweep that goes on, frame by frame.
#[derive(Debug)]
pub(super) struct Sweep {
    beat: Beat,
    speed_deg_s: f64,
    frame: u32,
    is_due: bool,
}

impl Sweep {
    /// Goes to the frame that is current, and gives whether it is another.
    pub(super) fn goes_on(&mut self, now: Instant) -> bool {
        let frame = self.beat.tick(now);
        let is_other = frame != self.frame;
        self.frame = frame;
        self.is_due |= is_other;
        is_other
    }

    /// Whether its frame isn't drawn yet; from here on it counts as drawn.
    pub(super) fn take(&mut self) -> bool {
        std::mem::take(&mut self.is_due)
    }

    /// When the next frame begins.
    pub(super) fn next_at(&self, now: Instant) -> Instant {
        self.beat.next_at(now)
    }
}

impl App {
    /// Begins a sweep, or ends it, as the console has it. At another speed it begins
    /// anew: bars that leapt with every key could flash.
    pub(super) fn follow_sweep(&mut self) {
        let wanted = self.console.sweeping_deg_s();
        if self.sweep.as_ref().map(|sweep| sweep.speed_deg_s) == wanted {
            return;
        }
        self.sweep = wanted.map(|speed_deg_s| Sweep {
            beat: Beat::new(
                Instant::now(),
                Motion::clock_hz(self.console.nudging.shown()),
            ),
            speed_deg_s,
            frame: 0,
            is_due: true,
        });
        self.is_picture_due = true;
        self.set_pace();
    }

    /// Has every window show frames as it must while a sweep goes on, or ends.
    pub(super) fn set_pace(&mut self) {
        let is_moving = self.sweep.is_some();
        for pane in self.stage.iter_mut().flat_map(|stage| &mut stage.panes) {
            pane.presenter.set_moving(is_moving);
        }
    }
}
