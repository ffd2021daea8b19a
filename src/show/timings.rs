//! Figures for whoever works on the program, where the environment asks for them.

use std::io::{self, Write};
use std::time::Instant;

use throughline::refresh::Presents;

/// Asks for the figures, on stderr.
const VARIABLE: &str = "THROUGHLINE_TIMINGS";

/// What was measured since the last frame.
pub(super) struct Timings {
    is_wanted: bool,
    is_first: bool,
    nudged: Option<Instant>,
    uploaded: u64,
    presents: Presents,
}

impl Timings {
    /// Nothing measured yet.
    pub(super) fn new() -> Timings {
        Timings {
            is_wanted: are_wanted(),
            is_first: true,
            nudged: None,
            uploaded: 0,
            presents: Presents::default(),
        }
    }

    /// The picture is to change from here on.
    pub(super) fn changed(&mut self) {
        self.nudged.get_or_insert(Instant::now());
    }

    /// So many bytes went to the adapter.
    pub(super) fn uploaded(&mut self, bytes: u64) {
        self.uploaded += bytes;
    }

    /// A frame was presented in a window by a program that started then.
    pub(super) fn presented(&mut self, window: usize, started: Instant) {
        self.presents.note(window, started.elapsed().as_secs_f64());
        let bytes = std::mem::take(&mut self.uploaded);
        let nudged = self.nudged.take();
        let is_first = std::mem::take(&mut self.is_first);
        let (what, since) = match nudged {
            _ if is_first => ("first frame", started),
            Some(nudged) => ("change presented", nudged),
            None => return,
        };
        if self.is_wanted {
            let ms = since.elapsed().as_secs_f64() * 1000.0;
            tell(&format!("{what} after {ms:.1} ms, {bytes} bytes uploaded"));
        }
    }

    /// Everything that was presented.
    pub(super) fn into_presents(self) -> Presents {
        self.presents
    }
}

/// Something was made that is to be shared: of which kind, and for what.
pub(super) fn made(kind: &str, whose: &str) {
    if are_wanted() {
        tell(&format!("{kind} made: {whose}"));
    }
}

fn are_wanted() -> bool {
    std::env::var_os(VARIABLE).is_some()
}

fn tell(line: &str) {
    // Nobody need be there to read it.
    let _ = writeln!(io::stderr(), "{line}");
}
