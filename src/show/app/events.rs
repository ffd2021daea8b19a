//! What a person and the system do to the windows.

use std::time::Instant;

use throughline::nudging::{Hover, Key};
use throughline::refresh::Presents;
use throughline::staging::{PointerAt, Scroll};
use winit::dpi::PhysicalPosition;
use winit::event::{ElementState, MouseButton, MouseScrollDelta, WindowEvent};
use winit::event_loop::ActiveEventLoop;
use winit::window::WindowId;

use super::App;
use crate::files::Failure;
use crate::show::input;
use crate::show::presenter::PresentError;

impl App {
    /// Everything that was presented, or why the run did not go well.
    pub(in crate::show) fn into_outcome(self) -> Result<Presents, Failure> {
        match self.failure {
            Some(failure) => Err(failure),
            None => Ok(self.timings.into_presents()),
        }
    }

    pub(super) fn show_pointer(&self, is_visible: bool) {
        for pane in self.stage.iter().flat_map(|stage| &stage.panes) {
            pane.window.set_cursor_visible(is_visible);
        }
    }

    fn pointed(&mut self, id: WindowId, at: PhysicalPosition<f64>) {
        let canvas = self.console.nudging.shown().canvas();
        let hover = self.stage.as_ref().and_then(|stage| {
            let pane = &stage.panes[stage.pane(id)?];
            // The cast takes what lies left of or above the window to its edge.
            let [x, y] = pane.glass.canvas_px(at.x as u32, at.y as u32)?;
            let panel = canvas.panels.iter().position(|rect| rect.contains(x, y))?;
            let rect = canvas.panels[panel];
            Some(Hover {
                panel,
                px: [x - rect.x, y - rect.y],
            })
        });
        self.pointer.hover = hover;
        self.are_words_due = true;
        self.redraw();
    }

    /// Where the pointer is: in the desktop where windows have places there, else
    /// in its window.
    fn place(&self, id: WindowId, at: PhysicalPosition<f64>) -> PointerAt<WindowId> {
        let stage = self.stage.as_ref();
        let corner = stage.and_then(|stage| stage.panes[stage.pane(id)?].laid_out_at());
        match corner {
            Some([x, y]) => PointerAt {
                window: None,
                at_px: [at.x + f64::from(x), at.y + f64::from(y)],
            },
            None => PointerAt {
                window: Some(id),
                at_px: [at.x, at.y],
            },
        }
    }

    fn moved(&mut self, id: WindowId, at: PhysicalPosition<f64>, event_loop: &ActiveEventLoop) {
        if !self.pointer.told(self.place(id, at)) {
            return;
        }
        self.visibility.touched(Instant::now());
        self.show_pointer(true);
        let steps = self.pointer.drag_steps();
        if steps != 0.0 {
            let request = self.console.turn(steps);
            self.carry_out(request, event_loop);
        }
        self.pointed(id, at);
    }

    pub(super) fn handle(
        &mut self,
        event_loop: &ActiveEventLoop,
        id: WindowId,
        event: WindowEvent,
    ) -> Result<(), PresentError> {
        match event {
            WindowEvent::CloseRequested => event_loop.exit(),
            WindowEvent::RedrawRequested => {
                // Another may have begun while the window waited for its turn.
                if let Some(sweep) = &mut self.sweep {
                    sweep.goes_on(Instant::now());
                }
                self.refresh()?;
                let index = self.stage.as_ref().and_then(|stage| stage.pane(id));
                if let Some(index) = index {
                    self.present(index)?;
                }
            }
            WindowEvent::Occluded(false) => self.redraw(),
            WindowEvent::Focused(_) => {
                if let Some(stage) = &self.stage {
                    stage.keep_above_bars();
                }
                self.redraw();
            }
            WindowEvent::Resized(_) | WindowEvent::Moved(_) => {
                if let Some(stage) = &mut self.stage {
                    stage.check_soon();
                }
                self.redraw();
            }
            WindowEvent::ScaleFactorChanged {
                mut inner_size_writer,
                ..
            } => {
                if let Some(stage) = &mut self.stage {
                    stage.check_soon();
                }
                // Pixels count here, whatever the scale. Only a window that has
                // gone refuses.
                let pane = self.stage.as_ref().and_then(|s| s.panes.get(s.pane(id)?));
                if let Some(pane) = pane.filter(|pane| pane.screen.is_none()) {
                    let _ = inner_size_writer.request_inner_size(pane.window.inner_size());
                }
                // On Wayland a window goes by its new scale from its next frame on, and
                // one whose pixels stay as many is told of no new size.
                self.redraw();
            }
            WindowEvent::KeyboardInput {
                event,
                is_synthetic: false,
                ..
            } if event.state == ElementState::Pressed => {
                let key = input::key(&event);
                if key != Key::Other {
                    self.visibility.keyed(Instant::now());
                }
                let request = if event.repeat {
                    self.console.repeat(key)
                } else {
                    self.console.press(key)
                };
                self.carry_out(request, event_loop);
            }
            WindowEvent::CursorMoved { position, .. } => self.moved(id, position, event_loop),
            WindowEvent::CursorLeft { .. } => {
                self.pointer.hover = None;
                self.are_words_due = true;
                self.redraw();
            }
            WindowEvent::MouseInput {
                state,
                button: MouseButton::Left,
                ..
            } => {
                self.visibility.touched(Instant::now());
                // The end of the last one may have gone to another program.
                if self.pointer.release() {
                    self.console.nudging.end_drag();
                }
                if state == ElementState::Pressed && self.pointer.press() {
                    self.console.nudging.begin_drag();
                }
            }
            WindowEvent::MouseWheel { delta, .. } => {
                self.visibility.touched(Instant::now());
                let steps = self.pointer.scroll_steps(match delta {
                    MouseScrollDelta::LineDelta(_, lines) => Scroll::Lines(f64::from(lines)),
                    MouseScrollDelta::PixelDelta(by) => Scroll::Rows(by.y),
                });
                let request = self.console.turn(steps);
                self.carry_out(request, event_loop);
            }
            _ => {}
        }
        Ok(())
    }
}
