//! What the command line may say.

use std::io::Write;

use clap::error::ErrorKind;
use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use super::check::Check;
use super::compare::Compare;
use super::completions::Completions;
#[cfg(feature = "desktop")]
use super::displays::Displays;
use super::examples::with_examples;
use super::frames::FramesArguments;
use super::manual::Manual;
use super::measure::MeasureArguments;
use super::place::PlaceArguments;
use super::screenshot::Screenshot;
use super::seat::Seat;
use super::sheet::SheetArguments;
#[cfg(feature = "desktop")]
use super::show::Show;
use super::solve::Solve;
use crate::files::{Failure, to_stdout};

/// Alignment patterns and numbers for rigs of displays that don't match.
#[derive(Debug, Parser)]
#[command(version, about, max_term_width = 100)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

impl Arguments {
    /// The command line: what help, completions and manual are made of.
    pub(super) fn program() -> clap::Command {
        with_examples(Arguments::command())
    }

    /// Reads the process's arguments. Help ends the process.
    ///
    /// # Errors
    ///
    /// What is wrong with them, in one sentence that says where to read on.
    pub(crate) fn read() -> Result<Arguments, Failure> {
        let matches = Arguments::program().try_get_matches();
        let read = matches.and_then(|found| Arguments::from_arg_matches(&found));
        read.map_err(|error| {
            let kind = error.kind();
            let is_mistake = !matches!(
                kind,
                ErrorKind::DisplayHelp
                    | ErrorKind::DisplayVersion
                    | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
            );
            if !is_mistake {
                return match help(&error) {
                    Ok(()) => std::process::exit(error.exit_code()),
                    Err(failure) => failure,
                };
            }
            let command = std::env::args_os().nth(1);
            let command = command.and_then(|name| {
                let known = Arguments::program();
                Some(format!("{} ", known.find_subcommand(name)?.get_name()))
            });
            Failure::new(format!(
                "{} (see `throughline {}--help`)",
                sentence(&error.to_string()),
                command.unwrap_or_default()
            ))
        })
    }
}

/// Prints the help, or the version, and makes sure that it got through.
fn help(error: &clap::Error) -> Result<(), Failure> {
    let printed = error.print().and_then(|()| std::io::stdout().flush());
    to_stdout(printed)
}

/// The library's several lines without its heading, its usage and its closing
/// words, as one.
fn sentence(text: &str) -> String {
    let text = text.strip_prefix("error: ").unwrap_or(text);
    let paragraphs = text.split("\n\n").take_while(|paragraph| {
        !["Usage: ", "For more information"]
            .iter()
            .any(|end| paragraph.starts_with(end))
    });
    let paragraphs = paragraphs.map(|paragraph| {
        let words: Vec<&str> = paragraph.split_whitespace().collect();
        let line = words.join(" ");
        line.strip_prefix("tip: ").unwrap_or(&line).to_owned()
    });
    paragraphs.collect::<Vec<_>>().join("; ")
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Write the alignment pattern as a PNG, without a display
    Screenshot(Screenshot),
    /// Show what the eye sees, and say where lines break at the seams
    Seat(Seat),
    /// Put two pictures and their difference into one, with figures
    Compare(Compare),
    /// Give the numbers to type into other programs
    Sheet(SheetArguments),
    /// Find the window, the numbers and the places that make one camera a screen come true
    Place(PlaceArguments),
    /// List the connected displays
    #[cfg(feature = "desktop")]
    Displays(Displays),
    /// Show the alignment pattern on the displays, and nudge the rig there
    #[cfg(feature = "desktop")]
    Show(Show),
    /// Find how the rig stands from what was read at its seams
    Solve(Solve),
    /// Find how the rig stands from a few photographs of its marks
    Measure(MeasureArguments),
    /// Read from a photograph which frames the displays at a seam showed
    Frames(FramesArguments),
    /// Find what is wrong with a rig, by itself and with the connected displays
    Check(Check),
    /// Write what a shell needs to complete the commands and options
    Completions(Completions),
    /// Write a page of the manual, for man
    Manual(Manual),
}
