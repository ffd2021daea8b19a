//! What the reader finds in a folder of photographs, against where the marks are.
//!
//! `tests/reference/marks_photos.py` makes the photographs, runs this ignored test and
//! compares what it writes with the truth: THROUGHLINE_PHOTOS names the folder, in which
//! NAME.jpg has NAME.rig.toml and NAME.truth.json beside it; THROUGHLINE_FOUND, where set,
//! the file to write, a line of JSON a photograph:
//! `{"name": NAME, "marks": [[panel, panel_x, panel_y, photo_x, photo_y, sigma], …]}`,
//! panels counted from 1. A photograph that can't serve has no marks, and a `reason`.

use std::collections::HashMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::time::Instant;

use glam::DVec2;
use serde_json::{Value, json};
use throughline::grey::Grey;
use throughline::marks::{Sighting, find};
use throughline::rig::read;

/// Farther than this from its place, a mark is another one.
const WRONG_PX: f64 = 3.0;

/// The pixels as they lie in the file, whichever way up its camera was held.
fn grey(path: &Path) -> Grey {
    let picture = image::open(path).expect("a photograph").into_luma8();
    let size_px = [picture.width(), picture.height()];
    Grey::new(size_px, picture.into_raw()).expect("a picture with pixels")
}

/// Where the truth has each mark: by panel from 0 and its place on it, in whole pixels.
fn truth(path: &Path) -> HashMap<(usize, [i64; 2]), DVec2> {
    let text = std::fs::read_to_string(path).expect("a truth file");
    let document: Value = serde_json::from_str(&text).expect("JSON");
    let rows = document["marks"].as_array().expect("marks");
    rows.iter()
        .map(|row| {
            let [panel, x, y, photo_x, photo_y] =
                std::array::from_fn(|n| row[n].as_f64().expect("a number"));
            let place = [x, y].map(|at: f64| at.round() as i64);
            ((panel as usize - 1, place), DVec2::new(photo_x, photo_y))
        })
        .collect()
}

fn line(name: &str, marks: &[Sighting], reason: Option<String>) -> String {
    let row = |mark: &Sighting| {
        let (on, at) = (mark.panel_px, mark.photo_px);
        json!([mark.panel + 1, on.x, on.y, at.x, at.y, mark.sigma_px])
    };
    let marks: Vec<Value> = marks.iter().map(row).collect();
    json!({ "name": name, "marks": marks, "reason": reason }).to_string()
}

#[test]
#[ignore = "reads the photographs that tests/reference/marks_photos.py makes"]
fn marks_are_found_where_they_are() {
    let Some(folder) = std::env::var_os("THROUGHLINE_PHOTOS") else {
        panic!("THROUGHLINE_PHOTOS names no folder; run tests/reference/marks_photos.py");
    };
    let entries = std::fs::read_dir(&folder).expect("a folder");
    let mut photos: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "jpg"))
        .collect();
    photos.sort();
    assert!(!photos.is_empty(), "no photographs in {}", folder.display());
    let mut lines = String::new();
    for path in photos {
        let name = path.file_stem().expect("a name").to_string_lossy();
        let text = std::fs::read_to_string(path.with_extension("rig.toml")).expect("a rig file");
        let rig = read(&text, &name, &[]).expect("a sound rig");
        let picture = grey(&path);
        let began = Instant::now();
        let found = find(&picture, &rig);
        let seconds = began.elapsed().as_secs_f64();
        let (marks, reason) = match &found {
            Ok(found) => (&found.sightings[..], None),
            Err(unusable) => (&[][..], Some(unusable.to_string())),
        };
        let known = truth(&path.with_extension("truth.json"));
        let off = |mark: &Sighting| {
            let place = [mark.panel_px.x, mark.panel_px.y].map(|at| at.round() as i64);
            let at = known.get(&(mark.panel, place));
            at.map(|at| at.distance(mark.photo_px))
                .filter(|off| *off <= WRONG_PX)
        };
        let right: Vec<f64> = marks.iter().filter_map(off).collect();
        let rms = (right.iter().map(|off| off * off).sum::<f64>() / right.len() as f64).sqrt();
        println!(
            "{name}: {} of {} found, {} wrong, {rms:.3} px, {seconds:.1} s {}",
            right.len(),
            known.len(),
            marks.len() - right.len(),
            reason.as_deref().unwrap_or_default()
        );
        writeln!(lines, "{}", line(&name, marks, reason)).expect("text");
    }
    if let Some(file) = std::env::var_os("THROUGHLINE_FOUND") {
        std::fs::write(file, lines).expect("a file that can be written");
    }
}
