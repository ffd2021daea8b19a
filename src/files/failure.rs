//! Why a command could not do its work.

use std::fmt::{self, Display};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

use throughline::rig::visible;

/// One sentence for people; the process ends with exit code 2.
#[derive(Debug)]
pub(crate) struct Failure(String);

impl Failure {
    /// A failure with this sentence.
    pub(crate) fn new(text: impl Display) -> Failure {
        Failure(text.to_string())
    }

    /// A file that could not be read or written.
    pub(crate) fn file(doing: &str, path: &Path, error: &io::Error) -> Failure {
        Failure(format!("cannot {doing} {}: {error}", path.display()))
    }

    /// Says the sentence on stderr and gives the exit code.
    pub(crate) fn report(&self) -> ExitCode {
        tell(&self.0);
        ExitCode::from(2)
    }
}

/// Tells a person at the terminal. That nobody can be told is not an error.
pub(crate) fn tell(text: impl Display) {
    let text = text.to_string();
    let _ = writeln!(io::stderr(), "throughline: {}", visible(&text));
}

impl std::error::Error for Failure {}

impl Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
