//! How long a pattern takes, as ratios within one run.
//!
//! `cargo bench --package throughline-bench --bench redraw` measures, then prints the table that
//! DEVELOPERS.md holds.

use std::fs;
use std::hint::black_box;
use std::io::BufWriter;
use std::path::Path;
use std::process::{Command, Stdio};

use criterion::Criterion;
use throughline::geometry::Surface;
use throughline::glass::Drawing;
use throughline::pattern::{Choices, Slide};
use throughline::pattern::{Guides, Layers, Pattern};
use throughline::raster::{Picture, Run, draw, update};
use throughline::readings::Eye;
use throughline::rig::{PxRect, Rig};
use throughline::solve::{Priors, next, solve};
use throughline::typeset::Typesetter;
use throughline_bench::ratios::{bench, median_ns, ms, print_peak, program, target};
use throughline_bench::rigs;

fn whole(rig: &Rig) -> PxRect {
    let [w, h] = rig.canvas().size_px;
    PxRect { x: 0, y: 0, w, h }
}

fn full_redraw(rig: &Rig, guides: &Guides, typesetter: &mut Typesetter, picture: &mut Picture) {
    let pattern = Pattern::new(rig, guides, Layers::ALL, typesetter);
    draw(pattern.marks(), picture, whole(rig));
}

/// Strokes the guides as polylines with tiny-skia, the peer: anti-aliased, a
/// point every 16 columns, panel by panel.
fn peer(rig: &Rig, guides: &Guides, pixmap: &mut tiny_skia::Pixmap) {
    let layout = rig.layout();
    pixmap.fill(tiny_skia::Color::BLACK);
    let mut paint = tiny_skia::Paint {
        anti_alias: true,
        ..Default::default()
    };
    paint.set_color_rgba8(255, 255, 255, 255);
    let stroke = tiny_skia::Stroke {
        width: 2.0,
        ..Default::default()
    };
    for guide in guides.iter() {
        for (surface, lit) in layout.surfaces().iter().zip(&rig.canvas().panels) {
            for path in polylines(surface, *lit, guide.plane) {
                pixmap.stroke_path(
                    &path,
                    &paint,
                    &stroke,
                    tiny_skia::Transform::identity(),
                    None,
                );
            }
        }
    }
}

fn polylines(
    surface: &Surface,
    lit: PxRect,
    plane: throughline::geometry::EyePlane,
) -> Vec<tiny_skia::Path> {
    let [w, h] = surface.pixels;
    let mut paths = Vec::new();
    let mut builder = tiny_skia::PathBuilder::new();
    let mut before: Option<[f32; 2]> = None;
    let steps = (w / 16.0) as u32;
    for step in 0..=steps {
        let px = f64::from(step) * w / f64::from(steps);
        let point = surface
            .py_on(plane, px)
            .filter(|row| (-h..2.0 * h).contains(row))
            .map(|row| [px as f32 + lit.x as f32, row as f32 + lit.y as f32]);
        match (before, point) {
            (None, Some([x, y])) => builder.move_to(x, y),
            (Some(_), Some([x, y])) => builder.line_to(x, y),
            (_, None) => paths.extend(std::mem::take(&mut builder).finish()),
        }
        before = point;
    }
    paths.extend(builder.finish());
    paths
}

/// Our strokes of the same guides, nothing else.
fn guides_only(rig: &Rig, guides: &Guides, typesetter: &mut Typesetter, picture: &mut Picture) {
    use throughline::pattern::Layer::{Diagonals, Grid, Horizon};
    let layers = Layers::NONE.with(Grid).with(Diagonals).with(Horizon);
    let pattern = Pattern::new(rig, guides, layers, typesetter);
    draw(pattern.marks(), picture, whole(rig));
}

/// Measures how long a nudge takes from one rig's marks to another's, without the pattern.
/// Gives how many pixels it changes.
fn nudge(criterion: &mut Criterion, name: String, rigs: [&Rig; 2], picture: &mut Picture) -> u32 {
    let (guides, mut typesetter) = (Guides::of(rigs[0]), Typesetter::new());
    let patterns = rigs.map(|rig| Pattern::new(rig, &guides, Layers::ALL, &mut typesetter));
    draw(patterns[0].marks(), picture, whole(rigs[0]));
    let mut turn = 0;
    let mut step = || {
        turn = 1 - turn;
        update(patterns[1 - turn].marks(), patterns[turn].marks(), picture)
    };
    let changed: Vec<Run> = step();
    criterion.bench_function(&name, |b| b.iter(&mut step));
    changed.iter().map(|run| run.w).sum()
}

fn screenshot(rig: &Path, out: &Path) {
    let status = Command::new(program())
        .args([
            "screenshot",
            &rig.to_string_lossy(),
            "--out",
            &out.to_string_lossy(),
        ])
        .stdout(Stdio::null())
        .status();
    assert!(status.expect("the program runs").success());
}

/// Encodes a finished picture with the encoder and the settings of `screenshot`.
fn encode(picture: &Picture, out: &Path) {
    let [w, h] = picture.size_px();
    let file = BufWriter::new(fs::File::create(out).expect("a file"));
    let mut encoder = png::Encoder::new(file, w, h);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_compression(png::Compression::Fast);
    let mut writer = encoder.write_header().expect("a header");
    let rgb: Vec<u8> = picture
        .bytes()
        .as_chunks::<4>()
        .0
        .iter()
        .flat_map(|[r, g, b, _]| [*r, *g, *b])
        .collect();
    writer.write_image_data(&rgb).expect("rows");
}

fn main() {
    let mut criterion = bench(20, 3);
    let folder = target().join("tmp");
    let mut typesetter = Typesetter::new();

    // The canvas of the promises: 7680 × 1440, three panels.
    let text = rigs::row_of(3, [2560, 1440]);
    let before = rigs::rig(&text, &[]);
    let after = rigs::rig(&text, &[("seam.1.angle_deg", "45.2")]);
    let guides = Guides::of(&before);
    let mut picture = Picture::new(before.canvas().size_px);
    let [w, h] = before.canvas().size_px;

    criterion.bench_function("fill", |b| {
        b.iter(|| {
            black_box(picture.bytes_mut())
                .as_chunks_mut::<4>()
                .0
                .fill([0, 0, 0, 255]);
        });
    });
    criterion.bench_function("redraw", |b| {
        b.iter(|| full_redraw(&before, &guides, &mut typesetter, &mut picture));
    });
    let mut drawing = Drawing::new(&before, Layers::ALL, Choices::default(), None);
    let mut turn = 0;
    criterion.bench_function("nudge", |b| {
        b.iter(|| {
            // To and fro, from the value that is drawn to the other one.
            turn = 1 - turn;
            drawing.update(
                [&before, &after][turn],
                Layers::ALL,
                Choices::default(),
                None,
            )
        });
    });
    drop(drawing);
    // What memory alone asks for: the pixels that a nudge changes, read and written.
    let runs = {
        let patterns =
            [&before, &after].map(|rig| Pattern::new(rig, &guides, Layers::ALL, &mut typesetter));
        draw(patterns[0].marks(), &mut picture, whole(&before));
        update(patterns[0].marks(), patterns[1].marks(), &mut picture)
    };
    criterion.bench_function("changed pixels", |b| {
        b.iter(|| {
            let pixels = black_box(&mut picture).pixels_mut();
            for run in &runs {
                let from = run.y as usize * w as usize + run.x as usize;
                for pixel in &mut pixels[from..from + run.w as usize] {
                    *pixel = pixel.map(|code| !code);
                }
            }
        });
    });
    criterion.bench_function("pattern", |b| {
        b.iter(|| Pattern::new(&before, &guides, Layers::ALL, &mut typesetter));
    });
    // A line that is slid over all layers.
    let estimate = solve(&before, &[], &Priors::new(&before, &[]));
    let line = next(&before, &estimate, &[], Eye::PEEP_CARD).map(|choice| choice.line);
    let slid = [0.0, 0.25].map(|up_px| {
        let choices = Choices {
            slide: line.map(|line| Slide { line, up_px }),
            ..Choices::default()
        };
        Pattern::with_choices(&before, &guides, Layers::ALL, choices, &mut typesetter)
    });
    draw(slid[0].marks(), &mut picture, whole(&before));
    turn = 0;
    criterion.bench_function("slide", |b| {
        b.iter(|| {
            turn = 1 - turn;
            update(slid[1 - turn].marks(), slid[turn].marks(), &mut picture)
        });
    });
    criterion.bench_function("guides", |b| {
        b.iter(|| guides_only(&before, &guides, &mut typesetter, &mut picture));
    });
    let mut pixmap = tiny_skia::Pixmap::new(w, h).expect("room");
    criterion.bench_function("peer", |b| b.iter(|| peer(&before, &guides, &mut pixmap)));
    drop(pixmap);

    let rig_path = folder.join("bench.toml");
    let png_path = folder.join("bench.png");
    fs::write(&rig_path, &text).expect("the rig file");
    full_redraw(&before, &guides, &mut typesetter, &mut picture);
    criterion.bench_function("encode", |b| b.iter(|| encode(&picture, &png_path)));
    criterion.bench_function("screenshot", |b| {
        b.iter(|| screenshot(&rig_path, &png_path));
    });

    // Pixels that a nudge changes, in the order of the sizes and the counts.
    let mut changed_px: Vec<u32> = Vec::new();
    let sizes = [
        (2, [1, 1]),
        (4, [2, 1]),
        (8, [2, 2]),
        (16, [4, 2]),
        (32, [4, 4]),
        (64, [8, 4]),
    ];
    for (mpx, [across, down]) in sizes {
        let rig = rigs::rig(&rigs::row_of(1, [1600 * across, 1250 * down]), &[]);
        let guides = Guides::of(&rig);
        let mut picture = Picture::new(rig.canvas().size_px);
        criterion.bench_function(&format!("size {mpx}"), |b| {
            b.iter(|| full_redraw(&rig, &guides, &mut typesetter, &mut picture));
        });
        let nudged = rigs::rig(
            &rigs::row_of(1, [1600 * across, 1250 * down]),
            &[("panel.1.tilt_deg", "0.2")],
        );
        let name = format!("nudge of {mpx} Mpx");
        changed_px.push(nudge(&mut criterion, name, [&rig, &nudged], &mut picture));
    }
    let counts = [1, 2, 3, 6, 12];
    for count in counts {
        let width = 7680 / count as u32;
        let rig = rigs::rig(&rigs::row_of(count, [width, 1440]), &[]);
        let guides = Guides::of(&rig);
        let mut picture = Picture::new(rig.canvas().size_px);
        criterion.bench_function(&format!("panels {count}"), |b| {
            b.iter(|| full_redraw(&rig, &guides, &mut typesetter, &mut picture));
        });
        let nudged = rigs::rig(
            &rigs::row_of(count, [width, 1440]),
            &[("panel.1.tilt_deg", "0.2")],
        );
        let name = format!("nudge of {count} panels");
        changed_px.push(nudge(&mut criterion, name, [&rig, &nudged], &mut picture));
    }
    criterion.final_summary();

    let Some(fill) = median_ns("fill") else {
        return;
    };
    let of_fill = |name: &str| median_ns(name).unwrap_or(f64::NAN) / fill;
    let ratio = |name: &str, other: &str| {
        median_ns(name).unwrap_or(f64::NAN) / median_ns(other).unwrap_or(f64::NAN)
    };
    println!("\n| 7680 × 1440 px, three panels, all layers | measured | promised |");
    println!("| --- | --- | --- |");
    println!("| fill of the buffer, one core | {} | 1 |", ms(fill));
    println!(
        "| full redraw / fill | {:.2} | at most 2.5 |",
        of_fill("redraw")
    );
    println!(
        "| redraw after nudging one seam / fill | {:.2} | at most 1, not always met |",
        of_fill("nudge")
    );
    println!(
        "| of it, working out the pattern / fill | {:.2} | |",
        of_fill("pattern")
    );
    println!(
        "| reading and writing the pixels that it changes, one core / fill | {:.2} | |",
        of_fill("changed pixels")
    );
    println!(
        "| sliding one line over all layers / full redraw | {:.3} | at most 0.1 |",
        ratio("slide", "redraw")
    );
    println!(
        "| tiny-skia polylines / our guides | {:.1} | at least 5 |",
        ratio("peer", "guides")
    );
    println!(
        "| `screenshot` / encoding | {:.2} | at most 1.5 |",
        ratio("screenshot", "encode")
    );
    let canvas_bytes = f64::from(w) * f64::from(h) * 4.0;
    let limit = 1.6 * canvas_bytes + f64::from(40 << 20);
    let mut shot = Command::new(program());
    shot.arg("screenshot")
        .arg(&rig_path)
        .arg("--out")
        .arg(&png_path);
    print_peak("screenshot", &mut shot, limit);
    let row = |name: String, nudge: String, mpx: f64, px: u32| {
        let [full, nudged] = [name.clone(), nudge].map(|name| median_ns(&name).unwrap_or(f64::NAN));
        println!(
            "| {} | {} | {} | {} | {:.2} Mpx | {:.1} ns |",
            name.replace("size ", "").replace("panels ", ""),
            ms(full),
            ms(full / mpx),
            ms(nudged),
            f64::from(px) / 1e6,
            nudged / f64::from(px)
        );
    };
    let head = "full redraw | per Mpx | a panel's tilt | changes | per changed pixel |\n\
                | --- | --- | --- | --- | --- | --- |";
    println!("\n| Mpx of one panel | {head}");
    let mut changed_px = changed_px.into_iter();
    for (mpx, _) in sizes {
        let px = changed_px.next().unwrap_or(0);
        row(
            format!("size {mpx}"),
            format!("nudge of {mpx} Mpx"),
            mpx.into(),
            px,
        );
    }
    println!("\n| panels on 11 Mpx | {head}");
    for count in counts {
        let px = changed_px.next().unwrap_or(0);
        row(
            format!("panels {count}"),
            format!("nudge of {count} panels"),
            11.06,
            px,
        );
    }
}
