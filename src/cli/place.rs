//! `place`: which window, numbers and places make one camera a screen come true.

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Instant;

use clap::{Args, ValueEnum};
use throughline::fit::Free;
use throughline::place::{self, Moves, Stage, WindowKind, Wishes};
use throughline::rig;

use super::place_json;
use super::rig_source::{self, RigArguments};
use crate::files::{Aside, Failure, Files, print, print_words, tell};

/// The arguments of `place`.
#[derive(Debug, Args)]
pub(crate) struct PlaceArguments {
    #[command(flatten)]
    rig: RigArguments,

    /// Which window: inside all panels' rows; hanging over their edges, which some systems
    /// allow; or fixed, the whole canvas as it is
    #[arg(long, value_name = "KIND", value_enum)]
    window: Option<KindName>,

    /// How many of the window's equal columns each panel carries, from left to right
    #[arg(long, value_name = "N,N,…", value_delimiter = ',')]
    columns: Option<Vec<u32>>,

    /// Where the cuts between columns may be: at the seams, so that panels carry whole
    /// columns, or anywhere
    #[arg(long, value_name = "WHERE", value_enum)]
    cuts: Option<CutsName>,

    /// Which column is straight ahead in the program, from 1 at the left; the middle if
    /// left out
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    ahead: Option<u32>,

    /// What may be moved: paths such as seat.distance_mm,seam.1.fold_deg; or seat, seams,
    /// rises, all, none
    #[arg(long = "move", value_name = "LIST")]
    moves: Option<String>,

    /// Share of the span seen today that must stay
    #[arg(long, value_name = "SHARE", default_value = "0.95", value_parser = share, allow_hyphen_values = true)]
    keep_span: f64,

    /// How much the largest jump at a seam counts beside the rms
    #[arg(long, value_name = "W", default_value = "0", value_parser = weight, allow_hyphen_values = true)]
    jump_weight: f64,

    /// The numbers that are typed: angle, distance, width, bezel, separated by commas; the
    /// rest keeps the rig's own value
    #[arg(long, value_name = "LIST", default_value = "angle,distance")]
    free: String,

    /// Write the plans as JSON
    #[arg(long)]
    json: bool,

    /// Also write the rig as planned: as the first usable plan has it, or else the best
    #[arg(long, value_name = "RIG2")]
    out: Option<PathBuf>,
}

/// Windows as the command line calls them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum KindName {
    /// Inside all panels' rows
    Inside,
    /// Hanging over their upper and lower edges
    Hanging,
    /// The whole canvas
    Fixed,
}

/// Places of cuts as the command line calls them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum CutsName {
    /// At the seams
    Seams,
    /// Anywhere
    Any,
}

fn share(text: &str) -> Result<f64, String> {
    let share = text.parse::<f64>().ok();
    share
        .filter(|share| (0.05..=1.0).contains(share))
        .ok_or_else(|| "expected a share of the span, from 0.05 to 1".to_owned())
}

fn weight(text: &str) -> Result<f64, String> {
    let weight = text.parse::<f64>().ok();
    weight
        .filter(|weight| (0.0..=100.0).contains(weight))
        .ok_or_else(|| "expected a weight from 0 to 100".to_owned())
}

/// Runs the command.
pub(crate) fn place(arguments: &PlaceArguments) -> Result<ExitCode, Failure> {
    let started = Instant::now();
    let free = arguments.free.parse::<Free>().map_err(Failure::new)?;
    let mut files = Files::new();
    let out = match &arguments.out {
        Some(path) => Some(files.output(path)?),
        None => None,
    };
    let source = rig_source::source(&arguments.rig, &mut files)?;
    let settings = &arguments.rig.settings;
    let rig = rig::read(&source.text, &source.name, settings).map_err(Failure::new)?;
    let moves = match &arguments.moves {
        Some(list) => Moves::parse(list, rig.parts()).map_err(Failure::new)?,
        None => Moves::Open,
    };
    let wishes = Wishes {
        window: arguments.window.map(|kind| match kind {
            KindName::Inside => WindowKind::Inside,
            KindName::Hanging => WindowKind::Hanging,
            KindName::Fixed => WindowKind::Fixed,
        }),
        columns: arguments.columns.clone(),
        are_cuts_anywhere: arguments.cuts == Some(CutsName::Any),
        ahead: arguments.ahead,
        moves,
        keep_span: arguments.keep_span,
        jump_weight: arguments.jump_weight,
        free,
    };
    let begin = |stage: Stage| {
        if started.elapsed().as_secs_f64() > 1.0 {
            tell(match stage {
                Stage::Windows => "looking at windows",
                Stage::Moves => "looking at what could be moved beside the window",
                Stage::MovesWithoutWindow => "looking at what could be moved without a window",
            });
        }
    };
    let plans = place::plans(&rig, &wishes, &begin).map_err(Failure::new)?;
    let planned = match (&out, plans.advised()) {
        (Some(out), Some(plan)) => {
            let text = place::written(&source.text, &rig, plan);
            tell(format!(
                "{} gets the plan \"{}\"",
                out.path().display(),
                plan.name
            ));
            Some(Aside::write(out, |out| out.write_all(text.as_bytes()))?)
        }
        (Some(_), None) => {
            return Err(Failure::new(
                "there is no plan to write: nothing that was looked at is better than what stands",
            ));
        }
        (None, _) => None,
    };
    if arguments.json {
        print(&place_json::text(&plans))?;
    } else {
        print_words(&place::words(&rig, &plans))?;
    }
    if let Some(planned) = planned {
        planned.put_in_place()?;
    }
    Ok(ExitCode::SUCCESS)
}
