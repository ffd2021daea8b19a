//! Puts a picture into a window, pixel for pixel, and uploads only what changed.
//!
//! `pixels` uploads its whole buffer at every frame, so its buffer is one pixel
//! here, and the picture lives in a texture of our own.

use std::sync::Arc;

use pixels::{PixelsBuilder, SurfaceTexture, wgpu};
use throughline::raster::Picture;
use throughline::rig::PxRect;
use winit::dpi::PhysicalSize;
use winit::window::Window;

/// A window's surface and the texture behind it.
pub struct Presenter {
    window: Arc<Window>,
    pixels: pixels::Pixels<'static>,
    pipeline: wgpu::RenderPipeline,
    texture: wgpu::Texture,
    bind_group: wgpu::BindGroup,
    size_px: [u32; 2],
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

/// Every adapter that the library can use draws this much.
const SAFE_SIDE_PX: u32 = 1024;

const SHADER: &str = "
@group(0) @binding(0) var picture: texture_2d<f32>;

@vertex
fn corner(@builtin(vertex_index) index: u32) -> @builtin(position) vec4<f32> {
    let x = f32(index & 1u) * 4.0 - 1.0;
    let y = f32(index >> 1u) * 4.0 - 1.0;
    return vec4<f32>(x, y, 0.0, 1.0);
}

@fragment
fn pixel(@builtin(position) at: vec4<f32>) -> @location(0) vec4<f32> {
    return textureLoad(picture, vec2<i32>(floor(at.xy)), 0);
}
";

impl Presenter {
    /// Sets up drawing into a window.
    ///
    /// # Errors
    ///
    /// Without an adapter, or where the window is larger than it draws.
    pub fn new(window: Arc<Window>) -> Result<Presenter, PresentError> {
        let [w, h] = inner_size(&window);
        let first = [w, h].map(|side| side.min(SAFE_SIDE_PX));
        let backends = wgpu::Backends::from_env().unwrap_or(wgpu::Backends::PRIMARY);
        let surface = SurfaceTexture::new(first[0], first[1], Arc::clone(&window));
        let pixels = PixelsBuilder::new(1, 1, surface)
            .wgpu_backend(backends)
            .build()
            .map_err(|error| PresentError::NoAdapter(reason(&error)))?;

        let device = pixels.device();
        let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: None,
            source: wgpu::ShaderSource::Wgsl(SHADER.into()),
        });
        let pipeline = device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
            label: None,
            layout: None,
            vertex: wgpu::VertexState {
                module: &module,
                entry_point: Some("corner"),
                buffers: &[],
                compilation_options: wgpu::PipelineCompilationOptions::default(),
            },
            primitive: wgpu::PrimitiveState::default(),
            depth_stencil: None,
            multisample: wgpu::MultisampleState::default(),
            fragment: Some(wgpu::FragmentState {
                module: &module,
                entry_point: Some("pixel"),
                compilation_options: wgpu::PipelineCompilationOptions::default(),
                targets: &[Some(pixels.render_texture_format().into())],
            }),
            multiview_mask: None,
            cache: None,
        });
        let (texture, bind_group) = texture(&pixels, &pipeline, [1, 1]);
        let mut presenter = Presenter {
            window,
            pixels,
            pipeline,
            texture,
            bind_group,
            size_px: first,
        };
        presenter.resize([w, h])?;
        Ok(presenter)
    }

    /// Columns and rows of the surface.
    pub fn size_px(&self) -> [u32; 2] {
        self.size_px
    }

    /// The size that the window has now.
    pub fn window_size_px(&self) -> [u32; 2] {
        inner_size(&self.window)
    }

    /// Most columns, and most rows, that the adapter draws.
    pub fn limit_px(&self) -> u32 {
        self.pixels.device().limits().max_texture_dimension_2d
    }

    /// Follows the window's size; the texture is black afterwards.
    ///
    /// # Errors
    ///
    /// Where the window is larger than the adapter draws.
    pub fn resize(&mut self, size_px: [u32; 2]) -> Result<(), PresentError> {
        let [w, h] = size_px;
        self.pixels
            .resize_surface(w, h)
            .map_err(|_| PresentError::TooLarge {
                size_px,
                limit_px: self.limit_px(),
            })?;
        (self.texture, self.bind_group) = texture(&self.pixels, &self.pipeline, size_px);
        self.size_px = size_px;
        Ok(())
    }

    /// Uploads parts of a picture of the surface's size. Gives the bytes sent.
    pub fn upload(&self, picture: &Picture, parts: &[PxRect]) -> u64 {
        let stride = picture.stride() as u64;
        for part in parts {
            self.pixels.queue().write_texture(
                wgpu::TexelCopyTextureInfo {
                    texture: &self.texture,
                    mip_level: 0,
                    origin: wgpu::Origin3d {
                        x: part.x,
                        y: part.y,
                        z: 0,
                    },
                    aspect: wgpu::TextureAspect::All,
                },
                picture.bytes(),
                wgpu::TexelCopyBufferLayout {
                    offset: u64::from(part.y) * stride + u64::from(part.x) * 4,
                    bytes_per_row: Some(stride as u32),
                    rows_per_image: None,
                },
                wgpu::Extent3d {
                    width: part.w,
                    height: part.h,
                    depth_or_array_layers: 1,
                },
            );
        }
        parts
            .iter()
            .map(|part| u64::from(part.w) * u64::from(part.h) * 4)
            .sum()
    }

    /// Shows the texture. The window must have the surface's size: with any
    /// other, the library tries without end.
    ///
    /// # Errors
    ///
    /// Where the frame could not be drawn.
    pub fn present(&self) -> Result<(), PresentError> {
        let drawn = self.pixels.render_with(|encoder, target, _| {
            let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: None,
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: target,
                    resolve_target: None,
                    depth_slice: None,
                    ops: wgpu::Operations {
                        load: wgpu::LoadOp::Clear(wgpu::Color::BLACK),
                        store: wgpu::StoreOp::Store,
                    },
                })],
                depth_stencil_attachment: None,
                timestamp_writes: None,
                occlusion_query_set: None,
                multiview_mask: None,
            });
            pass.set_pipeline(&self.pipeline);
            pass.set_bind_group(0, &self.bind_group, &[]);
            pass.draw(0..3, 0..1);
            Ok(())
        });
        drawn.map_err(|error| PresentError::Frame(reason(&error)))
    }
}

fn texture(
    pixels: &pixels::Pixels<'_>,
    pipeline: &wgpu::RenderPipeline,
    [width, height]: [u32; 2],
) -> (wgpu::Texture, wgpu::BindGroup) {
    // Codes must arrive as they are, so both ends decode or neither does.
    let format = if pixels.render_texture_format().is_srgb() {
        wgpu::TextureFormat::Rgba8UnormSrgb
    } else {
        wgpu::TextureFormat::Rgba8Unorm
    };
    let texture = pixels.device().create_texture(&wgpu::TextureDescriptor {
        label: None,
        size: wgpu::Extent3d {
            width,
            height,
            depth_or_array_layers: 1,
        },
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format,
        usage: wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST,
        view_formats: &[],
    });
    let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
    let bind_group = pixels
        .device()
        .create_bind_group(&wgpu::BindGroupDescriptor {
            label: None,
            layout: &pipeline.get_bind_group_layout(0),
            entries: &[wgpu::BindGroupEntry {
                binding: 0,
                resource: wgpu::BindingResource::TextureView(&view),
            }],
        });
    (texture, bind_group)
}

/// A window may be without extent for a moment; a surface may not.
fn inner_size(window: &Window) -> [u32; 2] {
    let PhysicalSize { width, height } = window.inner_size();
    [width.max(1), height.max(1)]
}

fn reason(error: &pixels::Error) -> String {
    error.to_string().trim_end_matches('.').to_owned()
}
