//! A short event loop that lists the displays and ends.

#[cfg(not(target_os = "macos"))]
use std::time::Duration;

use throughline::display::Display;
use winit::application::ApplicationHandler;
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, EventLoop, EventLoopBuilder};
use winit::monitor::MonitorHandle;
use winit::window::WindowId;

use super::NoDesktop;
use super::hints;
#[cfg(not(target_os = "macos"))]
use super::within::{Unanswered, within};
use crate::quiet::quietly;

/// A display server that answers at all answers sooner.
#[cfg(not(target_os = "macos"))]
const PATIENCE: Duration = Duration::from_secs(10);

/// Lists the connected displays.
///
/// A process can do this once, and not beside an event loop of its own: there,
/// ask [`reported_to`].
///
/// # Errors
///
/// [`NoDesktop`] where there is no desktop session, where it doesn't answer,
/// or where it has no display.
pub(crate) fn connected() -> Result<Vec<Display>, NoDesktop> {
    let displays = answered(list)??;
    if displays.is_empty() {
        return Err(NoDesktop(
            "the desktop session reports no display: connect one and switch it on".to_owned(),
        ));
    }
    Ok(displays)
}

/// The displays as an event loop knows them now.
pub(crate) fn reported_to(event_loop: &ActiveEventLoop) -> Vec<Display> {
    let mut displays = listed(event_loop);
    complete(event_loop, &mut displays);
    displays
}

/// Completes and corrects a report by what the display server says.
pub(crate) fn complete(event_loop: &ActiveEventLoop, displays: &mut Vec<Display>) {
    hints::apply(&server_hints(event_loop), displays);
    displays.retain(|display| display.size_px.iter().all(|&side| side > 0));
}

/// What the window library alone tells of the displays, without asking anybody.
pub(crate) fn listed(event_loop: &ActiveEventLoop) -> Vec<Display> {
    let primary = event_loop.primary_monitor();
    let monitors = event_loop.available_monitors().enumerate();
    let displays = monitors.filter_map(|(index, monitor)| {
        unless_gone(|| Display {
            name: Some(name(&monitor))
                .filter(|name| !name.is_empty())
                .unwrap_or_else(|| format!("display {}", index + 1)),
            position_px: monitor.position().into(),
            size_px: monitor.size().into(),
            mode_px: None,
            scale: monitor.scale_factor(),
            refresh_hz: monitor
                .refresh_rate_millihertz()
                .filter(|&rate| rate > 0)
                .map(|rate| f64::from(rate) / 1000.0),
            size_mm: None,
            is_primary: primary.as_ref() == Some(&monitor),
            features: Default::default(),
        })
    });
    displays.collect()
}

/// What the system calls a display, without the `\\.\` of Windows' device names;
/// empty where it has no name.
pub(crate) fn name(monitor: &MonitorHandle) -> String {
    let name = monitor.name().unwrap_or_default();
    name.strip_prefix(r"\\.\").unwrap_or(&name).to_owned()
}

/// What `read` tells of a display. On Windows the window library panics over
/// one that went since it was listed; that is `None`.
pub(crate) fn unless_gone<T>(read: impl FnOnce() -> T) -> Option<T> {
    quietly(read).ok()
}

#[cfg(all(unix, not(target_os = "macos")))]
fn server_hints(event_loop: &ActiveEventLoop) -> Vec<hints::Hint> {
    use winit::platform::wayland::ActiveEventLoopExtWayland;

    // Hints are no more than that: without them the report stays as it is.
    if event_loop.is_wayland() {
        super::wayland::hints().unwrap_or_default()
    } else {
        super::x11::hints().unwrap_or_default()
    }
}

#[cfg(windows)]
fn server_hints(_: &ActiveEventLoop) -> Vec<hints::Hint> {
    super::windows::hints()
}

#[cfg(target_os = "macos")]
fn server_hints(_: &ActiveEventLoop) -> Vec<hints::Hint> {
    Vec::new()
}

/// The answer of a thread of its own, so that a library that is missing or a server that
/// hangs ends in a sentence.
#[cfg(not(target_os = "macos"))]
fn answered<T: Send + 'static>(ask: fn() -> T) -> Result<T, NoDesktop> {
    let said = |what: String| {
        NoDesktop(format!(
            "the desktop session cannot be asked for its displays: {what}"
        ))
    };
    within(PATIENCE, ask).map_err(|unanswered| match unanswered {
        Unanswered::NoThread(why) => said(why),
        Unanswered::Failed(reason) => said(one_line(&reason)),
        Unanswered::Late => NoDesktop(format!(
            "the desktop session did not list its displays within {} seconds: \
             check that the display server named by DISPLAY or WAYLAND_DISPLAY still runs",
            PATIENCE.as_secs()
        )),
    })
}

/// There, only the first thread may ask.
#[cfg(target_os = "macos")]
fn answered<T>(ask: fn() -> T) -> Result<T, NoDesktop> {
    Ok(ask())
}

fn list() -> Result<Vec<Display>, NoDesktop> {
    struct Lister(Vec<Display>);

    impl ApplicationHandler for Lister {
        fn resumed(&mut self, event_loop: &ActiveEventLoop) {
            self.0 = reported_to(event_loop);
            event_loop.exit();
        }

        fn window_event(&mut self, _: &ActiveEventLoop, _: WindowId, _: WindowEvent) {}
    }

    let no_session = |error: &dyn std::fmt::Display| {
        NoDesktop(format!(
            "no desktop session can be reached from here ({}): \
             run this in a terminal of the desktop whose displays you mean",
            one_line(&error.to_string())
        ))
    };
    let event_loop = event_loop().map_err(|error| no_session(&error))?;
    let mut lister = Lister(Vec::new());
    event_loop
        .run_app(&mut lister)
        .map_err(|error| no_session(&error))?;
    Ok(lister.0)
}

fn event_loop() -> Result<EventLoop<()>, winit::error::EventLoopError> {
    let mut builder = EventLoop::builder();
    on_any_thread(&mut builder);
    builder.build()
}

#[cfg(all(unix, not(target_os = "macos")))]
fn on_any_thread(builder: &mut EventLoopBuilder<()>) {
    use winit::platform::wayland::EventLoopBuilderExtWayland;

    EventLoopBuilderExtWayland::with_any_thread(builder, true);
}

#[cfg(windows)]
fn on_any_thread(builder: &mut EventLoopBuilder<()>) {
    use winit::platform::windows::EventLoopBuilderExtWindows;

    builder.with_any_thread(true);
}

#[cfg(target_os = "macos")]
fn on_any_thread(_: &mut EventLoopBuilder<()>) {}

/// A library's words on one line, without the place in its source.
pub(crate) fn one_line(reason: &str) -> String {
    let line = reason.lines().next().unwrap_or_default();
    let words = match line.split_once(".rs:") {
        Some((_, rest)) => rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == ':'),
        None => line,
    };
    words.trim().trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reason_loses_its_place_and_its_further_lines() {
        let reason = "os error at /a/b/mod.rs:765: no server.\nmore";
        assert_eq!(one_line(reason), "no server");
        assert_eq!(one_line("Got `foo`"), "Got `foo`");
    }

    #[test]
    fn a_panic_becomes_a_sentence_or_a_display_less() {
        let displays: Vec<u32> = Vec::new();
        assert_eq!(unless_gone(|| displays[0]), None);
        assert_eq!(unless_gone(|| 3), Some(3));
        let error = answered(|| -> () { panic!("no such library") }).unwrap_err();
        assert!(
            error.to_string().ends_with("displays: no such library"),
            "{error}"
        );
    }
}
