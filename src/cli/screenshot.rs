//! `screenshot`: the pattern as a picture, without a display.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use throughline::fit::DrawnAs;
use throughline::nudging::MARKS_CAUTION;
use throughline::pattern::{Choices, Guides, Layer, Layers, Motion, Pattern};
use throughline::rig::{self, PxRect, Rig};
use throughline::typeset::Typesetter;

use super::rig_source::{self, RigArguments};
use super::rungs::LadderArguments;
use super::{lines, program};
use crate::files::{Aside, Failure, Files, png_file, tell};

/// The arguments of `screenshot`.
#[derive(Debug, Args)]
pub(crate) struct Screenshot {
    #[command(flatten)]
    pub rig: RigArguments,

    /// Where to write the picture
    #[arg(long, value_name = "PNG")]
    pub out: PathBuf,

    /// Layers to draw, separated by commas: grid, horizon, diagonals, ladders,
    /// rulers, labels (all: these six), scaling, gauge, tones, motion,
    /// marks; or none
    #[arg(long, value_name = "LIST", default_value = "all")]
    pub layers: Layers,

    #[command(flatten)]
    pub ladders: LadderArguments,

    /// The frame of the layer motion to draw, counted from 0
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub frame: u32,

    /// How fast its bars move, in degrees a second: 1 to 90
    #[arg(long, value_name = "DEG", default_value_t = Motion::default().speed_deg_s, value_parser = speed)]
    pub speed: f64,

    /// Also write the planes of the lines that look straight, as JSON
    #[arg(long, value_name = "JSON")]
    pub lines: Option<PathBuf>,

    /// Draw the lines as a program with one camera a screen would: flat-views
    /// with the best numbers, or flat-views:angle=47.3,distance=620,width=…,bezel=…
    #[arg(long, value_name = "MODEL", conflicts_with = "lines")]
    pub drawn_as: Option<DrawnAs>,

    /// Write one panel's part of the canvas only
    #[arg(long, value_name = "NAME")]
    pub panel: Option<String>,
}

fn speed(text: &str) -> Result<f64, String> {
    let [min, max] = Motion::SPEEDS_DEG_S;
    let speed = text.parse::<f64>().ok();
    speed
        .filter(|speed| (min..=max).contains(speed))
        .ok_or_else(|| format!("expected degrees a second, from {min} to {max}"))
}

/// Runs the command.
pub(crate) fn screenshot(arguments: &Screenshot) -> Result<ExitCode, Failure> {
    let mut files = Files::new();
    let out = files.png_output(&arguments.out)?;
    let lines_file = match &arguments.lines {
        Some(path) => Some(files.output(path)?),
        None => None,
    };
    let rig = rig_source::load(&arguments.rig, &mut files)?;
    let panel = match &arguments.panel {
        Some(name) => Some(panel_named(&rig, name)?),
        None => None,
    };
    let [w, h] = rig.canvas().size_px;
    let whole = PxRect { x: 0, y: 0, w, h };
    let part = panel.map_or(whole, |panel| rig.canvas().panels[panel]);

    let pattern = match &arguments.drawn_as {
        Some(program) => {
            let program = program::drawing(&rig, &program.program(&rig))?;
            program.pattern(&Guides::of(&rig), arguments.layers, &mut Typesetter::new())
        }
        None => {
            let ladders = arguments.ladders.ladders(&rig)?;
            let motion = Motion {
                frame: arguments.frame,
                speed_deg_s: arguments.speed,
            };
            let choices = Choices {
                ladders,
                motion,
                slide: None,
            };
            let (guides, layers) = (Guides::of(&rig), arguments.layers);
            Pattern::with_choices(&rig, &guides, layers, choices, &mut Typesetter::new())
        }
    };

    // Pixels of several sizes share one picture: the facing panel's are named.
    let sized = panel.unwrap_or(rig.seat().view.panel);
    let pitch_mm = rig.panels()[sized].pitch_mm();
    let rig_text = rig::write(&rig);
    let picture = Aside::write(&out, |out| {
        png_file::draw(pattern.marks(), part, &rig_text, pitch_mm, out)
    })?;
    let lines = match &lines_file {
        Some(path) => Some(Aside::write(path, |out| lines::write(&rig, &pattern, out))?),
        None => None,
    };
    if arguments.layers.has(Layer::Marks) {
        tell(MARKS_CAUTION);
    }
    picture.put_in_place()?;
    if let Some(lines) = lines {
        lines.put_in_place()?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The panel with a name, or else with a number from the left.
fn panel_named(rig: &Rig, name: &str) -> Result<usize, Failure> {
    let panels = rig.panels();
    let by_number = || {
        let number = name.parse::<usize>().ok()?;
        (1..=panels.len()).contains(&number).then(|| number - 1)
    };
    panels
        .iter()
        .position(|panel| panel.name == name)
        .or_else(by_number)
        .ok_or_else(|| {
            let known: Vec<&str> = panels.iter().map(|panel| panel.name.as_str()).collect();
            Failure::new(format!(
                "this rig has no panel \"{name}\"; its panels are {}",
                known.join(", ")
            ))
        })
}
