//! The pattern on the glass: windows over the displays.
//!
//! What a person does goes one way: a window's event becomes a key of the
//! console, the console changes the nudged rig, the rig is drawn anew where it
//! differs, and only blocks of pixels that differ are uploaded.

mod adapter;
mod app;
mod capture;
mod input;
mod options;
mod pane;
mod plate;
mod presenter;
mod run;
mod stage;
mod timings;
#[cfg(all(unix, not(target_os = "macos")))]
mod x11;

pub(crate) use options::{Options, Reader, Subject};
pub(crate) use run::{Maker, Run};

/// How the pattern is laid over the displays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Windows {
    /// One window over all displays
    Span,
    /// One full-screen window on each display
    PerDisplay,
    /// One over all where that is possible, else one on each
    Auto,
}
