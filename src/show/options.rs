//! What `show` is asked to do, and what it shows.

use std::time::Instant;

use throughline::nudging::AsProgram;
use throughline::pattern::Layers;
use throughline::rig::Rig;

use super::Windows;
use throughline::readings::Readings;

use crate::files::{Failure, KeptReadings, Output, Store};

/// What `show` was asked to do.
#[derive(Debug, Clone)]
pub(crate) struct Options {
    /// The layers to begin with.
    pub layers: Layers,
    /// One window, or one for each display.
    pub windows: Windows,
    /// When to close.
    pub seconds: Option<f64>,
    /// Where to write what was presented.
    pub capture: Option<Output>,
    /// When the program started.
    pub started: Instant,
}

/// Reads a rig out of a rig file's text as the run's was read, and the program that
/// its lines can be drawn as.
pub(crate) type Reader = Box<dyn Fn(&str) -> Result<(Rig, Option<AsProgram>), Failure>>;

/// A rig to show, where it is saved, and what to say about it on the glass.
pub(crate) struct Subject {
    /// The rig.
    pub rig: Rig,
    /// Its file.
    pub store: Store,
    /// Such as that it is a guess.
    pub remark: Option<String>,
    /// The program, with one camera a screen, that the lines can be drawn as.
    pub program: Option<AsProgram>,
    /// Where readings at the glass are kept.
    pub readings: KeptReadings,
    /// Those that an earlier run left.
    pub found: Option<Readings>,
    /// How its file is read once it was edited.
    pub reader: Reader,
}
