//! What lies over the pattern, and what is asked of whoever runs the console.

use crate::nudging::walk::Step;
use crate::pattern::{LadderKind, Layers, RungValue};
use crate::rig::Measure;

/// What is to be done outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Request {
    /// The words changed.
    Words,
    /// The picture, and the words, changed.
    Picture,
    /// Show the rig file as somebody else has edited it.
    Reload,
    /// Keep to the rig on the glass, whatever somebody else has written.
    KeepNudges,
    /// Other ladders are to be seen; the rig is the same.
    Ladders,
    /// Write the rig file.
    Save,
    /// Write the picture.
    Capture,
    /// Keep the readings, which changed; the rig is the same.
    KeepReadings,
    /// The journal's nudges were taken up; it goes on.
    KeepJournal,
    /// The journal's nudges were turned down.
    DropJournal,
    /// Leave.
    Quit,
}

/// The rungs of a ladder to choose from, from the top as on the glass, and which one
/// is marked.
#[derive(Debug, Clone, PartialEq)]
pub struct RungChoice {
    /// The seam, from 0 at the left.
    pub seam: usize,
    /// Which of its ladders.
    pub kind: LadderKind,
    /// Its rungs.
    pub rungs: Vec<RungValue>,
    /// The marked one's place among them.
    pub at: usize,
    /// Angle in radians, seen from the eye, over which they run at most.
    pub span_rad: f64,
}

/// What can disturb people, and is shown only after a caution.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Caution {
    /// Bars that sweep.
    Motion,
    /// A field of checks.
    Marks,
}

/// What lies over the pattern.
#[derive(Debug, Clone, PartialEq)]
pub enum Mode {
    /// The chosen value.
    Nudge,
    /// The keys.
    Keys,
    /// Which error makes which break.
    Errors,
    /// The rungs of a ladder.
    Rungs(RungChoice),
    /// Nudges that are not saved, of an earlier run or of before the rig file was
    /// edited.
    Offer(Vec<(Measure, f64)>),
    /// Somebody else has edited the rig file.
    Edited,
    /// A step of the walk through what checks the glass itself.
    Walk(Step),
    /// What can disturb people is about to be shown, once somebody agrees.
    Caution(Caution),
    /// Bars sweep and frames are counted.
    Moving(Moving),
}

/// What is shown while bars sweep, and what comes after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moving {
    pub(super) layers: Layers,
    pub(super) walk: Option<Step>,
}
