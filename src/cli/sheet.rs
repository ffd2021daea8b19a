//! `sheet`: the numbers to type elsewhere.

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, ValueEnum};
use throughline::fit::Free;
use throughline::sheet::{Sheet, Units};

use super::arguments::RigArguments;
use super::failure::Failure;
use super::{rig_source, sheet_json};

/// The arguments of `sheet`.
#[derive(Debug, Args)]
pub struct SheetArguments {
    #[command(flatten)]
    pub rig: RigArguments,

    /// Write the numbers as JSON, lengths in millimetres
    #[arg(long)]
    pub json: bool,

    /// What the flat views' fit may move: angle, distance, width, bezel,
    /// separated by commas; the rest keeps the rig's own value
    #[arg(long, value_name = "LIST", default_value = "angle,distance")]
    pub free: String,

    /// Unit of the page's lengths
    #[arg(long, value_name = "UNIT", value_enum, default_value_t = UnitName::Mm)]
    pub units: UnitName,

    /// Add the reason for each number to the page
    #[arg(long)]
    pub explain: bool,

    /// Also draw the rig to scale, from above and from the side, for A4 paper;
    /// the name ends in .svg or .png
    #[arg(long, value_name = "SVG|PNG")]
    pub plan: Option<PathBuf>,
}

/// Units as the command line calls them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitName {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

/// Runs the command.
pub fn sheet(arguments: &SheetArguments) -> Result<ExitCode, Failure> {
    let free = Free::parse(&arguments.free).map_err(Failure::new)?;
    let units = match arguments.units {
        UnitName::Mm => Units::Millimetres,
        UnitName::In => Units::Inches,
    };
    let rig = rig_source::load(&arguments.rig)?;
    let sheet = Sheet::of(&rig, free);
    let text = if arguments.json {
        sheet_json::text(&sheet)
    } else {
        sheet.page(units, arguments.explain)
    };
    match io::stdout().lock().write_all(text.as_bytes()) {
        // Whoever reads has seen enough.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(ExitCode::SUCCESS),
        Err(error) => Err(Failure::new(format!("cannot write the sheet: {error}"))),
        Ok(()) => Ok(ExitCode::SUCCESS),
    }
}
