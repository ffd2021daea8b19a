//! The windows over the displays: opening them, and keeping them in place.

mod keyboard;
mod rects;

use std::time::Instant;

use throughline::display::Display;
use throughline::glass::{Drawing, Stand, cap_px, notice};
use throughline::matching::{Matching, Placement, Tile};
use throughline::nudging::idle_box;
use throughline::rig::{PxRect, Rig};
use throughline::staging::{SETTLE, Settling};
use winit::dpi::{PhysicalPosition, PhysicalSize};
use winit::event_loop::ActiveEventLoop;
use winit::monitor::MonitorHandle;
use winit::window::{Fullscreen, Window, WindowId};

use super::Windows;
use super::adapter::Adapters;
use super::pane::Pane;
use super::presenter::PresentError;
use crate::desktop::{complete, listed, name, one_line, unless_gone};
use crate::files::tell;
use crate::quiet::quietly;
use keyboard::Keyboard;

/// All windows, the displays under them, and what is shown where.
pub(super) struct Stage {
    /// The windows.
    pub panes: Vec<Pane>,
    adapters: Adapters,
    /// Where every panel's picture goes.
    pub placement: Placement,
    screens: Vec<Display>,
    /// What the library or the server listed when it looked last.
    listed: Vec<Display>,
    known: Vec<MonitorHandle>,
    windows: Windows,
    is_wayland: bool,
    #[cfg(all(unix, not(target_os = "macos")))]
    server: Option<super::x11::Server>,
    /// Whether the window manager tells when it has read the last request.
    #[cfg(all(unix, not(target_os = "macos")))]
    has_sounded: bool,
    settling: Settling,
    keyboard: Keyboard,
    check_at: Option<Instant>,
    misfit: Option<String>,
    /// Why there is a window on each display, where one was wanted.
    fallback: Option<String>,
}

impl Stage {
    /// Opens the windows for a rig.
    ///
    /// # Errors
    ///
    /// Where a window can't be opened or drawn into.
    pub(super) fn open(
        event_loop: &ActiveEventLoop,
        windows: Windows,
        rig: &Rig,
    ) -> Result<Stage, PresentError> {
        let mut stage = Stage {
            panes: Vec::new(),
            adapters: Adapters::new(),
            placement: Placement::new(rig, &[]),
            screens: Vec::new(),
            listed: Vec::new(),
            known: Vec::new(),
            windows,
            is_wayland: is_wayland(event_loop),
            #[cfg(all(unix, not(target_os = "macos")))]
            server: if is_wayland(event_loop) {
                None
            } else {
                // Without it, the window library's own list must do.
                super::x11::Server::connect().ok()
            },
            #[cfg(all(unix, not(target_os = "macos")))]
            has_sounded: false,
            settling: Settling::new(),
            keyboard: Keyboard::default(),
            check_at: None,
            misfit: None,
            fallback: None,
        };
        stage.look(event_loop, rig);
        stage.open_windows(event_loop)?;
        Ok(stage)
    }

    /// Whether the displays are others than when it looked last.
    pub(super) fn is_outdated(&self, event_loop: &ActiveEventLoop) -> bool {
        self.listed(event_loop) != self.listed
    }

    /// Follows a change of the displays.
    ///
    /// # Errors
    ///
    /// Where a window can't be opened or drawn into.
    pub(super) fn follow(
        &mut self,
        event_loop: &ActiveEventLoop,
        rig: &Rig,
        drawing: &mut Drawing,
    ) -> Result<(), PresentError> {
        self.look(event_loop, rig);
        self.misfit = None;
        if self.screens.is_empty() {
            return Ok(());
        }
        let is_one = self.is_spanning() && !self.panes.is_empty();
        match self.too_large().filter(|_| is_one) {
            Some(error) if self.windows == Windows::Auto => {
                self.fall_back(event_loop, &too_large_words(&error))?;
            }
            Some(error) => return Err(error),
            None if is_one => {
                self.settling = Settling::new();
                self.check_at = Some(Instant::now());
            }
            None => {
                self.panes.clear();
                self.open_windows(event_loop)?;
            }
        }
        self.lay_out(rig, drawing)
    }

    /// Places a rig whose canvas changed.
    pub(super) fn place(&mut self, rig: &Rig) {
        self.placement = Placement::new(rig, &self.screens);
    }

    /// Lays out every window's picture for where it stands now.
    ///
    /// # Errors
    ///
    /// Where a window is larger than the adapter draws.
    pub(super) fn lay_out(&mut self, rig: &Rig, drawing: &mut Drawing) -> Result<(), PresentError> {
        for index in 0..self.panes.len() {
            self.lay_out_pane(index, rig, drawing)?;
        }
        Ok(())
    }

    /// Lays out one window's picture.
    ///
    /// # Errors
    ///
    /// Where the window is larger than the adapter draws.
    pub(super) fn lay_out_pane(
        &mut self,
        index: usize,
        rig: &Rig,
        drawing: &mut Drawing,
    ) -> Result<(), PresentError> {
        let pitch = facing_pitch_mm(rig);
        let (_, typesetter) = drawing.picture_and_type();
        self.panes[index].lay_out(&self.screens, &self.placement, |name, area| {
            let cap = cap_px(pitch, area.h);
            notice(&idle_box(name), area, cap, Stand::Middle, &[], typesetter)
        })
    }

    /// The window, and the area in it, for words to a person in the seat: on
    /// the facing view, else on the first screen that shows anything.
    pub(super) fn words_area(&self, rig: &Rig) -> Option<(usize, PxRect)> {
        let tiles = &self.placement.tiles;
        let facing = rig.seat().view.panel;
        let view = facing_view(rig);
        let on_facing = tiles.iter().filter(|tile| tile.panel == facing);
        let shows_view = |tile: &&Tile| tile.source.intersection(view).is_some();
        // Of several screens that share the view, the middle one.
        let on_facing: Vec<_> = on_facing.filter(shows_view).collect();
        let screen = match on_facing.get(on_facing.len() / 2) {
            Some(tile) => tile.display,
            None => tiles.first().map_or(0, |tile| tile.display),
        };
        self.panes.iter().enumerate().find_map(|(index, pane)| {
            let area = pane.area_of(screen, &self.screens)?;
            let tile = on_facing.iter().find(|tile| tile.display == screen);
            let part = tile.and_then(|tile| {
                let [x, y] = tile.at_px;
                let source = tile.source.intersection(view)?;
                let shown = PxRect {
                    x: area.x + x + (source.x - tile.source.x),
                    y: area.y + y + (source.y - tile.source.y),
                    ..source
                };
                shown.intersection(area)
            });
            Some((index, part.unwrap_or(area)))
        })
    }

    /// Everything that isn't as it should be.
    pub(super) fn complaints(&self) -> Vec<String> {
        let mut texts = self.placement.mismatches.clone();
        texts.extend(self.fallback.clone());
        texts.extend(self.misfit.clone());
        texts
    }

    /// What the system reports of each screen, and of the windows on it.
    pub(super) fn reports(&self, rig: &Rig) -> Vec<String> {
        let surface = |index: usize| {
            let own = self.panes.iter().find(|pane| pane.screen == Some(index));
            let whole = || {
                let mut panes = self.panes.iter();
                panes.find_map(|pane| pane.area_of(index, &self.screens))
            };
            own.map(|pane| pane.presenter.window_size_px())
                .or_else(|| whole().map(|area| [area.w, area.h]))
        };
        let surfaces: Vec<Option<[u32; 2]>> = (0..self.screens.len()).map(surface).collect();
        Matching::new(rig, &self.screens).reports(&self.screens, &surfaces)
    }

    /// Where every screen's pixels begin in one picture of all, and how large
    /// that is. Screens without a known place stand in a row.
    pub(super) fn mosaic(&self) -> ([u32; 2], Vec<[u32; 2]>) {
        let mut next_x = 0;
        let corners: Vec<[i64; 2]> = self
            .screens
            .iter()
            .map(|screen| {
                let row = [next_x, 0];
                next_x += i64::from(screen.size_px[0]);
                self.place_of(screen).map_or(row, |at| at.map(i64::from))
            })
            .collect();
        let least = [0, 1].map(|axis| corners.iter().map(|c| c[axis]).min().unwrap_or(0));
        let size = [0, 1].map(|axis| {
            let ends = corners.iter().zip(&self.screens);
            let end = ends.map(|(c, s)| c[axis] - least[axis] + i64::from(s.size_px[axis]));
            end.max().unwrap_or(1) as u32
        });
        let corners = corners
            .iter()
            .map(|c| [(c[0] - least[0]) as u32, (c[1] - least[1]) as u32]);
        (size, corners.collect())
    }

    /// The connected screens.
    pub(super) fn screens(&self) -> &[Display] {
        &self.screens
    }

    /// A window moved or grew: compare it with what was asked for, soon.
    pub(super) fn check_soon(&mut self) {
        let soon = Instant::now() + SETTLE / 2;
        self.check_at = Some(self.check_at.map_or(soon, |at| at.min(soon)));
    }

    /// When the windows' places are to be compared next.
    pub(super) fn check_at(&self) -> Option<Instant> {
        self.check_at
    }

    /// Closes all windows, whatever state their surfaces are in: the graphics library
    /// panics over one whose adapter went while a frame of it was drawn.
    pub(super) fn close(mut self) {
        for pane in self.panes.drain(..) {
            // What it held goes with the process.
            let _ = quietly(|| drop(pane));
        }
        let _ = quietly(|| drop(self));
    }

    /// Opens a window on each display instead of the one over all, and says so.
    fn fall_back(
        &mut self,
        event_loop: &ActiveEventLoop,
        reason: &str,
    ) -> Result<(), PresentError> {
        let text = format!("{reason}; so each display has a window of its own");
        tell(&text);
        self.fallback = Some(text);
        self.windows = Windows::PerDisplay;
        self.panes.clear();
        self.open_windows(event_loop)
    }

    /// What is said where one window over all displays is larger than is drawn.
    fn too_large(&self) -> Option<PresentError> {
        let limit_px = self.panes.first()?.presenter.limit_px();
        let size_px = self.wanted()?.size;
        let is_too_large = size_px.iter().any(|&side| side > limit_px);
        is_too_large.then_some(PresentError::TooLarge { size_px, limit_px })
    }

    fn is_spanning(&self) -> bool {
        match self.windows {
            Windows::Span => true,
            Windows::PerDisplay => false,
            // There, no window reaches over several displays.
            Windows::Auto => !self.is_wayland && !cfg!(target_os = "macos"),
        }
    }

    /// Asks what is connected, and places the rig on it.
    fn look(&mut self, event_loop: &ActiveEventLoop, rig: &Rig) {
        self.known = event_loop.available_monitors().collect();
        self.listed = self.listed(event_loop);
        self.screens = self.listed.clone();
        for known in listed(event_loop) {
            let screens = self.screens.iter_mut();
            for screen in screens.filter(|screen| screen.name == known.name) {
                screen.scale = known.scale;
            }
        }
        complete(event_loop, &mut self.screens);
        self.place(rig);
        for mismatch in &self.placement.mismatches {
            tell(mismatch);
        }
    }

    /// The displays as the system lists them now: what tells whether anything
    /// changed, and asks for nothing more than that.
    fn listed(&self, event_loop: &ActiveEventLoop) -> Vec<Display> {
        #[cfg(all(unix, not(target_os = "macos")))]
        if let Some(Ok(outputs)) = self.server.as_ref().map(super::x11::Server::outputs) {
            return outputs;
        }
        let mut listed = listed(event_loop);
        for display in &mut listed {
            // Windows stay as they are, whatever the rate.
            display.refresh_hz = None;
        }
        listed
    }

    /// Where a screen's pixels begin on the desktop. What Wayland tells of scaled
    /// displays is no place in pixels, and no window can be placed there anyhow.
    fn place_of(&self, screen: &Display) -> Option<[i32; 2]> {
        (!self.is_wayland).then_some(screen.position_px)
    }

    fn open_windows(&mut self, event_loop: &ActiveEventLoop) -> Result<(), PresentError> {
        let title = Window::default_attributes().with_title("Throughline");
        let refused = |error: winit::error::OsError| {
            PresentError::Frame(format!(
                "no window can be opened ({}); write it to a file with `throughline screenshot`",
                one_line(&error.to_string())
            ))
        };
        if self.is_spanning() {
            let Some(wanted) = self.wanted() else {
                return Ok(());
            };
            let [w, h] = wanted.size;
            let attributes = title
                .with_decorations(false)
                .with_resizable(false)
                .with_inner_size(PhysicalSize::new(w, h))
                .with_position(PhysicalPosition::new(wanted.at[0], wanted.at[1]));
            let window = event_loop.create_window(attributes).map_err(refused)?;
            match Pane::new(window, None, &mut self.adapters) {
                Ok(pane) => self.panes.push(pane),
                Err(error @ PresentError::TooLarge { .. }) if self.windows == Windows::Auto => {
                    return self.fall_back(event_loop, &too_large_words(&error));
                }
                Err(error) => return Err(error),
            }
        } else {
            for index in 0..self.screens.len() {
                let screen = &self.screens[index];
                let [w, h] = screen.size_px;
                let attributes = title
                    .clone()
                    .with_decorations(false)
                    .with_inner_size(PhysicalSize::new(w, h));
                let attributes = match self.place_on_server(screen) {
                    // Some managers make no window full screen that can't be resized.
                    Some([x, y]) => attributes.with_position(PhysicalPosition::new(x, y)),
                    None => {
                        let monitor = self.known.iter().find(|monitor| {
                            let place: [i32; 2] = monitor.position().into();
                            let is_there = self.place_of(screen).is_none_or(|at| at == place);
                            is_there && unless_gone(|| name(monitor)).as_ref() == Some(&screen.name)
                        });
                        attributes.with_fullscreen(Some(Fullscreen::Borderless(monitor.cloned())))
                    }
                };
                let window = event_loop.create_window(attributes).map_err(refused)?;
                let pane = Pane::new(window, Some(index), &mut self.adapters)?;
                self.panes.push(pane);
            }
        }
        self.take_keyboard();
        self.settling = Settling::new();
        self.keyboard = Keyboard::default();
        self.check_at = Some(Instant::now() + SETTLE);
        Ok(())
    }

    /// Where a window goes that this program places itself; the window
    /// library's own list of displays may be an old one.
    #[cfg(all(unix, not(target_os = "macos")))]
    fn place_on_server(&self, screen: &Display) -> Option<[i32; 2]> {
        self.server.as_ref().and(self.place_of(screen))
    }

    #[cfg(not(all(unix, not(target_os = "macos"))))]
    fn place_on_server(&self, _: &Display) -> Option<[i32; 2]> {
        None
    }

    /// The window with this id.
    pub(super) fn pane(&self, id: WindowId) -> Option<usize> {
        self.panes.iter().position(|pane| pane.window.id() == id)
    }
}

/// Why one window can't be over all displays, where it is too large.
fn too_large_words(error: &PresentError) -> String {
    match error {
        PresentError::TooLarge {
            size_px: [w, h],
            limit_px,
        } => format!(
            "one window over all displays would be {w} × {h} px, but this graphics adapter \
             draws at most {limit_px} a side"
        ),
        other => other.to_string(),
    }
}

/// The facing view's columns of its panel, on the canvas.
fn facing_view(rig: &Rig) -> PxRect {
    let view = rig.seat().view;
    let panel = rig.canvas().panels[view.panel];
    let views = u64::from(rig.panels()[view.panel].views);
    // Shares of a panel's columns, none of which is more than all.
    let columns = |count: u32| (u64::from(panel.w) * u64::from(count) / views) as u32;
    let (left, right) = (columns(view.view), columns(view.view + 1));
    PxRect {
        x: panel.x + left,
        w: right - left,
        ..panel
    }
}

/// Height of the facing panel's pixels, for type that can be read.
pub(super) fn facing_pitch_mm(rig: &Rig) -> f64 {
    let panel = &rig.panels()[rig.seat().view.panel];
    panel.pitch_mm()[1]
}

#[cfg(all(unix, not(target_os = "macos")))]
fn is_wayland(event_loop: &ActiveEventLoop) -> bool {
    use winit::platform::wayland::ActiveEventLoopExtWayland;

    event_loop.is_wayland()
}

#[cfg(not(all(unix, not(target_os = "macos"))))]
fn is_wayland(_: &ActiveEventLoop) -> bool {
    false
}
