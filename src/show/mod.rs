//! The pattern on the glass: windows, keys and the files that go with them.
//!
//! What a person does goes one way: a window's event becomes a key of the
//! console, the console changes the nudged rig, the rig is drawn anew where it
//! differs, and only blocks of pixels that differ are uploaded.

mod app;
mod capture;
mod console;
mod drawing;
mod edit;
mod glass;
mod input;
mod journal;
mod keys;
mod nudge;
mod overlay;
mod pane;
mod plate;
mod presenter;
mod run;
mod stage;
mod store;
mod timings;
mod value;
mod words;
#[cfg(all(unix, not(target_os = "macos")))]
mod x11;

use crate::cli::failure::tell;

pub use run::{Maker, Options, Run, Subject};
pub use store::Store;

/// How the pattern is laid over the displays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Windows {
    /// One window over all displays
    Span,
    /// One full-screen window on each display
    PerDisplay,
    /// One over all where that is possible, else one on each
    Auto,
}
