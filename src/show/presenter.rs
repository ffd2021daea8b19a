//! Shows a picture in a window, pixel for pixel.
//!
//! `pixels` brings wgpu; its own rendering does not serve here. It uploads its
//! whole buffer at every frame, and where the window was resized a moment before,
//! it configures the surface for the old size without end.

use std::sync::Arc;
use std::time::Duration;

use pixels::wgpu;
use throughline::glass::Stale;
use throughline::raster::Run;
use winit::dpi::PhysicalSize;
use winit::window::Window;

use super::adapter::{Adapters, Device};
use super::plate::Plate;
use crate::desktop::one_line;
use crate::quiet::quietly;

/// How long until a frame is tried again: after the surface was set up anew,
const AFTER_SET_UP: Duration = Duration::from_millis(50);
/// after the display took none for a second,
const AFTER_TIMEOUT: Duration = Duration::from_millis(250);
/// and while the window can't be seen.
const WHILE_HIDDEN: Duration = Duration::from_secs(1);

/// So many frames refused in a row are no accident: that takes two seconds.
const MOST_REFUSED: u8 = 8;

/// A window's surface and the picture behind it.
pub(super) struct Presenter {
    window: Arc<Window>,
    surface: wgpu::Surface<'static>,
    device: Device,
    config: wgpu::SurfaceConfiguration,
    plate: Plate,
    /// Whether the window can show the newest frame without waiting for those before.
    can_overtake: bool,
    /// Whether the surface was set up anew for the sake of the last frame.
    was_set_up: bool,
    /// How many frames in a row were refused without a reason.
    refused: u8,
}

/// What became of a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Frame {
    /// It is on its way to the display.
    Shown,
    /// The window can't show one just now: try again after this time.
    Later(Duration),
}

/// Why a window can't show its picture.
#[derive(Debug)]
pub(super) enum PresentError {
    /// No graphics adapter can draw into the window.
    NoAdapter(String),
    /// The window has more columns or rows than the adapter draws.
    TooLarge {
        /// Columns and rows wanted.
        size_px: [u32; 2],
        /// Most columns, and most rows.
        limit_px: u32,
    },
    /// The frame could not be drawn.
    Frame(String),
}

impl std::fmt::Display for PresentError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            PresentError::NoAdapter(reason) => write!(
                f,
                "no graphics adapter can draw into a window here ({reason}): install a driver \
                 for Vulkan, or write the pattern to a file with `throughline screenshot`"
            ),
            PresentError::TooLarge {
                size_px: [w, h],
                limit_px,
            } => write!(
                f,
                "the window would be {w} × {h} px, but this graphics adapter draws at most \
                 {limit_px} a side: use --windows per-display, or `throughline screenshot`"
            ),
            PresentError::Frame(reason) => write!(f, "the picture could not be shown: {reason}"),
        }
    }
}

impl Presenter {
    /// Sets up drawing into a window, on an adapter that is open where one can.
    ///
    /// # Errors
    ///
    /// Without an adapter, or where the window is larger than it draws.
    pub(super) fn new(
        window: Arc<Window>,
        adapters: &mut Adapters,
    ) -> Result<Presenter, PresentError> {
        let surface = adapters
            .surface(Arc::clone(&window))
            .map_err(PresentError::NoAdapter)?;
        let adapter = adapters
            .adapter_for(&surface)
            .map_err(PresentError::NoAdapter)?;
        let device = adapter.device();
        let [width, height] = inner_size(&window);
        within_limit(&device, [width, height])?;
        let Some(format) = adapter.format_for(&surface) else {
            let reason = "the adapter has no format of eight bits a colour for it";
            return Err(PresentError::NoAdapter(reason.to_owned()));
        };
        let pipeline = adapter.pipeline(format);
        let presenter = Presenter {
            config: wgpu::SurfaceConfiguration {
                usage: adapter.usage_for(&surface),
                format,
                width,
                height,
                present_mode: wgpu::PresentMode::AutoVsync,
                desired_maximum_frame_latency: 2,
                alpha_mode: wgpu::CompositeAlphaMode::Auto,
                view_formats: Vec::new(),
            },
            plate: Plate::new(&device.inner, pipeline, [width, height]),
            can_overtake: adapter.can_overtake(&surface),
            was_set_up: false,
            refused: 0,
            window,
            surface,
            device,
        };
        presenter.configure()?;
        Ok(presenter)
    }

    /// Columns and rows of the surface.
    pub(super) fn size_px(&self) -> [u32; 2] {
        [self.config.width, self.config.height]
    }

    /// The size that the window has now.
    pub(super) fn window_size_px(&self) -> [u32; 2] {
        inner_size(&self.window)
    }

    /// Most columns, and most rows, that the adapter draws.
    pub(super) fn limit_px(&self) -> u32 {
        self.device.limit_px()
    }

    /// Follows the window's size; the picture is black afterwards.
    ///
    /// # Errors
    ///
    /// Where the window is larger than the adapter draws.
    pub(super) fn resize(&mut self, size_px: [u32; 2]) -> Result<(), PresentError> {
        within_limit(&self.device, size_px)?;
        [self.config.width, self.config.height] = size_px;
        self.was_set_up = false;
        self.plate.resize(&self.device.inner, size_px);
        self.configure()
    }

    /// While a picture moves, a display that is slower than its clock must not hold up
    /// the others: its window shows the newest frame, whole, and leaves older ones out.
    pub(super) fn set_moving(&mut self, is_moving: bool) {
        let mode = if is_moving && self.can_overtake {
            wgpu::PresentMode::Mailbox
        } else {
            wgpu::PresentMode::AutoVsync
        };
        if mode != self.config.present_mode {
            self.config.present_mode = mode;
            self.surface.configure(&self.device.inner, &self.config);
        }
    }

    /// Uploads what changed of a picture of the surface's size, whose pixels `copy`
    /// copies run by run. Gives the bytes sent.
    pub(super) fn upload(&self, stale: &Stale, copy: impl Fn(Run, &mut [[u8; 4]]) + Sync) -> u64 {
        let Device { inner, queue, .. } = &self.device;
        self.plate.upload(inner, queue, stale, copy)
    }

    /// Shows the picture, unless the window was resized or is hidden just now.
    ///
    /// # Errors
    ///
    /// Where the frame could not be drawn.
    pub(super) fn present(&mut self) -> Result<Frame, PresentError> {
        // The graphics library panics over some of what a lost adapter answers.
        let presented = quietly(|| self.present_now());
        presented.unwrap_or_else(|reason| Err(PresentError::Frame(one_line(&reason))))
    }

    fn present_now(&mut self) -> Result<Frame, PresentError> {
        use wgpu::CurrentSurfaceTexture as Found;

        let frame = match self.surface.get_current_texture() {
            Found::Success(frame) => {
                self.was_set_up = false;
                frame
            }
            // Some systems are never content; the picture is whole all the same.
            Found::Suboptimal(frame) if self.was_set_up => frame,
            Found::Suboptimal(frame) => {
                // The surface can't be configured while one of its frames is held.
                drop(frame);
                return self.set_up_anew();
            }
            Found::Outdated | Found::Lost => return self.set_up_anew(),
            Found::Timeout => return Ok(Frame::Later(AFTER_TIMEOUT)),
            Found::Occluded => return Ok(Frame::Later(WHILE_HIDDEN)),
            Found::Validation => {
                // A device that was lost says so when it is asked for its news, if at all.
                let _ = self.device.inner.poll(wgpu::PollType::Poll);
                self.check()?;
                self.refused += 1;
                if self.refused == MOST_REFUSED {
                    let reason = "the graphics adapter takes no more frames";
                    return Err(PresentError::Frame(reason.to_owned()));
                }
                return Ok(Frame::Later(AFTER_TIMEOUT));
            }
        };
        self.refused = 0;
        let Device { inner, queue, .. } = &self.device;
        self.plate.draw(inner, queue, &frame.texture);
        self.window.pre_present_notify();
        frame.present();
        self.check()?;
        Ok(Frame::Shown)
    }

    fn set_up_anew(&mut self) -> Result<Frame, PresentError> {
        self.was_set_up = true;
        self.configure()?;
        Ok(Frame::Later(AFTER_SET_UP))
    }

    fn configure(&self) -> Result<(), PresentError> {
        self.surface.configure(&self.device.inner, &self.config);
        self.check()
    }

    fn check(&self) -> Result<(), PresentError> {
        match self.device.take_fault() {
            Some(fault) => Err(PresentError::Frame(fault)),
            None => Ok(()),
        }
    }
}

fn within_limit(device: &Device, size_px: [u32; 2]) -> Result<(), PresentError> {
    let limit_px = device.limit_px();
    if size_px.iter().any(|&side| side > limit_px) {
        return Err(PresentError::TooLarge { size_px, limit_px });
    }
    Ok(())
}

/// A window may be without extent for a moment; a surface may not.
fn inner_size(window: &Window) -> [u32; 2] {
    let PhysicalSize { width, height } = window.inner_size();
    [width.max(1), height.max(1)]
}
