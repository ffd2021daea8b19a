//! How long photographs take to be found their marks in, and to be measured, as ratios to
//! decoding one within one run.
//!
//! `cargo bench --package throughline-bench --bench measure` measures, then prints the table
//! that DEVELOPERS.md holds.

use std::fs;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::Command;

use glam::DVec3;
use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageReader};
use throughline::grey::Grey;
use throughline::marks;
use throughline::pattern::{Guides, Layer, Layers, Pattern};
use throughline::photo::{self, Photograph};
use throughline::raster::{Picture, draw};
use throughline::rig::{PxRect, Rig, demos};
use throughline::seat::{Camera, Projection, Scene, render};
use throughline::typeset::Typesetter;
use throughline_bench::ratios::{bench, median_ns, ms, print_peak, program, target};
use throughline_bench::rigs;

/// Twelve megapixels.
const SIZE_PX: [u32; 2] = [4000, 3000];
/// Where the photographs are taken from, in millimetres beside the eye.
const PLACES_MM: [[f64; 3]; 3] = [
    [0.0, 0.0, 0.0],
    [-350.0, 20.0, 250.0],
    [350.0, -10.0, 250.0],
];

/// Writes a photograph of a rig that stands a little otherwise, in colour and with noise
/// as cameras have it, since both cost the decoder's time.
fn taken(canvas: &Picture, rig: &Rig, built: &Rig, place_mm: [f64; 3], to: &Path) {
    let camera = Camera::new(Projection::Rectilinear, [0.0, 0.0], 1.45, SIZE_PX);
    let scene = Scene::new(rig, built, DVec3::from_array(place_mm));
    let view = render(scene, &camera.expect("can be shown"), canvas);
    let mut state = place_mm[0].to_bits() | 1;
    let codes: Vec<u8> = (view.bytes().as_chunks::<4>().0.iter())
        .flat_map(|pixel| {
            // Marsaglia's xorshift, evenly within three codes.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            let by = (state % 7) as i16 - 3;
            [0, 1, 2].map(|c| (i16::from(pixel[c]) + by).clamp(0, 255) as u8)
        })
        .collect();
    let file = fs::File::create(to).expect("a file");
    let mut packed = JpegEncoder::new_with_quality(file, 92);
    let [w, h] = SIZE_PX;
    packed
        .encode(&codes, w, h, ExtendedColorType::Rgb8)
        .expect("can be packed");
}

fn decoded(path: &Path) -> Grey {
    let reader = ImageReader::open(path).expect("there");
    let grey = reader.decode().expect("a photograph").into_luma8();
    Grey::new([grey.width(), grey.height()], grey.into_raw()).expect("it has pixels")
}

fn found(grey: &Grey, rig: &Rig) -> Photograph {
    let found = marks::find(grey, rig).expect("marks");
    Photograph {
        size_px: found.size_px,
        sightings: found.sightings,
    }
}

fn whole(paths: &[PathBuf], rig: &Rig) {
    let photographs: Vec<Photograph> = paths
        .iter()
        .map(|path| found(&decoded(path), rig))
        .collect();
    let measured = photo::measure(rig, &photographs, Some(0));
    assert!(black_box(measured).is_ok(), "the rig can be measured");
}

fn main() {
    let mut criterion = bench(10, 5);
    let demo = demos()
        .iter()
        .find(|demo| demo.name == "tram-cab")
        .expect("a demo");
    let rig = rigs::rig(demo.text, &[]);
    let built = rigs::rig(
        demo.text,
        &[("seam.2.angle_deg", "49.1"), ("seam.1.gap_mm", "2.2")],
    );
    let mut typesetter = Typesetter::new();
    let layers = Layers::NONE.with(Layer::Marks);
    let pattern = Pattern::new(&rig, &Guides::of(&rig), layers, &mut typesetter);
    let [w, h] = rig.canvas().size_px;
    let mut canvas = Picture::new([w, h]);
    draw(pattern.marks(), &mut canvas, PxRect { x: 0, y: 0, w, h });
    let folder = target().join("measure-bench");
    fs::create_dir_all(&folder).expect("a folder");
    let paths: Vec<PathBuf> = (PLACES_MM.iter().enumerate())
        .map(|(index, place_mm)| {
            let path = folder.join(format!("{index}.jpg"));
            taken(&canvas, &rig, &built, *place_mm, &path);
            path
        })
        .collect();

    let grey = decoded(&paths[0]);
    criterion.bench_function("decode", |b| b.iter(|| decoded(&paths[0])));
    criterion.bench_function("find marks", |b| b.iter(|| found(&grey, &rig)));
    criterion.bench_function("measure three", |b| b.iter(|| whole(&paths, &rig)));
    criterion.final_summary();
    let Some(decode) = median_ns("decode") else {
        return;
    };
    let of_decode = |name: &str| median_ns(name).unwrap_or(f64::NAN) / decode;
    println!("\n| photographs of 12 Mpx | measured | promised |");
    println!("| --- | --- | --- |");
    println!("| decoding one | {} | 1 |", ms(decode));
    println!(
        "| finding its marks / decoding | {:.2} | at most 4 |",
        of_decode("find marks")
    );
    println!(
        "| the whole of three / decoding | {:.2} | at most 15 |",
        of_decode("measure three")
    );
    let mut measure = Command::new(program());
    measure.arg("measure").arg(demo.name).args(&paths);
    let decoded_bytes = f64::from(SIZE_PX[0]) * f64::from(SIZE_PX[1]) * 3.0;
    let limit = 3.0 * decoded_bytes + f64::from(64 << 20);
    print_peak("measure", &mut measure, limit);
}
