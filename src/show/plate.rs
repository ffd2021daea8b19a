//! A picture in a texture on the graphics adapter, drawn pixel for pixel.
//!
//! What changes is sent as runs: their pixels one after the other in a small texture, and
//! for each where it goes. A pass draws every run as a rectangle that fetches its pixels.
//! All textures have one format, so that codes are decoded and encoded alike on the way, or
//! neither, and arrive as they are.

use std::cell::RefCell;
use std::rc::Rc;

use pixels::wgpu;
use rayon::prelude::*;
use throughline::glass::Stale;
use throughline::raster::Run;

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

@group(0) @binding(1) var<uniform> size: vec4<f32>;

struct Quad {
    @builtin(position) at: vec4<f32>,
    @location(0) @interpolate(flat) run: vec2<u32>,
}

@vertex
fn corner_of_run(@builtin(vertex_index) index: u32, @location(0) run: vec2<u32>) -> Quad {
    let width = (run.y >> 22u) + 1u;
    let x = f32((run.x & 0xffffu) + (index & 1u) * width);
    let y = f32((run.x >> 16u) + (index >> 1u));
    let at = vec2<f32>(x, y) / size.xy * 2.0 - 1.0;
    return Quad(vec4<f32>(at.x, -at.y, 0.0, 1.0), run);
}

@fragment
fn pixel_of_run(quad: Quad) -> @location(0) vec4<f32> {
    let along = i32(floor(quad.at.x)) - i32(quad.run.x & 0xffffu);
    let index = i32(quad.run.y & 0x3fffffu) + along;
    return textureLoad(picture, vec2<i32>(index % 2048, index / 2048), 0);
}
";

/// Columns of the texture that pixels are sent in; every adapter has as many.
const SENT_COLUMNS: u32 = 2048;
/// Its rows.
const SENT_ROWS: u32 = 256;
/// Most pixels of a run that is sent in one.
const LONGEST: u32 = 1 << 10;
/// Bytes that say where a run goes.
const HEAD_BYTES: u64 = 8;
/// Pixels that one thread packs at a time, about.
const PX_AT_ONCE: u32 = 1 << 16;
/// Rows of the whole that are sent at a time.
const ROWS_AT_ONCE: u32 = 64;

/// How plates of a device are written and drawn into targets of one format.
#[derive(Debug, Clone)]
pub(crate) struct Pipeline {
    drawing: wgpu::RenderPipeline,
    writing: wgpu::RenderPipeline,
    target: wgpu::TextureFormat,
    tray: Rc<RefCell<Tray>>,
}

/// What runs are sent in, one window's after the other's.
#[derive(Debug)]
struct Tray {
    /// Their pixels,
    pixels: wgpu::Texture,
    /// where they go,
    heads: wgpu::Buffer,
    /// and how large the plate is.
    size: wgpu::Buffer,
    bound: wgpu::BindGroup,
}

impl Tray {
    fn new(
        device: &wgpu::Device,
        writing: &wgpu::RenderPipeline,
        format: wgpu::TextureFormat,
    ) -> Tray {
        let pixels = texture(device, format, [SENT_COLUMNS, SENT_ROWS]);
        let size = device.create_buffer(&wgpu::BufferDescriptor {
            label: None,
            size: 16,
            usage: wgpu::BufferUsages::UNIFORM | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        });
        Tray {
            bound: bind_group(device, writing, &pixels, Some(&size)),
            heads: heads(device, 1 << 12),
            pixels,
            size,
        }
    }
}

impl Pipeline {
    /// A pipeline for targets of a format.
    pub(crate) fn new(device: &wgpu::Device, target: wgpu::TextureFormat) -> Pipeline {
        let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: None,
            source: wgpu::ShaderSource::Wgsl(SHADER.into()),
        });
        let pipeline = |[vertex, fragment]: [&str; 2], buffers: &[_], topology| {
            device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
                label: None,
                layout: None,
                vertex: wgpu::VertexState {
                    module: &module,
                    entry_point: Some(vertex),
                    buffers,
                    compilation_options: wgpu::PipelineCompilationOptions::default(),
                },
                primitive: wgpu::PrimitiveState {
                    topology,
                    ..wgpu::PrimitiveState::default()
                },
                depth_stencil: None,
                multisample: wgpu::MultisampleState::default(),
                fragment: Some(wgpu::FragmentState {
                    module: &module,
                    entry_point: Some(fragment),
                    compilation_options: wgpu::PipelineCompilationOptions::default(),
                    targets: &[Some(target.into())],
                }),
                multiview_mask: None,
                cache: None,
            })
        };
        let heads = wgpu::VertexBufferLayout {
            array_stride: HEAD_BYTES,
            step_mode: wgpu::VertexStepMode::Instance,
            attributes: &wgpu::vertex_attr_array![0 => Uint32x2],
        };
        let writing = pipeline(
            ["corner_of_run", "pixel_of_run"],
            &[heads],
            wgpu::PrimitiveTopology::TriangleStrip,
        );
        Pipeline {
            drawing: pipeline(
                ["corner", "pixel"],
                &[],
                wgpu::PrimitiveTopology::TriangleList,
            ),
            tray: Rc::new(RefCell::new(Tray::new(device, &writing, target))),
            writing,
            target,
        }
    }

    /// The targets' format.
    pub(crate) fn target(&self) -> wgpu::TextureFormat {
        self.target
    }
}

/// A texture of a picture's size, and how it is drawn.
pub(crate) struct Plate {
    pipeline: Pipeline,
    texture: wgpu::Texture,
    drawn: wgpu::BindGroup,
}

impl Plate {
    /// A black plate of a size, to be drawn by a pipeline of the same device.
    pub(crate) fn new(device: &wgpu::Device, pipeline: Pipeline, size_px: [u32; 2]) -> Plate {
        let texture = texture(device, pipeline.target, size_px);
        Plate {
            drawn: bind_group(device, &pipeline.drawing, &texture, None),
            pipeline,
            texture,
        }
    }

    /// Takes another size; it is black afterwards.
    pub(crate) fn resize(&mut self, device: &wgpu::Device, size_px: [u32; 2]) {
        self.texture = texture(device, self.pipeline.target, size_px);
        self.drawn = bind_group(device, &self.pipeline.drawing, &self.texture, None);
    }

    /// Uploads what changed of a picture of the plate's size, whose pixels `copy` copies
    /// run by run. Gives the bytes sent.
    pub(crate) fn upload(
        &self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        stale: &Stale,
        copy: impl Fn(Run, &mut [[u8; 4]]) + Sync,
    ) -> u64 {
        match stale {
            Stale::Whole => self.upload_whole(queue, copy),
            Stale::Runs(runs) => self.upload_runs(device, queue, runs, copy),
        }
    }

    fn upload_whole(&self, queue: &wgpu::Queue, copy: impl Fn(Run, &mut [[u8; 4]]) + Sync) -> u64 {
        let wgpu::Extent3d { width, height, .. } = self.texture.size();
        for top in (0..height).step_by(ROWS_AT_ONCE as usize) {
            let h = ROWS_AT_ONCE.min(height - top);
            let rows = (top..top + h).map(|y| Run { x: 0, y, w: width });
            let pixels = self.packed(&rows.collect::<Vec<_>>(), &copy);
            send(queue, &self.texture, &pixels, [0, top, width, h]);
        }
        u64::from(width) * u64::from(height) * 4
    }

    fn upload_runs(
        &self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        runs: &[Run],
        copy: impl Fn(Run, &mut [[u8; 4]]) + Sync,
    ) -> u64 {
        let (mut together, mut px, mut bytes) = (Vec::with_capacity(runs.len()), 0, 0);
        for run in runs {
            for from in (0..run.w).step_by(LONGEST as usize) {
                let w = LONGEST.min(run.w - from);
                if px + w > SENT_COLUMNS * SENT_ROWS {
                    bytes += self.write(device, queue, &together, &copy);
                    together.clear();
                    px = 0;
                }
                let x = run.x + from;
                together.push(Run { x, y: run.y, w });
                px += w;
            }
        }
        bytes + self.write(device, queue, &together, &copy)
    }

    /// The pixels of runs, one run's after the other's, as the texture has them.
    fn packed(&self, runs: &[Run], copy: &(impl Fn(Run, &mut [[u8; 4]]) + Sync)) -> Vec<[u8; 4]> {
        let is_blue_first = matches!(
            self.pipeline.target,
            wgpu::TextureFormat::Bgra8Unorm | wgpu::TextureFormat::Bgra8UnormSrgb
        );
        let all_of = |runs: &[Run]| runs.iter().map(|run| run.w as usize).sum::<usize>();
        let mut pixels = vec![[0; 4]; all_of(runs)];
        let (mut left, mut parts) = (pixels.as_mut_slice(), Vec::new());
        let mut px = 0;
        let is_with_last = |_: &Run, run: &Run| {
            px += run.w;
            px % PX_AT_ONCE >= run.w
        };
        for runs in runs.chunk_by(is_with_last) {
            let (part, rest) = left.split_at_mut(all_of(runs));
            parts.push((runs, part));
            left = rest;
        }
        let pack = |(runs, mut part): (&[Run], &mut [[u8; 4]])| {
            for run in runs {
                let (pixels, rest) = part.split_at_mut(run.w as usize);
                copy(*run, pixels);
                if is_blue_first {
                    pixels.iter_mut().for_each(|pixel| pixel.swap(0, 2));
                }
                part = rest;
            }
        };
        // On all cores, since most lie where no core has them at hand; but to wake one takes
        // longer than to pack a few.
        match parts.len() {
            0 | 1 => parts.into_iter().for_each(pack),
            _ => parts.into_par_iter().for_each(pack),
        }
        pixels
    }

    /// Sends runs, which have room on the tray, and has them written. Gives the bytes sent.
    fn write(
        &self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        runs: &[Run],
        copy: &(impl Fn(Run, &mut [[u8; 4]]) + Sync),
    ) -> u64 {
        if runs.is_empty() {
            return 0;
        }
        let pixels = self.packed(runs, copy);
        let mut at = 0;
        let heads_of = runs.iter().map(|&Run { x, y, w }| {
            let head = [x | y << 16, at | (w - 1) << 22];
            at += w;
            head.map(u32::to_ne_bytes)
        });
        let heads_of: Vec<[[u8; 4]; 2]> = heads_of.collect();
        let bytes = pixels.len() as u64 * 4 + runs.len() as u64 * HEAD_BYTES;
        // What is asked of the queue is done in turn, so the next one may have the tray then.
        let mut tray = self.pipeline.tray.borrow_mut();
        let wgpu::Extent3d { width, height, .. } = self.texture.size();
        let size = [width as f32, height as f32, 0.0, 0.0].map(f32::to_ne_bytes);
        queue.write_buffer(&tray.size, 0, size.as_flattened());
        if runs.len() as u64 * HEAD_BYTES > tray.heads.size() {
            tray.heads = heads(device, runs.len().next_power_of_two());
        }
        queue.write_buffer(&tray.heads, 0, heads_of.as_flattened().as_flattened());
        // Whole rows of the small texture, and the beginning of another.
        let rows = pixels.len() as u32 / SENT_COLUMNS;
        let (whole, last) = pixels.split_at((rows * SENT_COLUMNS) as usize);
        let columns = last.len() as u32;
        send(queue, &tray.pixels, whole, [0, 0, SENT_COLUMNS, rows]);
        send(queue, &tray.pixels, last, [0, rows, columns, 1]);
        draw(device, queue, &self.texture, wgpu::LoadOp::Load, |pass| {
            pass.set_pipeline(&self.pipeline.writing);
            pass.set_bind_group(0, &tray.bound, &[]);
            pass.set_vertex_buffer(0, tray.heads.slice(..));
            pass.draw(0..4, 0..runs.len() as u32);
        });
        bytes
    }

    /// Draws it into a target of its size: a copy, where the target takes one.
    pub(crate) fn draw(&self, device: &wgpu::Device, queue: &wgpu::Queue, target: &wgpu::Texture) {
        let is_copied = target.usage().contains(wgpu::TextureUsages::COPY_DST);
        if is_copied && target.size() == self.texture.size() {
            let mut encoder = device.create_command_encoder(&Default::default());
            let [from, to] = [&self.texture, target].map(wgpu::Texture::as_image_copy);
            encoder.copy_texture_to_texture(from, to, target.size());
            queue.submit(Some(encoder.finish()));
            return;
        }
        let black = wgpu::LoadOp::Clear(wgpu::Color::BLACK);
        draw(device, queue, target, black, |pass| {
            pass.set_pipeline(&self.pipeline.drawing);
            pass.set_bind_group(0, &self.drawn, &[]);
            pass.draw(0..3, 0..1);
        });
    }
}

/// Sends pixels to a rectangle of a texture: left column, top row, columns and rows.
fn send(
    queue: &wgpu::Queue,
    texture: &wgpu::Texture,
    pixels: &[[u8; 4]],
    [x, y, width, height]: [u32; 4],
) {
    if width == 0 || height == 0 {
        return;
    }
    queue.write_texture(
        wgpu::TexelCopyTextureInfo {
            texture,
            mip_level: 0,
            origin: wgpu::Origin3d { x, y, z: 0 },
            aspect: wgpu::TextureAspect::All,
        },
        pixels.as_flattened(),
        wgpu::TexelCopyBufferLayout {
            offset: 0,
            bytes_per_row: Some(width * 4),
            rows_per_image: None,
        },
        wgpu::Extent3d {
            width,
            height,
            depth_or_array_layers: 1,
        },
    );
}

/// Draws into a texture.
fn draw(
    device: &wgpu::Device,
    queue: &wgpu::Queue,
    target: &wgpu::Texture,
    load: wgpu::LoadOp<wgpu::Color>,
    draw: impl FnOnce(&mut wgpu::RenderPass<'_>),
) {
    let view = target.create_view(&wgpu::TextureViewDescriptor::default());
    let mut encoder = device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
    let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
        label: None,
        color_attachments: &[Some(wgpu::RenderPassColorAttachment {
            view: &view,
            resolve_target: None,
            depth_slice: None,
            ops: wgpu::Operations {
                load,
                store: wgpu::StoreOp::Store,
            },
        })],
        depth_stencil_attachment: None,
        timestamp_writes: None,
        occlusion_query_set: None,
        multiview_mask: None,
    });
    draw(&mut pass);
    drop(pass);
    queue.submit(Some(encoder.finish()));
}

/// Room for where so many runs go.
fn heads(device: &wgpu::Device, runs: usize) -> wgpu::Buffer {
    device.create_buffer(&wgpu::BufferDescriptor {
        label: None,
        size: runs as u64 * HEAD_BYTES,
        usage: wgpu::BufferUsages::VERTEX | wgpu::BufferUsages::COPY_DST,
        mapped_at_creation: false,
    })
}

fn texture(
    device: &wgpu::Device,
    format: wgpu::TextureFormat,
    [width, height]: [u32; 2],
) -> wgpu::Texture {
    device.create_texture(&wgpu::TextureDescriptor {
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
        usage: wgpu::TextureUsages::TEXTURE_BINDING
            | wgpu::TextureUsages::RENDER_ATTACHMENT
            | wgpu::TextureUsages::COPY_SRC
            | wgpu::TextureUsages::COPY_DST,
        view_formats: &[],
    })
}

fn bind_group(
    device: &wgpu::Device,
    pipeline: &wgpu::RenderPipeline,
    texture: &wgpu::Texture,
    size: Option<&wgpu::Buffer>,
) -> wgpu::BindGroup {
    let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
    let mut entries = vec![wgpu::BindGroupEntry {
        binding: 0,
        resource: wgpu::BindingResource::TextureView(&view),
    }];
    entries.extend(size.map(|size| wgpu::BindGroupEntry {
        binding: 1,
        resource: size.as_entire_binding(),
    }));
    device.create_bind_group(&wgpu::BindGroupDescriptor {
        label: None,
        layout: &pipeline.get_bind_group_layout(0),
        entries: &entries,
    })
}
