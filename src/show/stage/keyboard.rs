//! Giving the windows the keyboard, where nobody else does, and keeping them above bars.

use winit::window::WindowLevel;

use super::Stage;
#[cfg(all(unix, not(target_os = "macos")))]
use super::rects::x11_window;

/// How often it is asked for: a window manager may be late, or may keep it from
/// windows that it doesn't take for the person's own.
const ASKS: u8 = 20;
/// At so many looks running a window must have it: some managers give it, and
/// at once to another.
const LOOKS: u8 = 3;

/// Whoever takes it away so often means to.
const LOSSES: u8 = 2;

/// What becomes of the keyboard after the windows were opened.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Keyboard {
    asks: u8,
    looks: u8,
    losses: u8,
}

impl Stage {
    /// Without a window manager nobody gives a new window the keyboard.
    #[cfg(all(unix, not(target_os = "macos")))]
    pub(crate) fn take_keyboard(&self) {
        let window = self.panes.first().and_then(x11_window);
        let Some((server, window)) = self.server.as_ref().zip(window) else {
            return;
        };
        if server.has_window_manager().is_ok_and(|has_one| !has_one) {
            // Before the window is mapped the server refuses; it is asked again then.
            let _ = server.focus(window);
        }
    }

    /// Asks for the keyboard until a window keeps it. Gives whether to look again.
    pub(super) fn ask_for_keyboard(&mut self) -> bool {
        // Who takes it away later means to.
        if !self.may_lack_keyboard()
            || self.keyboard.losses == LOSSES
            || self.keyboard.asks == ASKS
            || self.keyboard.looks == LOOKS
        {
            return false;
        }
        if self.panes.iter().any(|pane| pane.window.has_focus()) {
            self.keyboard.looks += 1;
            return true;
        }
        self.keyboard.losses += u8::from(self.keyboard.looks > 0);
        self.keyboard.looks = 0;
        self.keyboard.asks += 1;
        self.take_keyboard();
        if let Some(pane) = self.panes.first() {
            pane.window.focus_window();
        }
        true
    }

    /// On Windows, bars at the displays' edges stay before any window over several
    /// displays, unless it claims that place, too. While another program is used, that
    /// one's windows may come before the pattern, and so may the bars.
    pub(in crate::show) fn keep_above_bars(&self) {
        if cfg!(windows) {
            let is_used = self.panes.iter().any(|pane| pane.window.has_focus());
            let level = if is_used {
                WindowLevel::AlwaysOnTop
            } else {
                WindowLevel::Normal
            };
            for pane in &self.panes {
                pane.window.set_window_level(level);
            }
        }
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    pub(in crate::show) fn take_keyboard(&self) {}

    /// Elsewhere, a new window has it.
    #[cfg(all(unix, not(target_os = "macos")))]
    fn may_lack_keyboard(&self) -> bool {
        self.server.is_some()
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    fn may_lack_keyboard(&self) -> bool {
        false
    }
}
