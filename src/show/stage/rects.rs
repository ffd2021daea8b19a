//! Whether the windows are where they belong, and asking for it.

use std::time::Instant;

use throughline::staging::{Look, SETTLE, Step};
use winit::dpi::{PhysicalPosition, PhysicalSize};
use winit::event_loop::ActiveEventLoop;

use super::Stage;
use crate::desktop::complete;
use crate::show::Windows;
use crate::show::pane::Pane;
use crate::show::presenter::PresentError;

/// A rectangle in the virtual desktop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WindowRect {
    pub(super) at: [i32; 2],
    pub(super) size: [u32; 2],
}

impl std::fmt::Display for WindowRect {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let ([x, y], [w, h]) = (self.at, self.size);
        write!(f, "{w} × {h} px at {x}, {y}")
    }
}

impl Stage {
    /// The bounding box of all displays.
    pub(super) fn wanted(&self) -> Option<WindowRect> {
        let places = self.screens.iter().map(|screen| {
            let [x, y] = self.place_of(screen).unwrap_or([0, 0]).map(i64::from);
            let [w, h] = screen.size_px.map(i64::from);
            [x, y, x + w, y + h]
        });
        let all = places.reduce(|a, b| {
            [
                a[0].min(b[0]),
                a[1].min(b[1]),
                a[2].max(b[2]),
                a[3].max(b[3]),
            ]
        })?;
        Some(WindowRect {
            at: [all[0] as i32, all[1] as i32],
            size: [(all[2] - all[0]) as u32, (all[3] - all[1]) as u32],
        })
    }

    /// Where a window belongs, where the system tells places.
    fn wanted_of(&self, pane: &Pane) -> Option<WindowRect> {
        let Some(index) = pane.screen else {
            return self.wanted();
        };
        let screen = self.screens.get(index)?;
        let (at, size) = (self.place_of(screen)?, screen.size_px);
        Some(WindowRect { at, size })
    }

    /// Compares the windows' places with those asked for, and corrects or
    /// reports them. Gives whether anything is to be laid out anew.
    ///
    /// # Errors
    ///
    /// Where a window can't be opened or drawn into.
    pub(crate) fn check(&mut self, event_loop: &ActiveEventLoop) -> Result<bool, PresentError> {
        self.check_at = None;
        // A window that a person put away stands nowhere.
        let is_away = |pane: &Pane| pane.window.is_minimized() == Some(true);
        if self.panes.iter().any(is_away) {
            return Ok(false);
        }
        if self
            .panes
            .iter()
            .any(|pane| self.shown_share(pane).is_some())
        {
            // What is known of scale factors may be older than the window's.
            complete(event_loop, &mut self.screens);
        }
        let misfit = self.find_misfit();
        let look = self.look_at_windows(misfit.is_none());
        let mut step = self.settling.next(look);
        if step == Step::FullScreen && !self.ask_for_full_screen() {
            step = self.settling.without_full_screen(look);
        }
        if step == Step::LeaveAndMove {
            self.leave_full_screen();
        }
        if step == Step::ShowAgain {
            self.show_again();
        }
        if matches!(step, Step::LeaveAndMove | Step::Move) {
            self.ask_for_place();
        }
        if matches!(step, Step::FullScreen | Step::LeaveAndMove | Step::Move) {
            self.sound();
        }
        let lacks_keyboard = look.are_taken_up && self.ask_for_keyboard();
        if lacks_keyboard || !matches!(step, Step::Rest | Step::GiveUp) {
            self.check_at = Some(Instant::now() + SETTLE);
        }
        let Some(misfit) = misfit else {
            let had = self.misfit.take().is_some();
            return Ok(had || self.has_moved());
        };
        let is_new = step == Step::GiveUp && self.report(misfit, event_loop)?;
        Ok(is_new || self.has_moved())
    }

    /// Whether a window moved or grew since its picture was laid out.
    pub(crate) fn has_moved(&self) -> bool {
        self.panes.iter().any(Pane::has_moved)
    }

    /// Says that a window can't be put where it belongs, unless that is known.
    fn report(
        &mut self,
        mut misfit: String,
        event_loop: &ActiveEventLoop,
    ) -> Result<bool, PresentError> {
        if self.is_spanning() {
            if self.windows == Windows::Auto {
                self.fall_back(event_loop, &misfit)?;
                return Ok(true);
            }
            misfit += "; try --windows per-display";
        }
        let is_new = self.misfit.as_ref() != Some(&misfit);
        if is_new {
            crate::files::tell(&misfit);
            self.misfit = Some(misfit);
        }
        Ok(is_new)
    }

    /// Makes the window manager tell when it has read everything up to here.
    #[cfg(all(unix, not(target_os = "macos")))]
    fn sound(&mut self) {
        let server = self.server.as_ref();
        self.has_sounded = server.is_some_and(|server| server.sound().unwrap_or(false));
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    fn sound(&mut self) {}

    #[cfg(all(unix, not(target_os = "macos")))]
    fn look_at_windows(&self, fit: bool) -> Look {
        let mut look = Look {
            are_taken_up: true,
            has_read: None,
            are_full_screen: false,
            fit,
        };
        let Some(server) = &self.server else {
            return look;
        };
        // What a server that has gone would say matters no more.
        if server.has_window_manager().unwrap_or(false) {
            let windows: Vec<u32> = self.panes.iter().filter_map(x11_window).collect();
            let all = |is_so: &dyn Fn(u32) -> bool| windows.iter().all(|&window| is_so(window));
            look.are_taken_up = all(&|window| server.is_taken_up(window).unwrap_or(false));
            look.has_read = self
                .has_sounded
                .then(|| server.has_answered().unwrap_or(false));
            look.are_full_screen = all(&|window| server.is_full_screen(window).unwrap_or(false));
        }
        look
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    fn look_at_windows(&self, fit: bool) -> Look {
        Look {
            are_taken_up: true,
            has_read: None,
            are_full_screen: false,
            fit,
        }
    }

    fn find_misfit(&self) -> Option<String> {
        if self.is_spanning() {
            let wanted = self.wanted()?;
            let achieved = achieved(self.panes.first()?, wanted);
            return (achieved != wanted).then(|| {
                format!(
                    "one window should cover {wanted}, but the window manager made it \
                     {achieved}"
                )
            });
        }
        self.panes.iter().find_map(|pane| {
            let screen = self.screens.get(pane.screen?)?;
            let ([w, h], [found_w, found_h]) = (screen.size_px, pane.presenter.window_size_px());
            if [w, h] != [found_w, found_h] {
                return Some(format!(
                    "the window on display \"{}\" should be {w} × {h} px, but is {found_w} × \
                     {found_h} px, so its picture is not pixel for pixel; set that display's \
                     scale to 100 %",
                    screen.name
                ));
            }
            if let Some(share) = self.shown_share(pane) {
                return Some(format!(
                    "the picture on display \"{}\" is shown {:.0} % of its size, so it is not pixel \
                     for pixel; start this again once that display's scale is 100 %",
                    screen.name,
                    share * 100.0
                ));
            }
            let wanted = self.wanted_of(pane)?;
            let achieved = achieved(pane, wanted);
            (achieved != wanted).then(|| {
                format!(
                    "the window for display \"{}\" should be {wanted}, but the window manager \
                     made it {achieved}",
                    screen.name
                )
            })
        })
    }

    /// How large the system shows a window that has its display's pixels, where that
    /// isn't their own size: on Wayland, a window can go by another scale factor than
    /// its display's.
    fn shown_share(&self, pane: &Pane) -> Option<f64> {
        let screen = self.screens.get(pane.screen?)?;
        if !self.is_wayland || screen.size_px != pane.presenter.window_size_px() {
            return None;
        }
        shown_share(screen.scale, pane.window.scale_factor())
    }

    fn ask_for_place(&mut self) {
        for pane in &self.panes {
            let Some(wanted) = self.wanted_of(pane) else {
                continue;
            };
            if achieved(pane, wanted) == wanted {
                continue;
            }
            let [w, h] = wanted.size;
            // The answer comes as an event, or is seen at the next comparison.
            let _ = pane.window.request_inner_size(PhysicalSize::new(w, h));
            pane.window
                .set_outer_position(PhysicalPosition::new(wanted.at[0], wanted.at[1]));
        }
    }

    #[cfg(all(unix, not(target_os = "macos")))]
    fn ask_for_full_screen(&self) -> bool {
        let Some(server) = &self.server else {
            return false;
        };
        // Every window is asked for, whatever becomes of the others.
        let mut is_known = true;
        for pane in &self.panes {
            let asked = self.wanted_of(pane).zip(x11_window(pane));
            is_known &= asked.is_some_and(|(WindowRect { at, size }, window)| {
                server.full_screen(window, at, size).unwrap_or(false)
            });
        }
        is_known
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    fn ask_for_full_screen(&self) -> bool {
        false
    }

    #[cfg(all(unix, not(target_os = "macos")))]
    fn show_again(&self) {
        for window in self.panes.iter().filter_map(x11_window) {
            if let Some(server) = &self.server {
                // One that is still missed is asked for again later.
                let _ = server.show_again(window);
            }
        }
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    fn show_again(&self) {}

    #[cfg(all(unix, not(target_os = "macos")))]
    fn leave_full_screen(&self) {
        for window in self.panes.iter().filter_map(x11_window) {
            if let Some(server) = &self.server {
                // A window that stays as it is shows at the next comparison.
                let _ = server.leave_full_screen(window);
            }
        }
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    fn leave_full_screen(&self) {}
}

/// How large pixels are shown on a display of one scale factor by a window that goes
/// by another; `None` where they are shown in their own size.
fn shown_share(display_scale: f64, window_scale: f64) -> Option<f64> {
    let share = display_scale / window_scale;
    // Compositors round scale factors to 120ths.
    ((share - 1.0).abs() > 1.0 / 60.0).then_some(share)
}

/// Where a window is; where the system tells no place, its size must do.
fn achieved(pane: &Pane, wanted: WindowRect) -> WindowRect {
    WindowRect {
        at: pane.position().unwrap_or(wanted.at),
        size: pane.presenter.window_size_px(),
    }
}

#[cfg(all(unix, not(target_os = "macos")))]
pub(super) fn x11_window(pane: &Pane) -> Option<u32> {
    use winit::raw_window_handle::{HasWindowHandle, RawWindowHandle};

    match pane.window.window_handle().ok()?.as_raw() {
        RawWindowHandle::Xlib(handle) => u32::try_from(handle.window).ok(),
        RawWindowHandle::Xcb(handle) => Some(handle.window.get()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_that_goes_by_another_scale_is_known() {
        assert_eq!(shown_share(1.0, 1.0), None);
        assert_eq!(shown_share(1.5, 1.5 + 1e-3), None);
        assert_eq!(shown_share(1.0, 2.0), Some(0.5));
        assert_eq!(shown_share(2.0, 1.0), Some(2.0));
    }
}
