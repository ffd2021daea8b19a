//! The run of `show` from its first event: what to show is known once the
//! displays are.

use std::time::Instant;

use throughline::display::Display;
use throughline::fit::FlatViews;
use throughline::pattern::Layers;
use throughline::rig::Rig;
use winit::application::ApplicationHandler;
use winit::event::WindowEvent;
use winit::event_loop::ActiveEventLoop;
use winit::window::WindowId;

use super::Windows;
use super::app::App;
use crate::desktop::reported_to;
use crate::files::{Output, Store};

/// What `show` was asked to do.
#[derive(Debug, Clone)]
pub struct Options {
    /// The layers to begin with.
    pub layers: Layers,
    /// One window, or one for each display.
    pub windows: Windows,
    /// When to close.
    pub seconds: Option<f64>,
    /// Where to write what was presented.
    pub capture: Option<Output>,
    /// When the program started.
    pub started: Instant,
}

/// A rig to show, where it is saved, and what to say about it on the glass.
pub struct Subject {
    /// The rig.
    pub rig: Rig,
    /// Its file.
    pub store: Store,
    /// Such as that it is a guess.
    pub remark: Option<String>,
    /// The program, with one camera a screen, that the lines are drawn as.
    pub program: Option<FlatViews>,
}

/// Makes the subject once the displays are known.
pub type Maker = Box<dyn FnOnce(&[Display]) -> Result<Subject, String>>;

/// A run from the first event on.
pub struct Run {
    options: Options,
    maker: Option<Maker>,
    app: Option<App>,
    failure: Option<String>,
}

impl Run {
    /// A run that shows what `maker` makes of the connected displays.
    pub fn new(options: Options, maker: Maker) -> Run {
        Run {
            options,
            maker: Some(maker),
            app: None,
            failure: None,
        }
    }

    /// Why the run ended, where it did not go well.
    pub fn into_failure(self) -> Option<String> {
        self.failure
            .or_else(|| self.app.and_then(|app| app.failure))
    }
}

impl ApplicationHandler for Run {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        if let Some(maker) = self.maker.take() {
            let displays = reported_to(event_loop);
            let subject = if displays.is_empty() {
                Err(
                    "no display is connected: connect one and switch it on, or write the \
                     pattern to a file with `throughline screenshot`"
                        .to_owned(),
                )
            } else {
                maker(&displays)
            };
            match subject {
                Ok(subject) => self.app = Some(App::new(self.options.clone(), subject)),
                Err(failure) => {
                    self.failure = Some(failure);
                    event_loop.exit();
                }
            }
        }
        if let Some(app) = &mut self.app {
            app.resumed(event_loop);
        }
    }

    fn window_event(&mut self, event_loop: &ActiveEventLoop, id: WindowId, event: WindowEvent) {
        if let Some(app) = &mut self.app {
            app.window_event(event_loop, id, event);
        }
    }

    fn about_to_wait(&mut self, event_loop: &ActiveEventLoop) {
        if let Some(app) = &mut self.app {
            app.about_to_wait(event_loop);
        }
    }

    fn exiting(&mut self, _: &ActiveEventLoop) {
        if let Some(app) = &mut self.app {
            app.exiting();
        }
    }
}
