//! The command line.

use std::process::ExitCode;

mod cli;

fn main() -> ExitCode {
    let outcome = match cli::Arguments::read().command {
        cli::Command::Screenshot(arguments) => cli::screenshot(&arguments),
        cli::Command::Seat(arguments) => cli::seat(&arguments),
        cli::Command::Compare(arguments) => cli::compare(&arguments),
        cli::Command::Sheet(arguments) => cli::sheet(&arguments),
    };
    match outcome {
        Ok(code) => code,
        Err(failure) => failure.report(),
    }
}
