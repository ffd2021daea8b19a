//! Refreshes as an X server counts them for a window on each display.

use std::error::Error;
use std::time::{Duration, Instant};

use throughline::refresh::{Clock, Recording, Tick, Ticks};
use x11rb::connection::{Connection, RequestConnection as _};
use x11rb::protocol::Event;
use x11rb::protocol::present::{self, ConnectionExt as _};
use x11rb::protocol::randr::{ConnectionExt as _, ModeFlag, ModeInfo};
use x11rb::protocol::xproto::{ConnectionExt as _, CreateWindowAux, Window, WindowClass};
use x11rb::rust_connection::RustConnection;

/// A lit output, and what was counted for the window on it.
struct Output {
    name: String,
    set_hz: Option<f64>,
    window: Window,
    ticks: Vec<Tick>,
}

/// Records the refreshes of all lit outputs for so long.
pub(super) fn recorded(time: Duration) -> Result<Vec<Recording>, Box<dyn Error>> {
    let (server, screen) = x11rb::connect(None)?;
    let mut outputs = outputs(&server, screen)?;
    let has_present = server
        .extension_information(present::X11_EXTENSION_NAME)?
        .is_some();
    if !has_present {
        return Ok(all(outputs, "the display server doesn't count refreshes"));
    }
    server.present_query_version(1, 2)?.reply()?;
    for (index, output) in outputs.iter().enumerate() {
        let id = server.generate_id()?;
        server
            .present_select_input(id, output.window, present::EventMask::COMPLETE_NOTIFY)?
            .check()?;
        // The number of the last refresh, at once.
        server.present_notify_msc(output.window, serial(index), 0, 0, 0)?;
    }
    server.flush()?;
    let end = Instant::now() + time;
    while Instant::now() < end {
        let Some(event) = server.poll_for_event()? else {
            super::wait_for(server.stream(), end);
            continue;
        };
        let Event::PresentCompleteNotify(told) = event else {
            continue;
        };
        let Some(output) = outputs.get_mut(told.serial as usize) else {
            continue;
        };
        output.ticks.push(Tick {
            at_s: told.ust as f64 / 1e6,
            count: told.msc,
        });
        let next = told.msc.saturating_add(1);
        server.present_notify_msc(output.window, told.serial, next, 0, 0)?;
        server.flush()?;
    }
    let recordings = outputs.into_iter().map(|output| Recording {
        display: output.name,
        set_hz: output.set_hz,
        heard: Ok((Clock::Display, Ticks::Counted(output.ticks))),
    });
    Ok(recordings.collect())
}

fn serial(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}

fn all(outputs: Vec<Output>, why: &str) -> Vec<Recording> {
    let recordings = outputs.into_iter().map(|output| Recording {
        display: output.name,
        set_hz: output.set_hz,
        heard: Err(why.to_owned()),
    });
    recordings.collect()
}

/// The lit outputs, each with a window in its middle that nobody sees.
fn outputs(server: &RustConnection, screen: usize) -> Result<Vec<Output>, Box<dyn Error>> {
    let root = server.setup().roots[screen].root;
    let resources = server.randr_get_screen_resources_current(root)?.reply()?;
    let stamp = resources.config_timestamp;
    let mut outputs = Vec::new();
    for &output in &resources.outputs {
        let info = server.randr_get_output_info(output, stamp)?.reply()?;
        if info.crtc == x11rb::NONE {
            continue;
        }
        let crtc = server.randr_get_crtc_info(info.crtc, stamp)?.reply()?;
        let middle = |at: i16, size: u16| {
            let middle = i32::from(at) + i32::from(size / 2);
            i16::try_from(middle).unwrap_or(at)
        };
        let window = server.generate_id()?;
        server
            .create_window(
                0,
                window,
                root,
                middle(crtc.x, crtc.width),
                middle(crtc.y, crtc.height),
                1,
                1,
                0,
                WindowClass::INPUT_ONLY,
                x11rb::COPY_FROM_PARENT,
                &CreateWindowAux::new().override_redirect(1),
            )?
            .check()?;
        let mode = resources.modes.iter().find(|mode| mode.id == crtc.mode);
        outputs.push(Output {
            name: String::from_utf8_lossy(&info.name).into_owned(),
            set_hz: mode.and_then(rate_hz),
            window,
            ticks: Vec::new(),
        });
    }
    Ok(outputs)
}

/// A mode's rate: its dot clock over the dots of a whole refresh, blanking included.
fn rate_hz(mode: &ModeInfo) -> Option<f64> {
    let has = |flag| mode.mode_flags.contains(flag);
    let mut lines = f64::from(mode.vtotal);
    if has(ModeFlag::DOUBLE_SCAN) {
        lines *= 2.0;
    }
    if has(ModeFlag::INTERLACE) {
        lines /= 2.0;
    }
    let dots = f64::from(mode.htotal) * lines;
    (mode.dot_clock > 0 && dots > 0.0).then(|| f64::from(mode.dot_clock) / dots)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// VESA CVT, reduced blanking v1: 2560 × 1440 at "144 Hz" and at "60 Hz".
    #[test]
    fn a_modes_rate_is_that_of_its_timing() {
        let mode = |dot_clock, vtotal| ModeInfo {
            dot_clock,
            htotal: 2720,
            vtotal,
            ..ModeInfo::default()
        };
        let hz = rate_hz(&mode(604_250_000, 1543)).expect("a rate");
        assert!((hz - 143.9733).abs() < 5e-5, "{hz}");
        let mut slower = mode(241_500_000, 1481);
        let hz = rate_hz(&slower).expect("a rate");
        assert!((hz - 59.9506).abs() < 5e-5, "{hz}");
        slower.mode_flags = ModeFlag::INTERLACE;
        assert_eq!(rate_hz(&slower), Some(2.0 * hz));
        slower.htotal = 0;
        assert_eq!(rate_hz(&slower), None);
    }
}
