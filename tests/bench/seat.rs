//! How long a seat view takes, as ratios within one run.
//!
//! `cargo bench --package throughline-bench --bench seat` measures, then prints the table that
//! DEVELOPERS.md holds. The peer, the `image` crate's resampling with its
//! triangle filter, averages the same canvas into as many pixels; it works on
//! codes instead of light, on one core, and need not find out where to look.
//! `tests/reference/seat_speed.py` times the whole command against OpenCV.

use std::hint::black_box;

use glam::DVec3;
use image::imageops::{FilterType, resize};
use throughline::pattern::{Guides, Layers, Pattern};
use throughline::raster::{Picture, draw};
use throughline::rig::{PxRect, Rig};
use throughline::seat::{self, Camera, Framing, Scene};
use throughline::typeset::Typesetter;
use throughline_bench::ratios::{bench, median_ns, ms};
use throughline_bench::rigs;

const SIZE_PX: [u32; 2] = [1920, 1080];

fn canvas(rig: &Rig) -> Picture {
    let [w, h] = rig.canvas().size_px;
    let mut picture = Picture::new([w, h]);
    let pattern = Pattern::new(rig, &Guides::of(rig), Layers::ALL, &mut Typesetter::new());
    draw(pattern.marks(), &mut picture, PxRect { x: 0, y: 0, w, h });
    picture
}

fn main() {
    let mut criterion = bench(10, 5);
    // Three panels, 11 megapixels.
    let rig = rigs::rig(&rigs::row_of(3, [2560, 1440]), &[]);
    let canvas = canvas(&rig);
    let framing = Framing {
        size_px: SIZE_PX,
        projection: None,
        look: None,
        fov: None,
    };
    criterion.bench_function("seat view", |b| {
        b.iter(|| {
            let scene = Scene::new(&rig, &rig, DVec3::ZERO);
            let camera = Camera::framing(&scene.outline(), &framing).expect("can be shown");
            black_box(seat::render(scene, &camera, &canvas))
        });
    });
    let [w, h] = canvas.size_px();
    let peer = image::RgbaImage::from_raw(w, h, canvas.bytes().to_vec()).expect("the size fits");
    criterion.bench_function("seat peer", |b| {
        b.iter(|| black_box(resize(&peer, SIZE_PX[0], SIZE_PX[1], FilterType::Triangle)));
    });

    let mut parts = rig.parts().clone();
    parts.seams[0].gap_mm += 3.0;
    let built = Rig::new(parts).expect("a rig");
    let pattern = Pattern::new(&rig, &Guides::of(&rig), Layers::ALL, &mut Typesetter::new());
    let at_seams = seat::at_seams(rig.layout());
    criterion.bench_function("seat cause", |b| {
        b.iter(|| {
            let built = built.layout();
            let seen = seat::readings(&at_seams, built, pattern.lines(), DVec3::ZERO);
            black_box(seat::likeliest(&rig, &at_seams, pattern.lines(), &seen))
        });
    });
    criterion.final_summary();

    let [Some(view), Some(peer), Some(cause)] =
        ["seat view", "seat peer", "seat cause"].map(median_ns)
    else {
        return;
    };
    println!(
        "\n| 11 Mpx canvas in a 1920 × 1080 view | measured | promised |\n| --- | --- | --- |"
    );
    println!("| seat view | {} | |", ms(view));
    println!(
        "| seat view / resampling by `image` | {:.2} | at most 4 |",
        view / peer
    );
    println!("| breaks and their likeliest cause | {} | |", ms(cause));
}
