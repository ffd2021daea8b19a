//! `frames`: which frames the displays at a seam showed, from a photograph.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use serde::Serialize;
use throughline::frames::{self, Difference, Frames};
use throughline::pictures::photograph::WayUp;

use crate::files::{Failure, Files, photo, print, print_words, tell};

/// The arguments of `frames`.
#[derive(Debug, Args)]
pub(crate) struct FramesArguments {
    /// A photograph or picture of the layer motion, both strips of a seam in it: JPEG or PNG
    #[arg(value_name = "PHOTO")]
    photo: PathBuf,

    /// Give what was read as JSON on stdout
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Report {
    strips: Vec<StripReport>,
    difference_frames: Option<i32>,
    difference_ms: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    differences: Option<Vec<SeamReport>>,
}

#[derive(Serialize)]
struct StripReport {
    seam: u32,
    side: &'static str,
    frame: u32,
}

#[derive(Serialize)]
struct SeamReport {
    seam: u32,
    difference_frames: i32,
    difference_ms: Option<f64>,
}

impl Report {
    fn of(frames: &Frames) -> Report {
        let differences = frames.differences();
        let first = differences.first();
        let strips = frames.strips.iter().map(|strip| StripReport {
            seam: strip.seam,
            side: strip.side.name(),
            frame: strip.frame,
        });
        let has_several = frames
            .strips
            .windows(2)
            .any(|pair| pair[0].seam != pair[1].seam);
        let seams = differences.iter().map(|difference| SeamReport {
            seam: difference.seam,
            difference_frames: difference.frames,
            difference_ms: difference.ms,
        });
        Report {
            strips: strips.collect(),
            difference_frames: first.map(|difference| difference.frames),
            difference_ms: first.and_then(|difference| difference.ms),
            differences: has_several.then(|| seams.collect()),
        }
    }
}

/// Runs the command.
pub(crate) fn frames(arguments: &FramesArguments) -> Result<ExitCode, Failure> {
    let mut files = Files::new();
    let picture = photo::read(&arguments.photo, WayUp::AsHeld, &mut files)?;
    let frames = frames::read(&picture);
    let name = arguments.photo.display();
    if frames.strips.is_empty() {
        return Err(Failure::new(format!(
            "{name}: {}",
            frames.faults().join("; ")
        )));
    }
    for fault in frames.faults() {
        tell(format!("{name}: {fault}"));
    }
    if arguments.json {
        let json = serde_json::to_string_pretty(&Report::of(&frames)).map_err(Failure::new)?;
        print(&(json + "\n"))?;
    } else {
        print_words(&words(&frames))?;
    }
    Ok(ExitCode::SUCCESS)
}

fn words(frames: &Frames) -> String {
    let mut text = String::new();
    for strip in &frames.strips {
        let side = strip.side.name();
        text += &format!("seam {}, {side}: frame {}\n", strip.seam, strip.frame);
    }
    let differences = frames.differences();
    for difference in &differences {
        text += &format!("seam {}: {}\n", difference.seam, meaning(difference));
    }
    if differences.is_empty() {
        text += "no seam with both its strips, so nothing to compare\n";
    }
    text
}

fn meaning(difference: &Difference) -> String {
    let behind = match difference.frames {
        0 => return "both displays show the same frame".to_owned(),
        1.. => "left",
        _ => "right",
    };
    let frames = difference.frames.unsigned_abs();
    let plural = if frames == 1 { "frame" } else { "frames" };
    let ms = difference
        .ms
        .map_or_else(String::new, |ms| format!(", {:.1} ms,", ms.abs()));
    format!("the {behind} display is {frames} {plural}{ms} behind the other")
}
