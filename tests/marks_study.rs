//! Photographs with a known truth, by the folder: how many of their marks are found, how
//! many wrongly, and whether the sigmas are honest.
//!
//! `tests/reference/photo_simulator.py` makes such folders: NAME.jpg, NAME.rig.toml, the
//! rig whose marks are shown, and NAME.truth.json, whose `marks` are lists of a panel's
//! number from 1, the corner's place on it and its place in the photograph. Then
//! `THROUGHLINE_PHOTOS=FOLDER cargo test --release --test marks_study -- --ignored
//! --nocapture` prints the figures. `THROUGHLINE_FOUND=FILE` has what was found written
//! for `tests/reference/marks_photos.py`, a line of JSON a photograph: `{"name", "marks":
//! [[panel, panel_x, panel_y, photo_x, photo_y, sigma], …], "reason"}`, panels from 1.

use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

use glam::DVec2;
use serde::Deserialize;
use serde_json::{Value, json};
use throughline::grey::Grey;
use throughline::marks::{Found, Unusable, find};
use throughline::rig::read;

/// Farther off than this, in pixels, a mark is another one, or none.
const WRONG_PX: f64 = 1.0;

#[derive(Deserialize)]
struct Truth {
    marks: Vec<(usize, f64, f64, f64, f64)>,
}

/// What came of photographs.
#[derive(Default)]
struct Tally {
    shown: usize,
    found: usize,
    wrong: usize,
    /// Sums of squares of errors along an axis, in pixels and in sigmas.
    squares: [f64; 2],
}

impl Tally {
    fn add(&mut self, other: &Tally) {
        self.shown += other.shown;
        self.found += other.found;
        self.wrong += other.wrong;
        self.squares = [0, 1].map(|i| self.squares[i] + other.squares[i]);
    }

    fn say(&self, name: &str) {
        let rms = self
            .squares
            .map(|sum| (sum / 2.0 / self.found.max(1) as f64).sqrt());
        println!(
            "{name}: {} of {} marks ({:.2} %), {} wrong, rms {:.3} px, {:.2} sigma",
            self.found,
            self.shown,
            100.0 * self.found as f64 / self.shown.max(1) as f64,
            self.wrong,
            rms[0],
            rms[1]
        );
    }
}

fn line(name: &str, found: &Result<Found, Unusable>) -> String {
    let sightings = found.as_ref().map_or(&[][..], |found| &found.sightings);
    let marks: Vec<Value> = sightings
        .iter()
        .map(|seen| {
            let (on, at) = (seen.panel_px, seen.photo_px);
            json!([seen.panel + 1, on.x, on.y, at.x, at.y, seen.sigma_px])
        })
        .collect();
    let reason = found.as_ref().err().map(Unusable::to_string);
    json!({ "name": name, "marks": marks, "reason": reason }).to_string()
}

/// What came of a photograph, and the line of JSON about it.
fn judged(stem: &Path) -> (Tally, String) {
    let file = |extension: &str| stem.with_file_name(format!("{}.{extension}", name(stem)));
    let text = fs::read_to_string(file("rig.toml")).expect("a rig");
    let rig = read(&text, &name(stem), &[]).expect("a sound rig");
    let truth = fs::read_to_string(file("truth.json")).expect("a truth");
    let truth: Truth = serde_json::from_str(&truth).expect("as described");
    let at = |v: f64| v.round() as i64;
    let places: HashMap<(usize, i64, i64), DVec2> = truth
        .marks
        .iter()
        .map(|&(panel, px, py, x, y)| ((panel - 1, at(px), at(py)), DVec2::new(x, y)))
        .collect();
    let photo = image::open(file("jpg")).expect("a photograph").into_luma8();
    let size_px = [photo.width(), photo.height()];
    let grey = Grey::new(size_px, photo.into_raw()).expect("it has pixels");
    let mut tally = Tally {
        shown: places.len(),
        ..Tally::default()
    };
    let began = Instant::now();
    let found = find(&grey, &rig);
    let seconds = began.elapsed().as_secs_f64();
    let line = line(&name(stem), &found);
    match found {
        Ok(found) => {
            for seen in found.sightings {
                let [px, py] = seen.panel_px.to_array().map(at);
                // What is said to be covered, or outside, by a hair, isn't listed.
                let Some(place) = places.get(&(seen.panel, px, py)) else {
                    continue;
                };
                let off = place.distance(seen.photo_px);
                if off > WRONG_PX {
                    tally.wrong += 1;
                } else {
                    tally.found += 1;
                    tally.squares[0] += off * off;
                    tally.squares[1] += (off / seen.sigma_px).powi(2);
                }
            }
        }
        Err(why) => println!("{} {why}", name(stem)),
    }
    println!("{} took {seconds:.2} s", name(stem));
    (tally, line)
}

fn name(stem: &Path) -> String {
    let name = stem.file_name().unwrap_or_default();
    name.to_string_lossy().into_owned()
}

#[test]
#[ignore = "a study of photographs made beforehand"]
fn photographs_of_a_folder() {
    let folder = std::env::var_os("THROUGHLINE_PHOTOS").expect("THROUGHLINE_PHOTOS names a folder");
    let entries = fs::read_dir(folder).expect("a folder");
    let mut stems: Vec<PathBuf> = entries
        .filter_map(|entry| {
            let path = entry.expect("an entry").path();
            let is_photo = path.extension().is_some_and(|extension| extension == "jpg");
            is_photo.then(|| path.with_extension(""))
        })
        .collect();
    stems.sort();
    assert!(!stems.is_empty(), "no photographs");
    let mut all = Tally::default();
    let mut lines = String::new();
    for stem in stems {
        let (tally, line) = judged(&stem);
        tally.say(&name(&stem));
        all.add(&tally);
        lines += &line;
        lines.push('\n');
    }
    if let Some(file) = std::env::var_os("THROUGHLINE_FOUND") {
        fs::write(file, lines).expect("a file that can be written");
    }
    all.say("all");
    assert_eq!(all.wrong, 0);
}
