//! Giving the windows the keyboard, where nobody else does.

use super::Stage;
#[cfg(all(unix, not(target_os = "macos")))]
use super::fit::x11_window;

/// How often it is asked for: a window manager may be late, or may keep it from
/// windows that it doesn't take for the person's own.
pub(super) const ASKS: u8 = 12;

impl Stage {
    /// Without a window manager nobody gives a new window the keyboard.
    #[cfg(all(unix, not(target_os = "macos")))]
    pub fn take_keyboard(&self) {
        let window = self.panes.first().and_then(x11_window);
        let Some((server, window)) = self.server.as_ref().zip(window) else {
            return;
        };
        if server.has_window_manager().is_ok_and(|has_one| !has_one) {
            // Before the window is mapped the server refuses; it is asked again then.
            let _ = server.focus(window);
        }
    }

    /// Asks for the keyboard, where no window ever had it. Gives whether it is
    /// to be asked again.
    #[cfg(all(unix, not(target_os = "macos")))]
    pub(super) fn ask_for_keyboard(&mut self) -> bool {
        if self.server.is_none() || self.panes.iter().any(|pane| pane.window.has_focus()) {
            // Who takes it away later means to.
            self.keyboard_asks_left = 0;
        }
        if self.keyboard_asks_left == 0 {
            return false;
        }
        self.keyboard_asks_left -= 1;
        self.take_keyboard();
        if let Some(pane) = self.panes.first() {
            pane.window.focus_window();
        }
        true
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    pub fn take_keyboard(&self) {}

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    pub(super) fn ask_for_keyboard(&mut self) -> bool {
        false
    }
}
