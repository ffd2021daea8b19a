//! A picture in a texture on the graphics adapter, drawn pixel for pixel.

use pixels::wgpu;
use throughline::raster::Picture;
use throughline::rig::PxRect;

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

/// How plates are drawn into targets of one format.
#[derive(Debug, Clone)]
pub(crate) struct Pipeline {
    inner: wgpu::RenderPipeline,
    target: wgpu::TextureFormat,
}

impl Pipeline {
    /// A pipeline for targets of a format.
    pub(crate) fn new(device: &wgpu::Device, target: wgpu::TextureFormat) -> Pipeline {
        let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: None,
            source: wgpu::ShaderSource::Wgsl(SHADER.into()),
        });
        let inner = device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
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
                targets: &[Some(target.into())],
            }),
            multiview_mask: None,
            cache: None,
        });
        Pipeline { inner, target }
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
    bind_group: wgpu::BindGroup,
}

impl Plate {
    /// A black plate of a size, to be drawn by a pipeline of the same device.
    pub(crate) fn new(device: &wgpu::Device, pipeline: Pipeline, size_px: [u32; 2]) -> Plate {
        let texture = texture(device, pipeline.target, size_px);
        Plate {
            bind_group: bind_group(device, &pipeline.inner, &texture),
            pipeline,
            texture,
        }
    }

    /// Takes another size; it is black afterwards.
    pub(crate) fn resize(&mut self, device: &wgpu::Device, size_px: [u32; 2]) {
        self.texture = texture(device, self.pipeline.target, size_px);
        self.bind_group = bind_group(device, &self.pipeline.inner, &self.texture);
    }

    /// Uploads parts of a picture of the plate's size. Gives the bytes sent.
    pub(crate) fn upload(&self, queue: &wgpu::Queue, picture: &Picture, parts: &[PxRect]) -> u64 {
        let stride = picture.stride() as u64;
        for part in parts {
            queue.write_texture(
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

    /// Draws it into a target of its size.
    pub(crate) fn draw(&self, device: &wgpu::Device, queue: &wgpu::Queue, target: &wgpu::Texture) {
        let view = target.create_view(&wgpu::TextureViewDescriptor::default());
        let mut encoder = device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: None,
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &view,
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
        pass.set_pipeline(&self.pipeline.inner);
        pass.set_bind_group(0, &self.bind_group, &[]);
        pass.draw(0..3, 0..1);
        drop(pass);
        queue.submit(Some(encoder.finish()));
    }
}

fn texture(
    device: &wgpu::Device,
    target: wgpu::TextureFormat,
    [width, height]: [u32; 2],
) -> wgpu::Texture {
    // Codes must arrive as they are, so both ends decode or neither does.
    let format = if target.is_srgb() {
        wgpu::TextureFormat::Rgba8UnormSrgb
    } else {
        wgpu::TextureFormat::Rgba8Unorm
    };
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
        usage: wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST,
        view_formats: &[],
    })
}

fn bind_group(
    device: &wgpu::Device,
    pipeline: &wgpu::RenderPipeline,
    texture: &wgpu::Texture,
) -> wgpu::BindGroup {
    let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
    device.create_bind_group(&wgpu::BindGroupDescriptor {
        label: None,
        layout: &pipeline.get_bind_group_layout(0),
        entries: &[wgpu::BindGroupEntry {
            binding: 0,
            resource: wgpu::BindingResource::TextureView(&view),
        }],
    })
}
