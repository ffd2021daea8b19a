//! Made-up photographs of demo rigs that stand otherwise than their files say: what
//! `measure` makes of them against how they stand.

mod eyes;
mod shots;

use eyes::Chance;
use shots::{Glass, Phone, stands_otherwise};
use throughline::photo::{Measurement, Photograph, measure};
use throughline::rig::{Rig, demos, read};

fn demo(name: &str) -> Rig {
    let demo = demos().iter().find(|demo| demo.name == name).expect("a demo");
    read(demo.text, demo.name, &[]).expect("a sound rig")
}

/// A file, how the rig stands, and three photographs of it.
fn case(name: &str, seed: u64) -> (Rig, Rig, Vec<Photograph>) {
    let file = demo(name);
    let mut chance = Chance::new(seed);
    let built = (0..20)
        .find_map(|_| stands_otherwise(&file, 1.0, &mut chance))
        .expect("a rig");
    let glass = Glass::usual(&built, &mut chance);
    let phones = Phone::three(&mut chance);
    let photos = phones.iter().map(|phone| phone.shoot(&built, &glass, &mut chance));
    let photos = photos.collect();
    (file, built, photos)
}

/// Error and sigma of each number, by its path.
fn errors(found: &Measurement, built: &Rig) -> Vec<(String, f64, f64)> {
    let values = found.values().iter();
    let error = |value: &throughline::solve::Value| {
        let truth = value.measure.plain(built.parts()).expect("it is there");
        (value.measure.plain_path(), value.solved - truth, value.sigma)
    };
    values.map(error).collect()
}

/// What is promised, by the end of a path.
fn promised(path: &str) -> f64 {
    match path.rsplit('.').next().expect("a key") {
        "fold_deg" => 0.2,
        "gap_mm" | "step_mm" | "rise_mm" => 0.5,
        "roll_deg" | "tilt_deg" => 0.1,
        "distance_mm" | "height_mm" | "offset_mm" if path.starts_with("seat") => 3.0,
        _ => f64::INFINITY,
    }
}

#[test]
fn wrong_rigs_are_measured_as_they_stand() {
    for name in ["tram-cab", "rally-loft", "ferry-bridge", "night-train"] {
        for seed in 0..3 {
            let (file, built, photos) = case(name, seed);
            let start = std::time::Instant::now();
            let found = measure(&file, &photos, Some(0)).expect("it is told");
            let took = start.elapsed();
            println!("{name} {seed} rms {:.3} {:?}", found.rms_px(), took);
            for (photo, taken) in found.photos().iter().enumerate() {
                println!("   photo {photo} {} of {} {:?} {:?}", taken.marks, photos[photo].sightings.len(), taken.rms_px, taken.left_out);
            }
            for (path, error, sigma) in errors(&found, &built) {
                println!("   {path} {error:.3} ({sigma:.3})");
                assert!(error.abs() < promised(&path), "{name} {seed}: {path} is off by {error}");
            }
        }
    }
}
