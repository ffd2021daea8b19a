//! `solve`: readings at the seams to the rig as it stands.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use throughline::readings::Readings;
use throughline::rig::{self, Rig, with_values_of};
use throughline::solve::{Measured, Priors, solve as solved};

use super::answer::{Answer, answer};
use super::rig_source::setting;
use super::solve_report::Report;
use crate::files::{Failure, Files, Source, readings_text, tell};

/// The arguments of `solve`.
#[derive(Debug, Args)]
pub(crate) struct Solve {
    /// The rig file that the readings were taken on, or a built-in demo: rally-loft,
    /// tram-cab, ferry-bridge, night-train
    #[arg(value_name = "RIG")]
    rig: PathBuf,

    /// The readings, as `show` writes them beside the rig: JSON
    #[arg(value_name = "READINGS")]
    readings: PathBuf,

    /// Override a value of the rig, such as seat.distance_mm=650; can be repeated
    #[arg(long = "set", value_name = "PATH=VALUE", value_parser = setting)]
    settings: Vec<(String, String)>,

    /// Start from the numbers that the readings were taken on, where RIG has others
    #[arg(long)]
    as_read: bool,

    /// What was measured before, as `measure --json` or `solve --json` wrote it, to go
    /// by instead of what a rig file is usually off by
    #[arg(long, value_name = "FILE")]
    measured: Option<PathBuf>,

    /// Give the result as JSON on stdout
    #[arg(long)]
    json: bool,

    /// Write RIG's text with the solved numbers in place of its own
    #[arg(long, value_name = "RIG2")]
    out: Option<PathBuf>,
}

/// Runs the command.
pub(crate) fn solve(arguments: &Solve) -> Result<ExitCode, Failure> {
    let mut files = Files::new();
    let out = match &arguments.out {
        Some(path) => Some(files.output(path)?),
        None => None,
    };
    let source = Source::named(&arguments.rig, &mut files)?;
    let rig = rig::read(&source.text, &source.name, &arguments.settings).map_err(Failure::new)?;
    let name = arguments.readings.display().to_string();
    let text = readings_text(&arguments.readings, &mut files)?;
    let readings = Readings::read(&text, &name).map_err(Failure::new)?;
    let rig = as_read(rig, &readings, arguments, &name)?;
    readings.fit(&rig, &name).map_err(Failure::new)?;

    let mut priors = Priors::new(&rig, &readings.priors);
    if let Some(path) = &arguments.measured {
        let text = readings_text(path, &mut files)?;
        let measured = Measured::read(&text, &path.display().to_string());
        priors = priors.measured(&measured.map_err(Failure::new)?);
    }
    let estimate = solved(&rig, &readings.readings, &priors);
    let file = match &out {
        Some(output) => Some((output, corrected(&source, estimate.rig())?)),
        None => None,
    };
    let report = Report::new(&rig, &readings, &priors, &estimate);
    let text = if arguments.json {
        Answer::Json(report.json())
    } else {
        Answer::Words(report.words())
    };
    answer(file, &text)
}

/// The rig with the numbers that the readings were taken on.
fn as_read(rig: Rig, readings: &Readings, given: &Solve, name: &str) -> Result<Rig, Failure> {
    if readings.rig != rig.name() {
        tell(format!(
            "{name} was read on a rig called \"{}\", this one is called \"{}\"",
            readings.rig,
            rig.name()
        ));
    }
    match readings.difference(&rig) {
        None => Ok(rig),
        Some(_) if given.as_read => readings
            .rig_as_read(&rig)
            .map_err(|flaw| Failure::new(format!("{name}: {flaw}"))),
        Some(difference) => Err(Failure::new(format!("{name}: {difference}"))),
    }
}

/// The rig file's text with the solved numbers, as finely as they are worth writing.
fn corrected(source: &Source, solved: &Rig) -> Result<String, Failure> {
    let said = rig::read(&source.text, &source.name, &[]).map_err(Failure::new)?;
    let failed = |why: String| Failure::new(format!("{}: {why}", source.name));
    let rig = throughline::solve::for_file(solved, &said).map_err(failed)?;
    with_values_of(&source.text, &rig).map_err(|error| failed(error.to_string()))
}
