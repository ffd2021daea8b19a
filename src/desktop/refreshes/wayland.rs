//! Refreshes as a Wayland compositor tells them of a full-screen surface on each output.

mod events;

use std::error::Error;
use std::fs::File;
use std::os::fd::AsFd;
use std::time::{Duration, Instant};

use throughline::refresh::{Clock, Recording, Tick, Ticks};
use wayland_client::globals::{GlobalList, registry_queue_init};
use wayland_client::protocol::wl_compositor::WlCompositor;
use wayland_client::protocol::wl_output::WlOutput;
use wayland_client::protocol::wl_shm::{Format, WlShm};
use wayland_client::protocol::wl_surface::WlSurface;
use wayland_client::{Connection, EventQueue, Proxy, QueueHandle};
use wayland_protocols::wp::presentation_time::client::wp_presentation::WpPresentation;
use wayland_protocols::xdg::shell::client::xdg_surface::XdgSurface;
use wayland_protocols::xdg::shell::client::xdg_toplevel::XdgToplevel;
use wayland_protocols::xdg::shell::client::xdg_wm_base::XdgWmBase;
use wayland_protocols::xdg::xdg_output::zv1::client::zxdg_output_manager_v1::ZxdgOutputManagerV1;

/// The first version of an output that has a name. Earlier ones get it elsewhere.
const OUTPUT_WITH_NAME: u32 = 4;
/// Longest wait for the surfaces to be placed.
const PLACED_WITHIN: Duration = Duration::from_secs(2);
/// Fewer presentations than this are none: frames are gone by instead.
const FEWEST: usize = 3;

/// What the surfaces are made with, and what they were told.
struct Measuring {
    shm: WlShm,
    presentation: Option<WpPresentation>,
    start: Instant,
    outputs: Vec<Output>,
}

/// An output, the surface on it, and what was told of that.
struct Output {
    output: WlOutput,
    name: String,
    set_hz: Option<f64>,
    shown: Option<Shown>,
    size_px: [i32; 2],
    is_placed: bool,
    /// When the compositor asked for frames, in seconds from the start.
    frames_s: Vec<f64>,
    /// What was presented on this output.
    ticks: Vec<Tick>,
    /// Whether all of it was synchronised to the display.
    is_synchronised: bool,
    /// Whether the next presentation is in step with another output.
    is_next_elsewhere: bool,
    /// How many were.
    elsewhere: usize,
}

/// A full-screen surface.
struct Shown {
    surface: WlSurface,
    xdg: XdgSurface,
    toplevel: XdgToplevel,
}

/// Records the refreshes of all outputs for so long.
pub(super) fn recorded(time: Duration) -> Result<Vec<Recording>, Box<dyn Error>> {
    let connection = Connection::connect_to_env()?;
    let (globals, mut queue) = registry_queue_init::<Measuring>(&connection)?;
    let handle = queue.handle();
    let compositor: WlCompositor = globals.bind(&handle, 1..=4, ())?;
    let shell: XdgWmBase = globals.bind(&handle, 1..=1, ())?;
    let mut measuring = Measuring {
        shm: globals.bind(&handle, 1..=1, ())?,
        presentation: globals.bind(&handle, 1..=1, ()).ok(),
        start: Instant::now(),
        outputs: outputs(&globals, &handle),
    };
    queue.roundtrip(&mut measuring)?;
    for (index, output) in measuring.outputs.iter_mut().enumerate() {
        let surface = compositor.create_surface(&handle, index);
        let xdg = shell.get_xdg_surface(&surface, &handle, index);
        let toplevel = xdg.get_toplevel(&handle, index);
        toplevel.set_title("refresh rates".to_owned());
        toplevel.set_fullscreen(Some(&output.output));
        surface.commit();
        output.shown = Some(Shown {
            surface,
            xdg,
            toplevel,
        });
    }
    let placed_until = Instant::now() + PLACED_WITHIN;
    run(&mut queue, &mut measuring, placed_until, |measuring| {
        measuring.outputs.iter().all(|output| output.is_placed)
    })?;
    run(&mut queue, &mut measuring, Instant::now() + time, |_| false)?;
    for output in &mut measuring.outputs {
        if let Some(shown) = output.shown.take() {
            shown.toplevel.destroy();
            shown.xdg.destroy();
            shown.surface.destroy();
        }
    }
    queue.roundtrip(&mut measuring)?;
    Ok(measuring
        .outputs
        .into_iter()
        .map(Output::recording)
        .collect())
}

fn outputs(globals: &GlobalList, handle: &QueueHandle<Measuring>) -> Vec<Output> {
    let names: Option<ZxdgOutputManagerV1> = globals.bind(handle, 2..=3, ()).ok();
    let listed = globals.contents().clone_list();
    let found = listed
        .iter()
        .filter(|global| global.interface == WlOutput::interface().name);
    let outputs = found.enumerate().map(|(index, global)| {
        let version = global.version.min(OUTPUT_WITH_NAME);
        let output = globals.registry().bind(global.name, version, handle, index);
        if let Some(names) = &names {
            names.get_xdg_output(&output, handle, index);
        }
        Output {
            output,
            name: String::new(),
            set_hz: None,
            shown: None,
            size_px: [0; 2],
            is_placed: false,
            frames_s: Vec::new(),
            ticks: Vec::new(),
            is_synchronised: true,
            is_next_elsewhere: false,
            elsewhere: 0,
        }
    });
    outputs.collect()
}

/// Takes events until a moment of time, or until all is done.
fn run(
    queue: &mut EventQueue<Measuring>,
    measuring: &mut Measuring,
    end: Instant,
    is_done: impl Fn(&Measuring) -> bool,
) -> Result<(), Box<dyn Error>> {
    while !is_done(measuring) && Instant::now() < end {
        queue.flush()?;
        if queue.dispatch_pending(measuring)? > 0 {
            continue;
        }
        if let Some(guard) = queue.prepare_read() {
            super::wait_for(guard.connection_fd(), end);
            match guard.read() {
                Ok(_) => {}
                // Nothing came in the time left.
                Err(wayland_client::backend::WaylandError::Io(error))
                    if error.kind() == std::io::ErrorKind::WouldBlock => {}
                Err(error) => return Err(error.into()),
            }
        }
    }
    Ok(())
}

impl Measuring {
    /// The compositor gave an output's surface its size.
    fn place(&mut self, index: usize, handle: &QueueHandle<Measuring>) -> std::io::Result<()> {
        let output = &mut self.outputs[index];
        let Some(shown) = &output.shown else {
            return Ok(());
        };
        // Some compositors leave the size to the program.
        let [width, height] = output.size_px.map(|side| side.max(1));
        let stride = width.saturating_mul(4);
        let bytes = stride.saturating_mul(height);
        // Zeros are black.
        let file = memory()?;
        file.set_len(u64::try_from(bytes).unwrap_or_default())?;
        let pool = self.shm.create_pool(file.as_fd(), bytes, handle, ());
        let buffer = pool.create_buffer(0, width, height, stride, Format::Xrgb8888, handle, ());
        pool.destroy();
        shown.surface.attach(Some(&buffer), 0, 0);
        shown.surface.damage(0, 0, width, height);
        if !std::mem::replace(&mut output.is_placed, true) {
            self.ask(index, handle);
        } else {
            shown.surface.commit();
        }
        Ok(())
    }

    /// Asks for one more frame, and when it is presented.
    fn ask(&self, index: usize, handle: &QueueHandle<Measuring>) {
        let Some(shown) = &self.outputs[index].shown else {
            return;
        };
        if let Some(presentation) = &self.presentation {
            presentation.feedback(&shown.surface, handle, index);
        }
        shown.surface.frame(handle, index);
        // A frame in which nothing changes may be left out.
        shown.surface.damage(0, 0, 1, 1);
        shown.surface.commit();
    }
}

/// A file in memory, where there is such a place.
fn memory() -> std::io::Result<File> {
    match std::env::var_os("XDG_RUNTIME_DIR") {
        Some(folder) => tempfile::tempfile_in(folder).or_else(|_| tempfile::tempfile()),
        None => tempfile::tempfile(),
    }
}

impl Output {
    fn recording(self) -> Recording {
        let heard = if self.elsewhere > self.ticks.len() {
            Err("the compositor showed it in step with another display".to_owned())
        } else if !self.is_placed {
            Err("the compositor gave it no full-screen surface in time".to_owned())
        } else if self.ticks.len() >= FEWEST {
            let clock = if self.is_synchronised {
                Clock::Display
            } else {
                Clock::Compositor
            };
            Ok((clock, Ticks::Counted(self.ticks)))
        } else {
            Ok((Clock::Callbacks, Ticks::Uncounted(self.frames_s)))
        };
        Recording {
            display: self.name,
            set_hz: self.set_hz,
            heard,
        }
    }
}
