//! The command line.

use std::process::ExitCode;

mod cli;
mod desktop;
mod files;
mod quiet;
#[cfg(feature = "desktop")]
mod show;
mod threads;

fn main() -> ExitCode {
    threads::make_do();
    let arguments = match cli::Arguments::read() {
        Ok(arguments) => arguments,
        Err(failure) => return failure.report(),
    };
    let outcome = match arguments.command {
        cli::Command::Screenshot(arguments) => cli::screenshot(&arguments),
        #[cfg(feature = "desktop")]
        cli::Command::Show(arguments) => cli::show(&arguments),
        cli::Command::Seat(arguments) => cli::seat(&arguments),
        cli::Command::Compare(arguments) => cli::compare(&arguments),
        cli::Command::Sheet(arguments) => cli::sheet(&arguments),
        cli::Command::Place(arguments) => cli::place(&arguments),
        #[cfg(feature = "desktop")]
        cli::Command::Displays(arguments) => cli::displays(&arguments),
        cli::Command::Solve(arguments) => cli::solve(&arguments),
        cli::Command::Measure(arguments) => cli::measure(&arguments),
        cli::Command::Frames(arguments) => cli::frames(&arguments),
        cli::Command::Check(arguments) => cli::check(&arguments),
        cli::Command::Completions(arguments) => cli::completions(&arguments),
        cli::Command::Manual(arguments) => cli::manual(&arguments),
    };
    match outcome {
        Ok(code) => code,
        Err(failure) => failure.report(),
    }
}
