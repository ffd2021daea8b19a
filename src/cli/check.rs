//! `check`: the rig against itself and against the connected displays.

use std::process::ExitCode;

use clap::Args;
use serde::Serialize;
use throughline::check::{Finding, Level, findings, unchecked};
use throughline::display::Display;
use throughline::rig::{self, Rig};
use throughline::starter::{self, Starter};

use super::rig_source::{self, RigArguments};
use crate::desktop;
use crate::files::{Failure, Files, print, print_words, tell};

/// The arguments of `check`.
#[derive(Debug, Args)]
pub(crate) struct Check {
    #[command(flatten)]
    pub rig: RigArguments,

    /// Write the findings as JSON
    #[arg(long)]
    pub json: bool,
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
    let (rig, found) = match named {
        Some(rig) => {
            let found = findings(&rig, displays.as_deref().ok());
            (rig, found)
        }
        None => {
            let displays = displays.as_deref().map_err(Failure::new)?;
            let rig = rig_of(displays, &arguments.rig.settings)?;
            let mut found = findings(&rig, Some(displays));
            found.retain(|finding| !finding.rests_on_measures());
            tell(
                "no rig named, so this is one made from the connected displays; \
                 sizes, angles and heights are guessed, and nothing that follows from them was \
                 checked",
            );
            (rig, found)
        }
    };
    if let Err(no_desktop) = &displays {
        tell(no_desktop);
    }
    for note in unchecked(&rig, displays.as_deref().ok()) {
        tell(note);
    }
    if arguments.json {
        print(&json(&found))?;
    } else {
        print_words(&listing(&found))?;
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

fn json(found: &[Finding]) -> String {
    let entries: Vec<_> = found
        .iter()
        .map(|finding| Entry {
            level: finding.level.name(),
            code: finding.code,
            text: &finding.text,
            subject: finding.subject.to_string(),
        })
        .collect();
    // Plain data of this kind always has a JSON form.
    serde_json::to_string_pretty(&entries).unwrap_or_default() + "\n"
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
