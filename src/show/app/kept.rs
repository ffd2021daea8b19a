//! What is kept as it is made, so that nothing is lost with the run.

use std::time::Instant;

use super::App;
use crate::files::tell;

impl App {
    /// Notes the nudges in the journal.
    pub(super) fn journal(&mut self) {
        match self.store.note(self.console.nudging.now()) {
            Ok(()) => self.deadlines.flush_soon(Instant::now()),
            Err(error) => self.console.say(format!(
                "these nudges can't be journalled ({error}), so save them before you quit"
            )),
        }
    }

    /// Keeps what was read.
    pub(super) fn keep_readings(&mut self) {
        self.is_picture_due = true;
        let Some((course, readings)) = self.console.readings() else {
            return;
        };
        if let Err(error) = self.readings.keep(course, readings) {
            tell(&error);
            self.console.say(error.to_string());
        }
    }
}
