//! What becomes of a run whose graphics adapter goes away, as after an update of its
//! driver or a long sleep: it is set up anew, and only what fails again and again ends it.

use std::time::{Duration, Instant};

use winit::event_loop::ActiveEventLoop;

use super::App;
use crate::files::{Failure, tell};
use crate::show::presenter::PresentError;
use crate::show::stage::Stage;

/// A driver's update takes some seconds.
const BETWEEN: Duration = Duration::from_secs(2);
const TRIES: u8 = 8;
/// After so long a loss has nothing to do with the one before.
const CALM: Duration = Duration::from_secs(60);

/// How far setting up anew has come.
#[derive(Debug, Default)]
pub(super) struct Recovery {
    has_shown: bool,
    tries: u8,
    last: Option<Instant>,
    due: Option<Instant>,
}

impl Recovery {
    /// A frame was shown: what fails from here on worked once.
    pub(super) fn shown(&mut self) {
        self.has_shown = true;
    }

    /// When it is tried next.
    pub(super) fn due(&self) -> Option<Instant> {
        self.due
    }

    /// Plans another try, where there is one left.
    fn plan(&mut self, now: Instant) -> bool {
        if self.last.is_some_and(|last| now > last + CALM) {
            self.tries = 0;
        }
        if !self.has_shown || self.tries == TRIES {
            return false;
        }
        self.tries += 1;
        self.last = Some(now);
        self.due = Some(now + BETWEEN);
        true
    }

    /// Whether it is to be tried now; from here on it counts as tried.
    fn take(&mut self, now: Instant) -> bool {
        let is_due = self.due.is_some_and(|due| due <= now);
        if is_due {
            self.due = None;
        }
        is_due
    }
}

impl App {
    /// Ends the run, unless it may go on once drawing is set up anew.
    pub(super) fn fail(&mut self, event_loop: &ActiveEventLoop, error: &PresentError) {
        let may_pass = !matches!(error, PresentError::TooLarge { .. });
        if may_pass && self.recovery.plan(Instant::now()) {
            tell(format!("{error}; drawing is set up anew"));
            self.stage.take().into_iter().for_each(Stage::close);
            return;
        }
        self.failure.get_or_insert(Failure::new(error));
        event_loop.exit();
    }

    /// Opens windows again where that is due.
    pub(super) fn recover(&mut self, event_loop: &ActiveEventLoop) {
        if self.recovery.take(Instant::now()) {
            const SAID: &str = "The graphics adapter was lost for a moment, and drawing was set \
                                up anew. No nudge is lost.";
            if !self.remarks.iter().any(|remark| remark == SAID) {
                self.remarks.push(SAID.to_owned());
            }
            self.is_laid_out = true;
            self.resumed(event_loop);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_never_worked_is_not_tried_again() {
        let mut recovery = Recovery::default();
        assert!(!recovery.plan(Instant::now()));
    }

    #[test]
    fn what_fails_again_and_again_ends() {
        let start = Instant::now();
        let mut recovery = Recovery::default();
        recovery.shown();
        let mut now = start;
        for _ in 0..TRIES {
            assert!(recovery.plan(now));
            assert!(!recovery.take(now), "the driver isn't back yet");
            now += BETWEEN;
            assert!(recovery.take(now));
            assert!(!recovery.take(now), "once");
        }
        assert!(!recovery.plan(now));
        // Another loss, an hour later, is another matter.
        assert!(recovery.plan(now + Duration::from_secs(3600)));
    }
}
