//! `compare`: two pictures, their difference, and the rig values behind them.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use throughline::compare::{self, Figures, Side};
use throughline::typeset::Typesetter;

use super::capture::{self, Capture};
use super::compare_report::Report;
use crate::files::{Aside, Failure, Files, png_file, png_source, print, print_words};

/// The arguments of `compare`.
#[derive(Debug, Args)]
pub(crate) struct Compare {
    /// The earlier picture, written by screenshot, show or seat, or any other
    #[arg(value_name = "BEFORE.png")]
    before: PathBuf,

    /// The later picture, of the same size
    #[arg(value_name = "AFTER.png")]
    after: PathBuf,

    /// Where to write the picture of both
    #[arg(long, value_name = "PNG")]
    out: PathBuf,

    /// Give the figures as JSON on stdout
    #[arg(long)]
    json: bool,

    /// Write an animated PNG that shows both in turn, two seconds each
    #[arg(long)]
    flip: bool,
}

/// Runs the command.
pub(crate) fn compare(arguments: &Compare) -> Result<ExitCode, Failure> {
    let mut files = Files::new();
    let out = files.output(&arguments.out)?;
    let before = png_source::read(&arguments.before, &mut files, |_| Ok(()))?;
    let [w, h] = before.picture.size_px();
    let after = png_source::read(&arguments.after, &mut files, |[width, height]| {
        if [width, height] == [w, h] {
            return Ok(());
        }
        Err(format!(
            "{} is {w} x {h} pixels, but {} is {width} x {height}: compare pictures of one size",
            arguments.before.display(),
            arguments.after.display(),
        ))
    })?;
    // Both sizes are equal, so there are figures.
    let figures = Figures::of(&before.picture, &after.picture)
        .ok_or_else(|| Failure::new("the two pictures differ in size"))?;
    let captures = [&before, &after].map(Capture::of);
    let report = Report::new(figures, &captures);

    let titles = [
        format!("before: {}", file_name(&arguments.before)),
        format!("after: {}", file_name(&arguments.after)),
    ];
    let sides = [(&before, &titles[0]), (&after, &titles[1])].map(|(source, title)| Side {
        picture: &source.picture,
        title,
    });
    let mut typesetter = Typesetter::new();
    let picture = if arguments.flip {
        let frames = compare::flip(sides, &mut typesetter);
        Aside::write(&out, |out| png_file::write_in_turn(&frames, out))?
    } else {
        let insets = capture::insets(&captures, [w, h]);
        let sheet = compare::sheet(sides, &insets, &report.notes(), &mut typesetter);
        Aside::write(&out, |out| png_file::write_plain(&sheet, out))?
    };
    if arguments.json {
        print(&report.json())?;
    } else {
        print_words(&(report.notes().join("\n") + "\n"))?;
    }
    picture.put_in_place()?;
    Ok(ExitCode::SUCCESS)
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}
