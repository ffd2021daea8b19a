//! A running `show`: events in, pictures out.

mod edited;
mod events;
mod kept;
mod moving;
mod recovery;
mod words;

use std::time::{Duration, Instant};

use throughline::glass::{Drawing, Redrawn};
use throughline::nudging::{Console, Mode, Nudging, Request};
use throughline::pattern::Layer;
use throughline::raster::Picture;
use throughline::staging::{Deadlines, Pointer, Visibility};
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, ControlFlow};
use winit::window::WindowId;

use super::capture;
use super::options::{Options, Reader, Subject};
use super::presenter::{Frame, PresentError};
use super::stage::Stage;
use super::timings::Timings;
use crate::files::{Failure, KeptReadings, Store, manual, tell, write_numbered, write_presented};
use edited::Edited;
use moving::Sweep;
use recovery::Recovery;

/// How long a window may take to reach its display's size before it is drawn
/// into all the same.
const WAIT_FOR_SIZE: Duration = Duration::from_millis(500);
/// How long until a window of another size than its display's is looked at again.
const LOOK_AGAIN_AFTER: Duration = Duration::from_millis(50);

/// A running `show`.
pub(super) struct App {
    options: Options,
    /// What is to be known before anything is saved.
    remarks: Vec<String>,
    console: Console,
    store: Store,
    readings: KeptReadings,
    reader: Reader,
    edited: Option<Edited>,
    drawing: Drawing,
    stage: Option<Stage>,
    offer: String,
    /// Why it ended, where it did not go well.
    failure: Option<Failure>,
    deadlines: Deadlines,
    visibility: Visibility,
    /// What was complained of last.
    complaints: Vec<String>,
    pointer: Pointer<WindowId>,
    is_picture_due: bool,
    sweep: Option<Sweep>,
    recovery: Recovery,
    /// Whether the windows hold this drawing's picture.
    is_laid_out: bool,
    are_words_due: bool,
    timings: Timings,
}

impl App {
    /// A run that shows a rig.
    pub(super) fn new(options: Options, subject: Subject) -> App {
        let Subject {
            rig,
            mut store,
            remark,
            program,
            reader,
            readings,
            found: found_readings,
        } = subject;
        let found = store.found();
        let warnings = store.warnings();
        warnings.iter().for_each(tell);
        let remarks = remark.into_iter().chain(warnings).collect();
        let offer = match &found {
            Some(found) if !found.is_same_rig => {
                "The rig file has been changed since they were made."
            }
            _ => "The last run ended before they were saved.",
        };
        let numbers = found.map(|found| found.numbers).unwrap_or_default();
        // Nobody is expected to stand there where it ends by itself.
        let is_unattended = options.seconds.is_some() || options.capture.is_some();
        let still = options.layers.without(Layer::Motion);
        let mut console = Console::new(Nudging::new(rig.clone(), still), numbers)
            .with_program(program)
            .with_manual(manual().map(|page| page.display().to_string()));
        if is_unattended {
            console = console.unattended();
        }
        if let Some(found) = found_readings {
            // Those of other numbers are kept under a number once new ones are taken.
            let _ = console.resume_readings(found, "the readings");
        }
        // An offer is answered first.
        if options.layers.has(Layer::Motion) && *console.mode() == Mode::Nudge {
            console.start_moving(still);
        }
        let choices = moving::choices(&console, None);
        let drawing = Drawing::new(&rig, console.layers(), choices, console.program());
        let now = Instant::now();
        App {
            remarks,
            console,
            store,
            readings,
            reader,
            edited: None,
            drawing,
            stage: None,
            offer: offer.to_owned(),
            failure: None,
            deadlines: Deadlines::new(now),
            visibility: Visibility::new(is_unattended, now),
            complaints: Vec::new(),
            pointer: Pointer::default(),
            is_picture_due: false,
            sweep: None,
            recovery: Recovery::default(),
            is_laid_out: true,
            are_words_due: true,
            timings: Timings::new(),
            options,
        }
    }

    fn carry_out(&mut self, request: Option<Request>, event_loop: &ActiveEventLoop) {
        match request {
            None | Some(Request::Words) => {}
            Some(Request::Picture) => {
                self.is_picture_due = true;
                self.timings.changed();
                self.journal();
            }
            Some(Request::Ladders) => self.is_picture_due = true,
            Some(Request::KeepJournal) => {
                self.is_picture_due = true;
                self.journal();
            }
            Some(Request::KeepReadings) => self.keep_readings(),
            Some(Request::DropJournal) => self.store.drop_journal(),
            Some(Request::Reload) => self.reload(),
            Some(Request::KeepNudges) => self.keep_nudges(),
            Some(Request::Save) => {
                match self.store.save(self.console.nudging.now()) {
                    Ok(said) => {
                        // Such as that nothing is measured yet.
                        self.remarks.clear();
                        self.console.saved(said);
                    }
                    Err(error) => {
                        tell(&error);
                        self.console.say(error.to_string());
                    }
                }
            }
            Some(Request::Capture) => self.capture_numbered(),
            Some(Request::Quit) => event_loop.exit(),
        }
        self.follow_sweep();
        self.are_words_due = true;
        self.redraw();
    }

    fn redraw(&self) {
        if let Some(stage) = &self.stage {
            for pane in &stage.panes {
                pane.window.request_redraw();
            }
        }
    }

    /// Brings the pictures up to date.
    fn refresh(&mut self) -> Result<(), PresentError> {
        let Some(stage) = &mut self.stage else {
            return Ok(());
        };
        if !std::mem::replace(&mut self.is_laid_out, true) {
            let shown = self.console.nudging.shown();
            stage.place(shown);
            stage.lay_out(shown, &mut self.drawing)?;
            self.are_words_due = true;
        }
        let is_frame_due = self.sweep.as_mut().is_some_and(Sweep::take);
        if self.is_picture_due || is_frame_due {
            let nudging = &self.console.nudging;
            let choices = moving::choices(&self.console, self.sweep.as_ref());
            let layers = self.console.layers();
            let program = self.console.program();
            match (self.drawing).update(nudging.shown(), layers, choices, program) {
                Redrawn::Size => {
                    stage.place(nudging.shown());
                    stage.lay_out(nudging.shown(), &mut self.drawing)?;
                }
                Redrawn::Runs(runs) => {
                    for pane in &mut stage.panes {
                        pane.glass.take(&runs);
                    }
                }
            }
            // The next frame's words would be the same.
            self.are_words_due |= std::mem::take(&mut self.is_picture_due);
        }
        if std::mem::take(&mut self.are_words_due) {
            self.put_words();
        }
        Ok(())
    }

    fn present(&mut self, index: usize) -> Result<(), PresentError> {
        let rig = self.console.nudging.shown();
        let Some(stage) = &mut self.stage else {
            return Ok(());
        };
        let pane = &stage.panes[index];
        let size = pane.presenter.window_size_px();
        if !pane.is_shown && pane.opened.elapsed() < WAIT_FOR_SIZE {
            let screen = pane.screen.and_then(|screen| stage.screens().get(screen));
            if screen.is_some_and(|screen| screen.size_px != size) {
                self.deadlines.retry_after(Instant::now(), LOOK_AGAIN_AFTER);
                return Ok(());
            }
        }
        if pane.has_moved() {
            stage.lay_out_pane(index, rig, &mut self.drawing)?;
            stage.check_soon();
            self.put_words();
        }
        let Some(stage) = &mut self.stage else {
            return Ok(());
        };
        let pane = &mut stage.panes[index];
        let stale = pane.glass.take_stale();
        let (glass, canvas) = (&pane.glass, self.drawing.picture());
        let copy = |run, pixels: &mut _| glass.copy(canvas, run, pixels);
        let bytes = pane.presenter.upload(&stale, copy);
        self.timings.uploaded(bytes);
        if let Frame::Later(after) = pane.presenter.present()? {
            self.deadlines.retry_after(Instant::now(), after);
            return Ok(());
        }
        if !pane.is_shown {
            pane.is_shown = true;
            self.recovery.shown();
            stage.take_keyboard();
        }
        self.timings.presented(index, self.options.started);
        Ok(())
    }

    /// One picture of everything presented, words left out.
    fn presented(&mut self) -> Option<Picture> {
        // A change just made is due at the next refresh of the screen.
        self.refresh().ok()?;
        let stage = self.stage.as_mut()?;
        let (size, corners) = stage.mosaic();
        let mut all = Picture::new(size);
        for pane in &mut stage.panes {
            pane.glass.overlay(self.drawing.picture(), Vec::new());
        }
        self.are_words_due = true;
        let stage = self.stage.as_ref()?;
        capture::assemble(stage, self.drawing.picture(), &corners, &mut all);
        Some(all)
    }

    fn capture_numbered(&mut self) {
        let nudging = &self.console.nudging;
        let rig = nudging.shown().clone();
        let is_before = rig == *nudging.loaded();
        let Some(picture) = self.presented() else {
            return;
        };
        let said = match write_numbered(&self.store.stem(), is_before, &picture, &rig) {
            Ok(path) => format!("wrote {}", path.display()),
            Err(error) => {
                tell(&error);
                error.to_string()
            }
        };
        self.console.say(said);
    }

    fn tick(&mut self, event_loop: &ActiveEventLoop) -> Result<(), PresentError> {
        self.recover(event_loop);
        let now = Instant::now();
        if self.sweep.as_mut().is_some_and(|sweep| sweep.goes_on(now)) {
            self.timings.changed();
            self.redraw();
        }
        if self.deadlines.is_over(now) {
            event_loop.exit();
            return Ok(());
        }
        if self.deadlines.take_flush(now) {
            self.store.flush();
        }
        let is_look_due = self.deadlines.take_look(now);
        if is_look_due {
            self.look_at_file();
        }
        let rig = self.console.nudging.shown();
        let Some(stage) = &mut self.stage else {
            return Ok(());
        };
        let mut is_new = false;
        if is_look_due {
            if stage.is_outdated(event_loop) {
                stage.follow(event_loop, rig, &mut self.drawing)?;
                is_new = true;
            } else if stage.has_moved() {
                stage.check_soon();
            }
        }
        let is_check_due = stage.check_at().is_some_and(|at| at <= now);
        if is_check_due && stage.check(event_loop)? {
            stage.lay_out(rig, &mut self.drawing)?;
            is_new = true;
        }
        let is_retry = self.deadlines.take_retry(now);
        if is_new {
            self.set_pace();
            self.are_words_due = true;
            self.redraw();
        } else if self.visibility.take_away(self.need(), now) {
            // A window that is hidden may be long in doing it.
            self.are_words_due = true;
            self.pointer.hover = None;
            self.show_pointer(false);
            self.redraw();
        } else if is_check_due || is_retry {
            // A frame shown while the window was being put in place can be lost.
            self.redraw();
        }
        Ok(())
    }

    fn wake_at(&self) -> Instant {
        let check_at = self.stage.as_ref().and_then(Stage::check_at);
        let words_end = self.visibility.end(self.need());
        let sweep = self.sweep.as_ref();
        let next_frame = sweep.map(|sweep| sweep.next_at(Instant::now()));
        let retry = self.recovery.due();
        let times = [check_at, words_end, next_frame, retry];
        self.deadlines.wake_at(times)
    }
}

impl App {
    /// The windows can be opened.
    pub(super) fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        if self.stage.is_some() {
            return;
        }
        let rig = self.console.nudging.shown();
        match Stage::open(event_loop, self.options.windows, rig) {
            Ok(mut stage) => {
                let laid_out = stage.lay_out(rig, &mut self.drawing);
                self.stage = Some(stage);
                self.follow_sweep();
                let now = Instant::now();
                self.visibility.opened(now);
                if let Some(seconds) = self.options.seconds.take() {
                    self.deadlines.end_after(now, seconds);
                }
                if let Err(error) = laid_out {
                    self.fail(event_loop, &error);
                }
            }
            Err(error) => self.fail(event_loop, &error),
        }
        self.redraw();
    }

    /// Something happened to a window.
    pub(super) fn window_event(
        &mut self,
        event_loop: &ActiveEventLoop,
        id: WindowId,
        event: WindowEvent,
    ) {
        if let Err(error) = self.handle(event_loop, id, event) {
            self.fail(event_loop, &error);
        }
    }

    /// Everything that happened is dealt with.
    pub(super) fn about_to_wait(&mut self, event_loop: &ActiveEventLoop) {
        if let Err(error) = self.tick(event_loop) {
            self.fail(event_loop, &error);
        }
        event_loop.set_control_flow(ControlFlow::WaitUntil(self.wake_at()));
    }

    /// The run ends.
    pub(super) fn exiting(&mut self) {
        let is_offer_open = matches!(self.console.mode(), Mode::Offer(_));
        self.store.close(self.console.nudging.now(), is_offer_open);
        if let Some(output) = self
            .options
            .capture
            .clone()
            .filter(|_| self.failure.is_none())
        {
            let rig = self.console.nudging.shown().clone();
            let was_shown = self
                .stage
                .as_ref()
                .is_some_and(|stage| stage.panes.iter().all(|pane| pane.is_shown));
            let written = match self.presented() {
                Some(picture) if was_shown => write_presented(&output, &picture, &rig),
                _ => Err(Failure::new(
                    "nothing was presented yet, so there is nothing to capture",
                )),
            };
            self.failure = written.err();
        }
        self.stage.take().into_iter().for_each(Stage::close);
    }
}
