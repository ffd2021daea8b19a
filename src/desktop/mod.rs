//! Asks the system which displays are connected, without opening a window.
//!
//! The window library tells names, places, sizes, scale factors and refresh
//! rates. What it leaves out, such as physical sizes, is asked of the display
//! server directly where that is possible.

#[cfg(all(feature = "desktop", any(windows, test)))]
mod edid;
#[cfg(feature = "desktop")]
mod hints;
#[cfg(feature = "desktop")]
mod query;
#[cfg(feature = "desktop")]
mod refreshes;
#[cfg(not(feature = "desktop"))]
mod unasked;
#[cfg(all(feature = "desktop", unix, not(target_os = "macos")))]
mod wayland;
#[cfg(all(feature = "desktop", any(windows, test)))]
mod windows;
#[cfg(all(feature = "desktop", not(target_os = "macos")))]
mod within;
#[cfg(all(feature = "desktop", unix, not(target_os = "macos")))]
mod x11;

#[cfg(feature = "desktop")]
pub(crate) use query::{complete, connected, listed, name, one_line, reported_to, unless_gone};
#[cfg(feature = "desktop")]
pub(crate) use refreshes::recorded;
#[cfg(not(feature = "desktop"))]
pub(crate) use unasked::{connected, recorded};
#[cfg(all(feature = "desktop", unix, not(target_os = "macos")))]
pub(crate) use x11::mode_px;

/// Why no display could be asked for: one sentence for people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct NoDesktop(String);

impl std::fmt::Display for NoDesktop {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for NoDesktop {}
