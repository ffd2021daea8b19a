//! What is wrong with a rig, found before any pattern is drawn.
//!
//! The rig is held against itself, against what eyes and programs can bear,
//! and against the displays that the system reports. A finding says what is
//! wrong, where, why it matters and what to do.
//!
//! A view's distance and obliquity are those of its middle. Desktop positions
//! count relative to each other only: some systems let the leftmost display
//! start at zero, others the primary one.

mod arrangement;
mod codes;
mod light;
mod limits;
mod order;
mod panels;
mod posture;
mod size;
mod timing;
mod units;
mod view;
mod window;

pub use codes::CODES;

use std::fmt;

use codes::Code;

use crate::display::Display;
use crate::matching::{Matching, has_places};
use crate::rig::{Rig, Subject, ViewId};

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// The pattern or the numbers will be wrong.
    Error,
    /// It will work, but not as well as it could.
    Warning,
}

impl Level {
    /// The word for it.
    pub fn name(self) -> &'static str {
        match self {
            Level::Error => "error",
            Level::Warning => "warning",
        }
    }
}

/// What a finding is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum About {
    /// A value of the rig file.
    Rig(Subject),
    /// A connected display, by its name.
    Display(String),
}

/// A value is spelt as the command line's settings spell it.
impl fmt::Display for About {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            About::Rig(subject) => subject.fmt(f),
            About::Display(name) => write!(f, "display {name}"),
        }
    }
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// How much it matters.
    pub level: Level,
    /// A stable name of this kind of finding, one of [`CODES`].
    pub code: &'static str,
    /// What is wrong, why it matters and what to do, in sentences.
    pub text: String,
    /// Where.
    pub subject: About,
}

impl Finding {
    fn error(code: Code, subject: Subject, text: String) -> Finding {
        Finding {
            level: Level::Error,
            code: code.name(),
            text,
            subject: About::Rig(subject),
        }
    }

    fn warning(code: Code, subject: Subject, text: String) -> Finding {
        Finding {
            level: Level::Warning,
            ..Finding::error(code, subject, text)
        }
    }

    /// Whether it follows from lengths and angles that people measure, so that
    /// it says nothing where those are guessed.
    pub fn rests_on_measures(&self) -> bool {
        Code::MEASURED.map(Code::name).contains(&self.code)
    }

    fn about(self, display: &Display) -> Finding {
        Finding {
            subject: About::Display(name(display)),
            ..self
        }
    }
}

/// Everything that is wrong, errors first; without displays, as far as the rig
/// alone tells.
pub fn findings(rig: &Rig, displays: Option<&[Display]>) -> Vec<Finding> {
    let displays = displays.unwrap_or_default();
    let matching = (!displays.is_empty()).then(|| Matching::new(rig, displays));
    let matching = matching.as_ref();
    // What follows from a size, distance, height or turn that was meant otherwise
    // is not worth saying.
    let mut findings = units::sizes(rig);
    let are_sizes_meant = findings.is_empty();
    if are_sizes_meant {
        findings.extend(size::findings(rig, displays, matching));
        let mut place: Vec<_> = units::distance(rig).into_iter().collect();
        if place.is_empty() {
            place = posture::findings(rig);
        }
        if place.is_empty() {
            place = view::findings(rig);
        }
        findings.extend(place);
    }
    findings.extend(size::canvas(rig));
    findings.extend(units::bezels(rig));
    findings.extend(panels::findings(rig));
    findings.extend(order::findings(rig));
    findings.extend(arrangement::findings(rig, displays, matching));
    findings.extend(window::findings(rig));
    // With a window, displays lie where eye level is in its row.
    let is_spanned = rig.window().is_none();
    if is_spanned && are_sizes_meant && matching.is_none_or(Matching::is_in_place) {
        findings.extend(arrangement::levels(rig));
    }
    findings.extend(timing::findings(rig, displays, matching));
    findings.extend(light::findings(rig, displays, matching));
    findings.sort_by_key(|finding| finding.level);
    findings
}

/// What could not be checked, one sentence each.
pub fn unchecked(rig: &Rig, displays: Option<&[Display]>) -> Vec<String> {
    let mut notes = Vec::new();
    match displays {
        None | Some([]) => notes.push(
            "not checked, for want of displays: whether the connected displays, their places, \
             refresh rates and scale factors are those of the rig file"
                .to_owned(),
        ),
        Some(displays) => {
            if !has_places(displays) {
                notes.push(
                    "not checked: the displays' places in the desktop, which this system does not \
                     tell reliably while a scale factor other than 1 is set; they were matched by \
                     name and size"
                        .to_owned(),
                );
            } else if displays.iter().all(|display| !display.is_primary) {
                notes.push(
                    "not checked: whether the facing view is on the primary display, which this \
                     system does not have"
                        .to_owned(),
                );
            }
            let silent: Vec<_> = displays
                .iter()
                .filter(|display| display.size_mm.is_none())
                .map(name)
                .collect();
            if !silent.is_empty() {
                notes.push(format!(
                    "not checked: physical sizes against what the displays claim, since the \
                     system passes on no claim of {}",
                    listed(&silent)
                ));
            }
        }
    }
    let no_rate = |index: &usize| rig.panels()[*index].refresh_hz.is_none();
    let unrated: Vec<_> = (0..rig.panels().len())
        .filter(no_rate)
        .map(|index| quoted(rig, index))
        .collect();
    let displays_tell = displays
        .unwrap_or_default()
        .iter()
        .any(|display| display.refresh_hz.is_some());
    if !unrated.is_empty() && !displays_tell {
        notes.push(format!(
            "not checked: the refresh rate of {}, which {} no `refresh_hz` in the rig file",
            listed(&unrated),
            if unrated.len() == 1 { "has" } else { "have" }
        ));
    }
    notes
}

/// A panel's name in quotes.
fn quoted(rig: &Rig, panel: usize) -> String {
    format!("\"{}\"", rig.panels()[panel].name)
}

/// A view's name in quotes.
fn quoted_view(rig: &Rig, view: ViewId) -> String {
    format!("\"{}\"", rig.view_name(view))
}

/// A display's name on one line.
fn name(display: &Display) -> String {
    let clean = |c: char| if c.is_control() { ' ' } else { c };
    display.name.chars().map(clean).collect()
}

/// `a`, `a and b`, `a, b and c`
fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}
