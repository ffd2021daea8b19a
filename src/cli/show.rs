//! `show`: the pattern on the displays.

use std::cell::OnceCell;
use std::path::PathBuf;
use std::process::ExitCode;
use std::rc::Rc;
use std::time::Instant;

use clap::Args;
use throughline::fit::DrawnAs;
use throughline::nudging::{AsProgram, MARKS_CAUTION, MOVING_CAUTION};
use throughline::pattern::{Layer, Layers};
use throughline::readings::Readings;
use throughline::refresh::{Report, listing};
use throughline::rig;
use throughline::starter::{self, starter_rig};
use winit::event_loop::EventLoop;

use super::outline::{Outline, TypedProgram};
use super::refresh::{self, RefreshJson, json};
use super::rig_source::{self, RigArguments};
use crate::files::{Failure, Files, KeptReadings, Store, print, tell};
use crate::quiet::quietly;
use crate::show::{Maker, Options, Reader, Run, Subject, Windows};

/// The arguments of `show`.
#[derive(Debug, Args)]
pub(crate) struct Show {
    #[command(flatten)]
    pub rig: RigArguments,

    /// Layers to begin with, separated by commas: grid, horizon, diagonals,
    /// ladders, rulers, labels (all: these six), scaling, gauge, tones, motion (it
    /// moves at once, and stops at any key), marks; or none
    #[arg(long, value_name = "LIST", default_value = "all")]
    pub layers: Layers,

    /// Draw the lines as another program would: flat-views, or
    /// flat-views:angle=47.3,distance=620 with the numbers typed into it
    #[arg(long, value_name = "MODEL")]
    pub drawn_as: Option<DrawnAs>,

    /// Outline another program's window, given by its left, top, width and height in
    /// desktop pixels from the facing panel's top left corner, and draw the lines as
    /// that program would inside it
    #[arg(long, value_name = "X,Y,W,H", allow_hyphen_values = true)]
    pub outline: Option<Outline>,

    /// How to lay the pattern over the displays
    #[arg(long, value_enum, default_value_t = Windows::Auto)]
    pub windows: Windows,

    /// Close after this many seconds; no words greet anybody
    #[arg(long, value_name = "N", value_parser = seconds)]
    pub seconds: Option<f64>,

    /// When it closes, write what was presented; no words greet anybody
    #[arg(long, value_name = "PNG")]
    pub capture: Option<PathBuf>,

    /// Measure refresh rates for some seconds before the windows open, and write
    /// them and the intervals between the frames that were presented as JSON
    #[arg(long, requires = "seconds")]
    pub json: bool,
}

/// Runs the command.
pub(crate) fn show(arguments: &Show) -> Result<ExitCode, Failure> {
    let started = Instant::now();
    let mut files = Files::new();
    let capture = match &arguments.capture {
        Some(path) => Some(files.png_output(path)?),
        None => None,
    };
    let typed = TypedProgram {
        drawn_as: arguments.drawn_as,
        outline: arguments.outline,
    };
    let maker = match &arguments.rig.rig {
        Some(_) => of_file(&arguments.rig, typed, files)?,
        None => of_displays(arguments.rig.settings.clone(), typed, files),
    };
    let reported = Rc::new(OnceCell::new());
    let maker = if arguments.json {
        measuring(maker, arguments.rig.rig.is_some(), Rc::clone(&reported))
    } else {
        maker
    };
    let options = Options {
        layers: arguments.layers,
        windows: arguments.windows,
        seconds: arguments.seconds,
        capture,
        started,
    };
    if options.layers.has(Layer::Motion) {
        tell(MOVING_CAUTION);
    }
    if options.layers.has(Layer::Marks) {
        tell(MARKS_CAUTION);
    }
    let event_loop = event_loop()?;
    let mut run = Run::new(options, maker);
    event_loop
        .run_app(&mut run)
        .map_err(|error| no_desktop(&error.to_string()))?;
    let presents = run.into_outcome()?;
    if let Some(report) = reported.get() {
        print(&json(&RefreshJson::new(report, Some(&presents))))?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Measures refresh rates before anything is shown, and reports them there.
fn measuring(maker: Maker, has_file: bool, reported: Rc<OnceCell<Report>>) -> Maker {
    Box::new(move |displays| {
        let subject = maker(displays)?;
        let recordings = refresh::recorded(displays, refresh::USUAL);
        let report = Report::new(has_file.then_some(&subject.rig), displays, &recordings);
        listing(&report).lines().for_each(tell);
        // It is made once.
        let _ = reported.set(report);
        Ok(subject)
    })
}

/// The rig that the command line names: read before any window opens.
fn of_file(
    arguments: &RigArguments,
    typed: TypedProgram,
    mut files: Files,
) -> Result<Maker, Failure> {
    let source = rig_source::source(arguments, &mut files)?;
    let reader = reader(source.name.clone(), arguments.settings.clone(), typed);
    let (rig, program) = reader(&source.text)?;
    let store = Store::new(source.path, &source.name, source.text, &rig, &mut files)?;
    let (readings, found) = kept_readings(&store, &mut files)?;
    let subject = Subject {
        reader,
        rig,
        store,
        readings,
        found,
        remark: shown_as(program.as_ref()),
        program,
    };
    Ok(Box::new(|_| Ok(subject)))
}

/// A rig made from the connected displays; it is saved as a file of its own.
fn of_displays(settings: Vec<(String, String)>, typed: TypedProgram, mut files: Files) -> Maker {
    Box::new(move |displays| {
        let starter = starter_rig(displays).map_err(Failure::new)?;
        let text = starter::text(&starter);
        let reader = reader("the connected displays".to_owned(), settings, typed);
        let (rig, program) = reader(&text)?;
        let mut remark = "This rig is made from the connected displays: sizes, angles and heights \
                          are guessed. Measure them, nudge them, and S saves them as a rig file."
            .to_owned();
        for note in &starter.notes {
            remark += &format!(" Note: {note}.");
        }
        if let Some(words) = shown_as(program.as_ref()) {
            remark += &format!(" {words}");
        }
        let store = Store::new(None, "rig", text, &rig, &mut files)?;
        let (readings, found) = kept_readings(&store, &mut files)?;
        remark += " W leads you through the alignment, step by step, in a quarter of an hour.";
        Ok(Subject {
            store,
            rig,
            readings,
            found,
            remark: Some(remark),
            program,
            reader,
        })
    })
}

/// Where readings are kept, and those that an earlier run left.
fn kept_readings(
    store: &Store,
    files: &mut Files,
) -> Result<(KeptReadings, Option<Readings>), Failure> {
    let kept = KeptReadings::new(store.stem(), files)?;
    let found = match kept.found(files).transpose() {
        Ok(found) => found,
        Err(failure) => {
            // It stays, under a number, once others are taken.
            tell(&failure);
            None
        }
    };
    Ok((kept, found))
}

/// Reads the rig file's text under this name, with the command line's settings.
fn reader(name: String, settings: Vec<(String, String)>, typed: TypedProgram) -> Reader {
    Box::new(move |text| {
        let rig = rig::read(text, &name, &settings).map_err(Failure::new)?;
        let program = typed.program(&rig)?;
        Ok((rig, program))
    })
}

/// What is to be known at the start where lines are a program's.
fn shown_as(program: Option<&AsProgram>) -> Option<String> {
    program.filter(|shown| shown.is_on).map(AsProgram::words)
}

/// The window library panics where one of its own libraries is missing.
fn event_loop() -> Result<EventLoop<()>, Failure> {
    match quietly(EventLoop::new) {
        Ok(Ok(event_loop)) => Ok(event_loop),
        Ok(Err(error)) => Err(no_desktop(&error.to_string())),
        Err(reason) => Err(no_desktop(&reason)),
    }
}

fn no_desktop(reason: &str) -> Failure {
    Failure::new(format!(
        "no desktop session can be reached from here ({}): run this in a terminal of the desktop \
         whose displays you mean, or write the pattern to a file with `throughline screenshot`",
        crate::desktop::one_line(reason)
    ))
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(seconds) if seconds > 0.0 && seconds <= 1e6 => Ok(seconds),
        _ => Err("expected a number of seconds above 0, such as 10".to_owned()),
    }
}
