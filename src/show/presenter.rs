//! Shows a picture in a window, pixel for pixel.
//!
//! `pixels` brings wgpu; its own rendering does not serve here. It uploads its
//! whole buffer at every frame, and where the window was resized a moment before,
//! it configures the surface for the old size without end.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use pixels::wgpu;
use throughline::raster::Picture;
use throughline::rig::PxRect;
use winit::dpi::PhysicalSize;
use winit::window::Window;

use super::plate::Plate;
use crate::desktop::one_line;

/// How long until a frame is tried again: after the surface was set up anew,
const AFTER_SET_UP: Duration = Duration::from_millis(50);
/// after the display took none for a second,
const AFTER_TIMEOUT: Duration = Duration::from_millis(250);
/// and while the window can't be seen.
const WHILE_HIDDEN: Duration = Duration::from_secs(1);

/// A window's surface and the picture behind it.
pub struct Presenter {
    window: Arc<Window>,
    surface: wgpu::Surface<'static>,
    device: wgpu::Device,
    queue: wgpu::Queue,
    config: wgpu::SurfaceConfiguration,
    plate: Plate,
    /// Whether the surface was set up anew for the sake of the last frame.
    was_set_up: bool,
    /// What the adapter's driver complained of.
    fault: Arc<Mutex<Option<String>>>,
}

/// What became of a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Frame {
    /// It is on its way to the display.
    Shown,
    /// The window can't show one just now: try again after this time.
    Later(Duration),
}

/// Why a window can't show its picture.
#[derive(Debug)]
pub enum PresentError {
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
    /// Sets up drawing into a window.
    ///
    /// # Errors
    ///
    /// Without an adapter, or where the window is larger than it draws.
    pub fn new(window: Arc<Window>) -> Result<Presenter, PresentError> {
        let backends = wgpu::Backends::from_env().unwrap_or(wgpu::Backends::PRIMARY);
        let instance = wgpu::Instance::new(wgpu::InstanceDescriptor {
            backends,
            ..wgpu::InstanceDescriptor::new_without_display_handle_from_env()
        });
        let no_adapter = |reason: String| PresentError::NoAdapter(one_line(&reason));
        let surface = instance
            .create_surface(Arc::clone(&window))
            .map_err(|error| no_adapter(error.to_string()))?;
        let adapter = pollster::block_on(async {
            let wanted = wgpu::util::initialize_adapter_from_env(&instance, Some(&surface)).await;
            if wanted.is_ok() {
                return wanted;
            }
            let any = wgpu::RequestAdapterOptions {
                compatible_surface: Some(&surface),
                power_preference: wgpu::PowerPreference::from_env().unwrap_or_default(),
                ..Default::default()
            };
            instance.request_adapter(&any).await
        })
        .map_err(|error| no_adapter(error.to_string()))?;
        let (device, queue) = pollster::block_on(adapter.request_device(&wgpu::DeviceDescriptor {
            required_limits: adapter.limits(),
            ..Default::default()
        }))
        .map_err(|error| no_adapter(error.to_string()))?;
        let fault = Arc::new(Mutex::new(None));
        let told = Arc::clone(&fault);
        device.on_uncaptured_error(Arc::new(move |error: wgpu::Error| {
            let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
            told.get_or_insert_with(|| one_line(&error.to_string()));
        }));
        let told = Arc::clone(&fault);
        device.set_device_lost_callback(move |reason, words| {
            // Whoever drops it knows.
            if reason != wgpu::DeviceLostReason::Destroyed {
                let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
                told.get_or_insert(format!(
                    "the graphics adapter was lost: {}",
                    one_line(&words)
                ));
            }
        });

        let [width, height] = inner_size(&window);
        within_limit(&device, [width, height])?;
        let formats = surface.get_capabilities(&adapter).formats;
        // Others than these would take the codes for light.
        let plain = [
            wgpu::TextureFormat::Bgra8Unorm,
            wgpu::TextureFormat::Rgba8Unorm,
        ];
        let srgb = formats.iter().find(|format| format.is_srgb());
        let format = srgb.or(formats.iter().find(|format| plain.contains(format)));
        let Some(&format) = format else {
            let reason = "the adapter has no format of eight bits a colour for it";
            return Err(no_adapter(reason.to_owned()));
        };
        let presenter = Presenter {
            config: wgpu::SurfaceConfiguration {
                usage: wgpu::TextureUsages::RENDER_ATTACHMENT,
                format,
                width,
                height,
                present_mode: wgpu::PresentMode::AutoVsync,
                desired_maximum_frame_latency: 2,
                alpha_mode: wgpu::CompositeAlphaMode::Auto,
                view_formats: Vec::new(),
            },
            plate: Plate::new(&device, format, [width, height]),
            was_set_up: false,
            window,
            surface,
            device,
            queue,
            fault,
        };
        presenter.configure()?;
        Ok(presenter)
    }

    /// Columns and rows of the surface.
    pub fn size_px(&self) -> [u32; 2] {
        [self.config.width, self.config.height]
    }

    /// The size that the window has now.
    pub fn window_size_px(&self) -> [u32; 2] {
        inner_size(&self.window)
    }

    /// Most columns, and most rows, that the adapter draws.
    pub fn limit_px(&self) -> u32 {
        limit_px(&self.device)
    }

    /// Follows the window's size; the picture is black afterwards.
    ///
    /// # Errors
    ///
    /// Where the window is larger than the adapter draws.
    pub fn resize(&mut self, size_px: [u32; 2]) -> Result<(), PresentError> {
        within_limit(&self.device, size_px)?;
        [self.config.width, self.config.height] = size_px;
        self.was_set_up = false;
        self.plate.resize(&self.device, self.config.format, size_px);
        self.configure()
    }

    /// Uploads parts of a picture of the surface's size. Gives the bytes sent.
    pub fn upload(&self, picture: &Picture, parts: &[PxRect]) -> u64 {
        self.plate.upload(&self.queue, picture, parts)
    }

    /// Shows the picture, unless the window was resized or is hidden just now.
    ///
    /// # Errors
    ///
    /// Where the frame could not be drawn.
    pub fn present(&mut self) -> Result<Frame, PresentError> {
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
                self.check()?;
                return Ok(Frame::Later(AFTER_TIMEOUT));
            }
        };
        self.plate.draw(&self.device, &self.queue, &frame.texture);
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
        self.surface.configure(&self.device, &self.config);
        self.check()
    }

    fn check(&self) -> Result<(), PresentError> {
        let mut fault = self.fault.lock().unwrap_or_else(PoisonError::into_inner);
        match fault.take() {
            Some(fault) => Err(PresentError::Frame(fault)),
            None => Ok(()),
        }
    }
}

fn limit_px(device: &wgpu::Device) -> u32 {
    device.limits().max_texture_dimension_2d
}

fn within_limit(device: &wgpu::Device, size_px: [u32; 2]) -> Result<(), PresentError> {
    let limit_px = limit_px(device);
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
