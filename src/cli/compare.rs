//! `compare`: two pictures, their difference, and the rig values behind them; or two
//! readings files.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use throughline::compare::{self, Figures, Side};
use throughline::typeset::Typesetter;

use super::capture::{self, Capture};
use super::compare_readings::compare_readings;
use super::compare_report::Report;
use crate::files::{Aside, Failure, Files, is_json, png_file, png_source, print, print_words};

/// The arguments of `compare`.
#[derive(Debug, Args)]
pub(crate) struct Compare {
    /// The earlier picture, written by screenshot, show or seat, or any other; or the
    /// earlier readings file
    #[arg(value_name = "BEFORE")]
    before: PathBuf,

    /// The later picture, of the same size; or the later readings file
    #[arg(value_name = "AFTER")]
    after: PathBuf,

    /// Where to write the picture of both; readings have none
    #[arg(long, value_name = "PNG")]
    out: Option<PathBuf>,

    /// The rig that readings were taken on, where their files don't hold it
    #[arg(long, value_name = "RIG")]
    rig: Option<PathBuf>,

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
    let paths = [arguments.before.as_path(), arguments.after.as_path()];
    match paths.map(is_json) {
        [true, true] => {
            if arguments.out.is_some() || arguments.flip {
                return Err(Failure::new(
                    "readings make no picture: leave --out and --flip away",
                ));
            }
            let rig = arguments.rig.as_deref();
            return compare_readings(paths, rig, arguments.json, &mut files);
        }
        [false, false] => {}
        _ => {
            return Err(Failure::new(format!(
                "one of {} and {} is a readings file and the other isn't: compare two of a kind",
                paths[0].display(),
                paths[1].display()
            )));
        }
    }
    let Some(out) = &arguments.out else {
        return Err(Failure::new(
            "two pictures make a third: name it with --out PNG",
        ));
    };
    if arguments.rig.is_some() {
        return Err(Failure::new(
            "pictures hold their rig: leave --rig away, which is for readings",
        ));
    }
    let out = files.png_output(out)?;
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
