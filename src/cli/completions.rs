//! `completions`: commands and options for a shell to complete.

use std::process::ExitCode;

use clap::Args;
use clap_complete::Shell;

use super::arguments::Arguments;
use crate::files::{Failure, print};

/// The arguments of `completions`.
#[derive(Debug, Args)]
pub(crate) struct Completions {
    /// The shell
    pub shell: Shell,
}

/// Runs the command.
pub(crate) fn completions(arguments: &Completions) -> Result<ExitCode, Failure> {
    let mut script = Vec::new();
    let mut command = Arguments::program();
    clap_complete::generate(arguments.shell, &mut command, "throughline", &mut script);
    // It is made of our own words.
    print(&String::from_utf8_lossy(&script))?;
    Ok(ExitCode::SUCCESS)
}
