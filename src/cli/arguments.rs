//! What the command line may say.

use std::path::PathBuf;

use clap::error::ErrorKind;
use clap::{Args, CommandFactory, Parser, Subcommand};
use throughline::pattern::Layers;

use super::check::Check;
use super::displays::Displays;
use super::drawn_as::DrawnAs;
use super::failure::Failure;
use super::sheet::SheetArguments;
use super::show::Show;

/// Alignment patterns and numbers for rigs of displays that don't match.
#[derive(Debug, Parser)]
#[command(version, about, max_term_width = 100)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

impl Arguments {
    /// Reads the process's arguments. Help ends the process.
    ///
    /// # Errors
    ///
    /// What is wrong with them, in one sentence that says where to read on.
    pub fn read() -> Result<Arguments, Failure> {
        Arguments::try_parse().map_err(|error| {
            let kind = error.kind();
            let is_mistake = !matches!(
                kind,
                ErrorKind::DisplayHelp
                    | ErrorKind::DisplayVersion
                    | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
            );
            if !is_mistake {
                error.exit();
            }
            let command = std::env::args_os().nth(1);
            let command = command.and_then(|name| {
                let known = Arguments::command();
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
pub enum Command {
    /// Write the alignment pattern as a PNG, without a display
    Screenshot(Screenshot),
    /// Show what the eye sees, and say where lines break at the seams
    Seat(super::seat::Seat),
    /// Put two pictures and their difference into one, with figures
    Compare(super::compare::Compare),
    /// Give the numbers to type into other programs
    Sheet(SheetArguments),
    /// List the connected displays
    Displays(Displays),
    /// Show the alignment pattern on the displays, and nudge the rig there
    Show(Show),
    /// Find what is wrong with a rig, by itself and with the connected displays
    Check(Check),
}

/// Which rig a command works on.
#[derive(Debug, Args)]
pub struct RigArguments {
    /// A rig file, or a built-in demo: rally-loft, tram-cab, ferry-bridge, night-train
    #[arg(value_name = "RIG")]
    pub rig: Option<String>,

    /// Override a value of the rig, such as seat.distance_mm=650,
    /// panel.door.tilt_deg=2 or seam.1.angle_deg=44; can be repeated
    #[arg(long = "set", value_name = "PATH=VALUE", value_parser = setting)]
    pub settings: Vec<(String, String)>,
}

/// The arguments of `screenshot`.
#[derive(Debug, Args)]
pub struct Screenshot {
    #[command(flatten)]
    pub rig: RigArguments,

    /// Where to write the picture
    #[arg(long, value_name = "PNG")]
    pub out: PathBuf,

    /// Layers to draw: grid, horizon, diagonals, ladders, rulers, labels,
    /// separated by commas; or all, or none
    #[arg(long, value_name = "LIST", default_value = "all", value_parser = Layers::parse)]
    pub layers: Layers,

    /// Also write the planes of the lines that look straight, as JSON
    #[arg(long, value_name = "JSON")]
    pub lines: Option<PathBuf>,

    /// Draw the lines as a program with one camera a screen would: flat-views
    /// with the best numbers, or flat-views:angle=47.3,distance=620,width=…,bezel=…
    #[arg(long, value_name = "MODEL", value_parser = DrawnAs::parse, conflicts_with = "lines")]
    pub drawn_as: Option<DrawnAs>,

    /// Write one panel's part of the canvas only
    #[arg(long, value_name = "NAME")]
    pub panel: Option<String>,
}

/// A path and a value with an equals sign between.
pub fn setting(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((path, value)) if !path.trim().is_empty() => {
            Ok((path.trim().to_owned(), value.trim().to_owned()))
        }
        _ => Err("expected PATH=VALUE, such as seat.distance_mm=650".to_owned()),
    }
}
