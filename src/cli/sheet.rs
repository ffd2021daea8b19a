//! `sheet`: the numbers to type elsewhere.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, ValueEnum};
use throughline::fit::Free;
use throughline::plan;
use throughline::rig::{self, PxRect, Rig};
use throughline::sheet::{Sheet, Units};

use super::rig_source::{self, RigArguments};
use super::{sheet_files, sheet_json};
use crate::files::{Aside, Failure, Files, Output, png_file, print, print_words};

/// The arguments of `sheet`.
#[derive(Debug, Args)]
pub(crate) struct SheetArguments {
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

    /// Also write, for a view by its name, where each of its pixels lies in the
    /// picture of its off-axis camera: x and y from 0 to 1 from the lower left corner
    #[arg(long, value_name = "VIEW", requires = "out")]
    pub warp: Option<String>,

    /// The file for --warp, a portable float map
    #[arg(long, value_name = "PFM", requires = "warp")]
    pub out: Option<PathBuf>,

    /// Also write templates to cut out and hold to the panels, at true size on A4
    #[arg(long, value_name = "PDF")]
    pub template: Option<PathBuf>,
}

/// Units as the command line calls them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitName {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

/// Runs the command.
pub(crate) fn sheet(arguments: &SheetArguments) -> Result<ExitCode, Failure> {
    let free = arguments.free.parse::<Free>().map_err(Failure::new)?;
    let units = match arguments.units {
        UnitName::Mm => Units::Millimetres,
        UnitName::In => Units::Inches,
    };
    let mut files = Files::new();
    let plan = match &arguments.plan {
        Some(path) => Some(files.output(path)?),
        None => None,
    };
    let mut output = |path: &Option<PathBuf>| -> Result<Option<Output>, Failure> {
        path.as_ref().map(|path| files.output(path)).transpose()
    };
    let (warp, template) = (output(&arguments.out)?, output(&arguments.template)?);
    let rig = rig_source::load(&arguments.rig, &mut files)?;
    let plan = match plan {
        Some(output) => Some((PlanKind::of(output.path())?, output)),
        None => None,
    };
    let sheet = Sheet::of(&rig, free);
    let plan = match plan {
        Some((kind, output)) => Some(write_plan(&rig, units, &output, kind)?),
        None => None,
    };
    let warp = match (&arguments.warp, warp) {
        (Some(view), Some(output)) => Some(sheet_files::write_warp(&rig, view, &output)?),
        _ => None,
    };
    let template = match template {
        Some(output) => Some(sheet_files::write_template(&rig, &output)?),
        None => None,
    };
    if arguments.json {
        print(&sheet_json::text(&sheet))?;
    } else {
        print_words(&sheet.page(units, arguments.explain))?;
    }
    for file in [plan, warp, template].into_iter().flatten() {
        file.put_in_place()?;
    }
    Ok(ExitCode::SUCCESS)
}

/// What a plan is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum PlanKind {
    Svg,
    Png,
}

impl PlanKind {
    /// By the ending of the file's name.
    fn of(path: &Path) -> Result<PlanKind, Failure> {
        let ending = path.extension().and_then(|ending| ending.to_str());
        match ending.map(str::to_lowercase).as_deref() {
            Some("svg") => Ok(PlanKind::Svg),
            Some("png") => Ok(PlanKind::Png),
            _ => Err(Failure::new(format!(
                "cannot tell the kind of plan from the name {}: end it in .svg or .png",
                path.display()
            ))),
        }
    }
}

/// Pixels to the inch of a plan's picture.
const PLAN_PX_PER_INCH: f64 = 300.0;

/// Writes a plan aside.
fn write_plan(rig: &Rig, units: Units, output: &Output, kind: PlanKind) -> Result<Aside, Failure> {
    let drawing = plan::draw(rig, units);
    match kind {
        PlanKind::Svg => {
            let svg = plan::svg(&drawing, rig.name());
            Aside::write(output, |out| out.write_all(svg.as_bytes()))
        }
        PlanKind::Png => {
            let picture = plan::picture(&drawing, PLAN_PX_PER_INCH).map_err(Failure::new)?;
            let [w, h] = picture.size_px();
            let whole = PxRect { x: 0, y: 0, w, h };
            let pitch_mm = [25.4 / PLAN_PX_PER_INCH; 2];
            Aside::write(output, |out| {
                png_file::write(&picture, whole, &rig::write(rig), pitch_mm, out)
            })
        }
    }
}
