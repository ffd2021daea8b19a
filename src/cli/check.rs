//! `check`: the rig against itself and against the connected displays.

use std::process::ExitCode;
use std::time::Duration;

use clap::Args;
use serde::Serialize;
use throughline::check::{Finding, Level, findings, unchecked};
use throughline::display::Display;
use throughline::refresh::{Report, listing as rates};
use throughline::rig::{self, Rig};
use throughline::starter::{self, Starter};

use super::refresh::{self, RefreshJson, USUAL_S, json};
use super::rig_source::{self, RigArguments};
use crate::desktop;
use crate::files::{Failure, Files, print, print_words, tell};

/// The arguments of `check`.
#[derive(Debug, Args)]
pub(crate) struct Check {
    #[command(flatten)]
    pub rig: RigArguments,

    /// Write the findings as JSON; with --measure, an object of them and of the
    /// refresh rates
    #[arg(long)]
    pub json: bool,

    /// Measure the displays' refresh rates for so long (5 if left out); they may
    /// turn black meanwhile
    #[arg(long, value_name = "SECONDS", num_args = 0..=1,
        default_missing_value = USUAL_S, value_parser = refresh::measuring_time)]
    pub measure: Option<Duration>,
}

/// The findings with the refresh rates.
#[derive(Serialize)]
struct Measured<'a> {
    #[serde(flatten)]
    refresh: RefreshJson,
    findings: Vec<Entry<'a>>,
}

#[derive(Serialize)]
struct Entry<'a> {
    level: &'static str,
    code: &'static str,
    text: &'a str,
    subject: String,
}

/// Runs the command. Exit code 1 where there is an error, not for warnings.
pub(crate) fn check(arguments: &Check) -> Result<ExitCode, Failure> {
    let named = match &arguments.rig.rig {
        Some(_) => Some(rig_source::load(&arguments.rig, &mut Files::new())?),
        None => None,
    };
    let displays = desktop::connected();
    let is_named = named.is_some();
    let rig = match named {
        Some(rig) => rig,
        None => rig_of(
            displays.as_deref().map_err(Failure::new)?,
            &arguments.rig.settings,
        )?,
    };
    let report = arguments.measure.map(|time| {
        measured(
            is_named.then_some(&rig),
            displays.as_deref().unwrap_or_default(),
            time,
        )
    });
    let displays = displays.map(|displays| match &report {
        Some(report) => report.as_measured(&displays),
        None => displays,
    });
    let mut found = findings(&rig, displays.as_deref().ok());
    if !is_named {
        found.retain(|finding| !finding.rests_on_measures());
        tell(
            "no rig named, so this is one made from the connected displays; \
             sizes, angles and heights are guessed, and nothing that follows from them was \
             checked",
        );
    }
    if let Err(no_desktop) = &displays {
        tell(no_desktop);
    }
    for note in unchecked(&rig, displays.as_deref().ok()) {
        tell(note);
    }
    match &report {
        None if arguments.json => print(&json(&entries(&found)))?,
        Some(report) if arguments.json => {
            rates(report).lines().for_each(tell);
            print(&json(&Measured {
                refresh: RefreshJson::new(report, None),
                findings: entries(&found),
            }))?;
        }
        None => print_words(&listing(&found))?,
        Some(report) => print_words(&format!("{}\n{}", rates(report), listing(&found)))?,
    }
    Ok(if found.iter().any(|f| f.level == Level::Error) {
        ExitCode::from(1)
    } else {
        ExitCode::SUCCESS
    })
}

/// The rig made from the displays, with the command line's settings.
fn rig_of(displays: &[Display], settings: &[(String, String)]) -> Result<Rig, Failure> {
    let starter: Starter = starter::starter_rig(displays).map_err(Failure::new)?;
    let text = starter::text(&starter);
    rig::read(&text, "the rig of the connected displays", settings).map_err(Failure::new)
}

/// The displays' refresh rates; where none can be reached, those of none.
fn measured(rig: Option<&Rig>, displays: &[Display], time: Duration) -> Report {
    let recordings = match displays {
        [] => Vec::new(),
        _ => refresh::recorded(displays, time),
    };
    Report::new(rig, displays, &recordings)
}

fn entries(found: &[Finding]) -> Vec<Entry<'_>> {
    let entries = found.iter().map(|finding| Entry {
        level: finding.level.name(),
        code: finding.code,
        text: &finding.text,
        subject: finding.subject.to_string(),
    });
    entries.collect()
}

fn listing(found: &[Finding]) -> String {
    if found.is_empty() {
        return "nothing found\n".to_owned();
    }
    let mut text = String::new();
    for finding in found {
        let level = finding.level.name();
        text += &format!("{level}: {} ({})\n", finding.subject, finding.code);
        text += &wrapped(&finding.text);
        text.push('\n');
    }
    text += &summary(found);
    text
}

/// `1 error, 2 warnings`
fn summary(found: &[Finding]) -> String {
    let count = |level: Level| {
        let n = found.iter().filter(|f| f.level == level).count();
        let plural = if n == 1 { "" } else { "s" };
        format!("{n} {}{plural}", level.name())
    };
    format!("{}, {}\n", count(Level::Error), count(Level::Warning))
}

/// Indented lines short enough to read.
fn wrapped(text: &str) -> String {
    const COLUMNS: usize = 78;
    const INDENT: &str = "  ";
    let mut out = String::new();
    let mut line = String::new();
    for word in text.split(' ') {
        let long = INDENT.len() + line.chars().count() + 1 + word.chars().count() > COLUMNS;
        if long && !line.is_empty() {
            out += &format!("{INDENT}{line}\n");
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line += word;
    }
    out + &format!("{INDENT}{line}\n")
}
