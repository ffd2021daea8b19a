//! The run of `show` from its first event: what to show is known once the
//! displays are.

use throughline::display::Display;
use throughline::refresh::Presents;
use winit::application::ApplicationHandler;
use winit::event::WindowEvent;
use winit::event_loop::ActiveEventLoop;
use winit::window::WindowId;

use super::app::App;
use super::options::{Options, Subject};
use crate::desktop::reported_to;
use crate::files::Failure;

/// Makes the subject once the displays are known.
pub(crate) type Maker = Box<dyn FnOnce(&[Display]) -> Result<Subject, Failure>>;

/// A run from the first event on.
pub(crate) struct Run {
    options: Options,
    maker: Option<Maker>,
    app: Option<App>,
    failure: Option<Failure>,
}

impl Run {
    /// A run that shows what `maker` makes of the connected displays.
    pub(crate) fn new(options: Options, maker: Maker) -> Run {
        Run {
            options,
            maker: Some(maker),
            app: None,
            failure: None,
        }
    }

    /// Everything that was presented.
    ///
    /// # Errors
    ///
    /// Why the run ended, where it did not go well.
    pub(crate) fn into_outcome(self) -> Result<Presents, Failure> {
        match (self.failure, self.app) {
            (Some(failure), _) => Err(failure),
            (None, Some(app)) => app.into_outcome(),
            (None, None) => Ok(Presents::default()),
        }
    }
}

impl ApplicationHandler for Run {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        if let Some(maker) = self.maker.take() {
            let displays = reported_to(event_loop);
            let subject = if displays.is_empty() {
                Err(Failure::new(
                    "no display is connected: connect one and switch it on, or write the \
                     pattern to a file with `throughline screenshot`",
                ))
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
