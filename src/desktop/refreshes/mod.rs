//! Records when displays are redrawn, as far as the system tells.
//!
//! It is done on connections of its own and before any window of `show` opens: where
//! the system tells it of surfaces alone, those that are covered are told nothing.

#[cfg(all(unix, not(target_os = "macos")))]
mod wayland;
#[cfg(windows)]
mod windows;
#[cfg(all(unix, not(target_os = "macos")))]
mod x11;

use std::time::Duration;

use throughline::refresh::Recording;

use super::NoDesktop;

/// Time for what comes before and after the recording.
#[cfg(not(target_os = "macos"))]
const BESIDES: Duration = Duration::from_secs(6);

/// Records the refreshes of all displays for so long.
///
/// # Errors
///
/// [`NoDesktop`] where the system tells nothing of any display, and why: the end of a
/// sentence.
#[cfg(not(target_os = "macos"))]
pub(crate) fn recorded(time: Duration) -> Result<Vec<Recording>, NoDesktop> {
    use super::query::one_line;
    use super::within::{Unanswered, within};

    let patience = time + BESIDES;
    match within(patience, move || of_system(time)) {
        Ok(Ok(recordings)) => Ok(recordings),
        Ok(Err(reason)) => Err(NoDesktop(reason)),
        Err(Unanswered::NoThread(why)) => Err(NoDesktop(why)),
        Err(Unanswered::Failed(reason)) => Err(NoDesktop(one_line(&reason))),
        Err(Unanswered::Late) => Err(NoDesktop(format!(
            "the display server was not done within {:.0} seconds",
            patience.as_secs_f64()
        ))),
    }
}

/// Records nothing: nobody has tried how this system tells it.
#[cfg(target_os = "macos")]
pub(crate) fn recorded(_: Duration) -> Result<Vec<Recording>, NoDesktop> {
    Err(NoDesktop(
        "this program doesn't know how to ask this system".to_owned(),
    ))
}

/// Goes by the variables that the window library goes by.
#[cfg(all(unix, not(target_os = "macos")))]
fn of_system(time: Duration) -> Result<Vec<Recording>, String> {
    let is_set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let recorded = if is_set("WAYLAND_DISPLAY") || is_set("WAYLAND_SOCKET") {
        wayland::recorded(time)
    } else {
        x11::recorded(time)
    };
    recorded.map_err(|error| super::query::one_line(&error.to_string()))
}

#[cfg(windows)]
fn of_system(time: Duration) -> Result<Vec<Recording>, String> {
    windows::recorded(time)
}

/// Waits until a connection has something to read, or a moment of time.
#[cfg(all(unix, not(target_os = "macos")))]
fn wait_for(connection: impl std::os::fd::AsFd, until: std::time::Instant) {
    use rustix::event::{PollFd, PollFlags, Timespec, poll};

    let left = until.saturating_duration_since(std::time::Instant::now());
    let Ok(left) = Timespec::try_from(left) else {
        return;
    };
    // An interrupted wait is a shorter one.
    let _ = poll(&mut [PollFd::new(&connection, PollFlags::IN)], Some(&left));
}
