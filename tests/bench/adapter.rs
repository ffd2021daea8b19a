//! A nudge, a slide and what moves, from the rig to the finished frame, on the graphics
//! adapter that is there, without a window: how long it takes of a display's refresh, how
//! much is sent, and whether the frame has the picture's bytes.
//!
//! `cargo bench --package throughline-bench --bench adapter`; `WGPU_ADAPTER_NAME` chooses among several.

#[path = "../../src/show/plate.rs"]
#[allow(
    dead_code,
    reason = "the bench's window never grows, and its format is known"
)]
mod plate;

use std::time::{Duration, Instant};

use criterion::Criterion;
use pixels::wgpu;
use plate::{Pipeline, Plate};
use throughline::glass::{Drawing, Glass, Piece, Redrawn};
use throughline::pattern::{Choices, Guides, Layer, Layers, Motion, Pattern, Slide};
use throughline::raster::{Picture, draw};
use throughline::readings::Eye;
use throughline::rig::{PxRect, Rig, read};
use throughline::solve::{Priors, next, solve};
use throughline::typeset::Typesetter;
use throughline_bench::ratios::{median_ns, ms};

/// As surfaces have it, but for the order of the colours.
const FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8UnormSrgb;
/// One refresh at 60 Hz.
const REFRESH_MS: f64 = 1000.0 / 60.0;

/// An adapter and what is drawn into.
struct Adapter {
    device: wgpu::Device,
    queue: wgpu::Queue,
    target: wgpu::Texture,
}

impl Adapter {
    fn new([width, height]: [u32; 2]) -> Adapter {
        let instance = wgpu::Instance::new(wgpu::InstanceDescriptor {
            backends: wgpu::Backends::from_env().unwrap_or(wgpu::Backends::PRIMARY),
            ..wgpu::InstanceDescriptor::new_without_display_handle_from_env()
        });
        let adapter = pollster::block_on(async {
            match wgpu::util::initialize_adapter_from_env(&instance, None).await {
                Ok(adapter) => Ok(adapter),
                Err(_) => instance.request_adapter(&Default::default()).await,
            }
        });
        let adapter = adapter.expect("there is a graphics adapter");
        let info = adapter.get_info();
        println!(
            "adapter: {} ({:?}, {:?})",
            info.name, info.device_type, info.backend
        );
        let (device, queue) = pollster::block_on(adapter.request_device(&wgpu::DeviceDescriptor {
            required_limits: adapter.limits(),
            ..Default::default()
        }))
        .expect("the adapter can be used");
        let target = device.create_texture(&wgpu::TextureDescriptor {
            label: None,
            size: wgpu::Extent3d {
                width,
                height,
                depth_or_array_layers: 1,
            },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: FORMAT,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT
                | wgpu::TextureUsages::COPY_SRC
                | wgpu::TextureUsages::COPY_DST,
            view_formats: &[],
        });
        Adapter {
            device,
            queue,
            target,
        }
    }

    /// Waits until everything asked for is done.
    fn finish(&self) {
        self.device
            .poll(wgpu::PollType::wait_indefinitely())
            .expect("the adapter answers");
    }

    /// The bytes that were drawn.
    fn drawn(&self) -> Vec<u8> {
        let size = self.target.size();
        let bytes_per_row = size.width * 4;
        let buffer = self.device.create_buffer(&wgpu::BufferDescriptor {
            label: None,
            size: u64::from(bytes_per_row) * u64::from(size.height),
            usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
            mapped_at_creation: false,
        });
        let mut encoder = self.device.create_command_encoder(&Default::default());
        encoder.copy_texture_to_buffer(
            self.target.as_image_copy(),
            wgpu::TexelCopyBufferInfo {
                buffer: &buffer,
                layout: wgpu::TexelCopyBufferLayout {
                    offset: 0,
                    bytes_per_row: Some(bytes_per_row),
                    rows_per_image: None,
                },
            },
            size,
        );
        self.queue.submit(Some(encoder.finish()));
        buffer.map_async(wgpu::MapMode::Read, .., |mapped| {
            mapped.expect("the buffer can be read");
        });
        self.finish();
        buffer.get_mapped_range(..).to_vec()
    }
}

/// The canvas, the window over it and its plate.
struct Desk {
    /// Those that the drawing keeps.
    guides: Guides,
    drawing: Drawing,
    glass: Glass,
    plate: Plate,
    adapter: Adapter,
}

impl Desk {
    fn new(rig: &Rig) -> Desk {
        let size = rig.canvas().size_px;
        let [w, h] = size;
        let whole = PxRect { x: 0, y: 0, w, h };
        let piece = Piece {
            source: whole,
            at_px: [0, 0],
        };
        let glass = Glass::new(size, vec![piece], Vec::new());
        let adapter = Adapter::new(size);
        Desk {
            guides: Guides::of(rig),
            drawing: Drawing::new(rig, Layers::ALL, Choices::default(), None),
            glass,
            plate: Plate::new(
                &adapter.device,
                Pipeline::new(&adapter.device, FORMAT),
                size,
            ),
            adapter,
        }
    }

    /// Draws what differs for a rig and choices, and gives its bytes. The order is that of
    /// `show`.
    fn draw(&mut self, rig: &Rig, layers: Layers, choices: Choices) -> u64 {
        let Redrawn::Runs(runs) = self.drawing.update(rig, layers, choices, None) else {
            unreachable!("the canvas keeps its size");
        };
        self.glass.take(&runs);
        runs.iter().map(|run| u64::from(run.w) * 4).sum()
    }

    /// Draws and shows a change, and holds the frame against a picture drawn anew. Gives
    /// the bytes that changed and those that were sent.
    fn checked(&mut self, rig: &Rig, layers: Layers, choices: Choices) -> [u64; 2] {
        let changed = self.draw(rig, layers, choices);
        let sent = self.show();
        let [w, h] = self.drawing.picture().size_px();
        let mut anew = Picture::new([w, h]);
        let mut typesetter = Typesetter::new();
        let pattern = Pattern::with_choices(rig, &self.guides, layers, choices, &mut typesetter);
        draw(pattern.marks(), &mut anew, PxRect { x: 0, y: 0, w, h });
        assert!(self.adapter.drawn() == anew.bytes(), "{choices:?}");
        [changed, sent]
    }

    /// Uploads what differs and draws the frame, to its end. Gives the bytes sent.
    fn show(&mut self) -> u64 {
        let bytes = self.send();
        self.ask();
        self.adapter.finish();
        bytes
    }

    /// Uploads what differs. Gives the bytes sent.
    fn send(&mut self) -> u64 {
        let Adapter { device, queue, .. } = &self.adapter;
        let stale = self.glass.take_stale();
        let (glass, canvas) = (&self.glass, self.drawing.picture());
        let copy = |run, pixels: &mut _| glass.copy(canvas, run, pixels);
        self.plate.upload(device, queue, &stale, copy)
    }

    /// Asks for the frame.
    fn ask(&self) {
        let Adapter {
            device,
            queue,
            target,
        } = &self.adapter;
        self.plate.draw(device, queue, target);
    }
}

fn main() {
    let text = include_str!("../../rigs/rally-loft.toml");
    let rig = |degrees: &str| {
        let setting = ("seam.1.angle_deg".to_owned(), degrees.to_owned());
        read(text, "rally-loft", &[setting]).expect("a sound rig")
    };
    let rigs = [rig("53.8"), rig("54.0")];
    let mut desk = Desk::new(&rigs[0]);
    let all = desk.show();
    assert!(
        desk.adapter.drawn() == desk.drawing.picture().bytes(),
        "first frame"
    );
    let still = Choices::default();
    let estimate = solve(&rigs[1], &[], &Priors::new(&rigs[1], &[]));
    let line = next(&rigs[1], &estimate, &[], Eye::PEEP_CARD).map(|choice| choice.line);
    let slid = |up_px: f64| Choices {
        slide: line.map(|line| Slide { line, up_px }),
        ..still
    };
    let moved = |frame: u32| {
        let speed_deg_s = Motion::SPEEDS_DEG_S[1];
        let motion = Motion { frame, speed_deg_s };
        Choices { motion, ..still }
    };
    let bars = Layers::NONE.with(Layer::Motion);
    let nudge = desk.checked(&rigs[1], Layers::ALL, still);
    desk.checked(&rigs[1], Layers::NONE, slid(0.0));
    let slide = desk.checked(&rigs[1], Layers::NONE, slid(0.25));
    desk.checked(&rigs[1], bars, moved(100));
    let motion = desk.checked(&rigs[1], bars, moved(101));
    println!("all frames have the bytes of pictures drawn anew");

    let mut criterion = Criterion::default()
        .sample_size(40)
        .without_plots()
        .configure_from_args();
    let mut turn = 0;
    desk.checked(&rigs[1], Layers::ALL, still);
    criterion.bench_function("nudge to finished frame", |bencher| {
        bencher.iter(|| {
            desk.draw(&rigs[turn % 2], Layers::ALL, still);
            desk.show();
            turn += 1;
        });
    });
    criterion.bench_function("nudge to picture", |bencher| {
        bencher.iter(|| {
            desk.draw(&rigs[turn % 2], Layers::ALL, still);
            turn += 1;
        });
    });
    criterion.bench_function("slide to finished frame", |bencher| {
        bencher.iter(|| {
            desk.draw(
                &rigs[1],
                Layers::NONE,
                slid(f64::from(turn as u32 % 2) / 4.0),
            );
            desk.show();
            turn += 1;
        });
    });
    criterion.bench_function("frame of what moves", |bencher| {
        bencher.iter(|| {
            desk.draw(&rigs[1], bars, moved(turn as u32));
            desk.show();
            turn += 1;
        });
    });
    criterion.final_summary();

    println!(
        "\n| of {:.1} MB | to the finished frame | of a refresh at 60 Hz | sent | sent / changed |",
        all as f64 / 1e6
    );
    println!("| --- | --- | --- | --- | --- |");
    for (name, what, [changed, sent]) in [
        ("nudge to finished frame", "a nudge of a seam", nudge),
        ("slide to finished frame", "a slide of a line", slide),
        ("frame of what moves", "a frame of what moves", motion),
    ] {
        let time = median_ns(name).unwrap_or(f64::NAN);
        println!(
            "| {what} | {} | {:.2} | {:.3} MB | {:.2} |",
            ms(time),
            time / 1e6 / REFRESH_MS,
            sent as f64 / 1e6,
            sent as f64 / changed as f64
        );
    }
    let picture = median_ns("nudge to picture").unwrap_or(f64::NAN);
    println!("of the nudge, to the picture: {}", ms(picture));
    // All of it, part by part.
    const NUDGES: u32 = 100;
    let mut times = [Duration::ZERO; 4];
    for _ in 0..NUDGES {
        let mut at = Instant::now();
        let mut note = |part: usize| {
            times[part] += at.elapsed();
            at = Instant::now();
        };
        desk.draw(&rigs[turn % 2], Layers::ALL, still);
        note(0);
        desk.send();
        note(1);
        desk.ask();
        note(2);
        desk.adapter.finish();
        note(3);
        turn += 1;
    }
    let each = |time: Duration| ms(time.as_secs_f64() * 1e9 / f64::from(NUDGES));
    let [drawing, sending, asking, waiting] = times.map(each);
    println!(
        "part by part: drawing {drawing}, packing and sending {sending}, asking for the frame \
         {asking}, waiting {waiting}"
    );
    // At its own pace, as in `show`, which waits for no frame: what all threads take while
    // it moves, with and without the adapter.
    for is_shown in [false, true] {
        let Some(before) = processor_s() else {
            break;
        };
        let start = Instant::now();
        for frame in 0..300 {
            desk.draw(&rigs[1], bars, moved(frame));
            if is_shown {
                desk.send();
                desk.ask();
            } else {
                desk.glass.take_stale();
            }
            let due = Duration::from_secs_f64(f64::from(frame + 1) / 60.0);
            std::thread::sleep(due.saturating_sub(start.elapsed()));
            // Lets go of what is done.
            let polled = desk.adapter.device.poll(wgpu::PollType::Poll);
            polled.expect("the adapter answers");
        }
        let took = start.elapsed().as_secs_f64();
        let after = processor_s().unwrap_or([f64::NAN; 2]);
        let [own, system] = [0, 1].map(|at| (after[at] - before[at]) / took * 100.0);
        println!(
            "what moves, at 60 Hz, {}: {:.1} % of a core, of it {system:.1} in the system",
            if is_shown { "shown" } else { "drawn alone" },
            own + system
        );
    }
}

/// Processor time of this program so far, its own and the system's for it, as Linux tells
/// them in hundredths of a second.
fn processor_s() -> Option<[f64; 2]> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    let (_, numbers) = text.rsplit_once(") ")?;
    let number = |at: usize| numbers.split(' ').nth(at)?.parse::<f64>().ok();
    Some([number(11)? / 100.0, number(12)? / 100.0])
}
