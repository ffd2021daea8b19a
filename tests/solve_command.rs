//! `solve` and `compare` as their user runs them.

mod commands;
mod eyes;

use std::fs;
use std::path::{Path, PathBuf};

use commands::{folder, program, run, stderr};
use eyes::{Chance, Person, number};
use serde_json::Value;
use throughline::readings::{Eye, Readings};
use throughline::rig::{Measure, Rig, demos, read};
use throughline::solve::Course;

const READINGS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/rigs/tram-cab.readings.json");

fn demo(name: &str, settings: &[(&str, &str)]) -> Rig {
    let demo = demos()
        .iter()
        .find(|demo| demo.name == name)
        .expect("a demo");
    let settings: Vec<_> = (settings.iter())
        .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
        .collect();
    read(demo.text, demo.name, &settings).expect("a sound rig")
}

/// The rig that the README's readings were made up for.
fn hidden() -> Rig {
    demo(
        "tram-cab",
        &[
            ("seam.2.angle_deg", "49.1"),
            ("seam.1.gap_mm", "2.2"),
            ("seam.2.rise_mm", "2.4"),
        ],
    )
}

fn taken(file: &Rig, truth: &Rig) -> Readings {
    let person = Person {
        eye: Eye::PEEP_CARD,
        blunders: 0.0,
    };
    let mut course = Course::new(file.clone(), person.eye);
    person.run(&mut course, truth, &mut Chance::new(7));
    course.readings().clone()
}

fn json(arguments: &[&str]) -> Value {
    let output = run(arguments);
    assert!(output.status.success(), "{}", stderr(&output));
    serde_json::from_slice(&output.stdout).expect("one JSON document")
}

fn written(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    fs::write(&path, text).expect("written");
    path.to_string_lossy().into_owned()
}

#[test]
fn the_readme_s_readings_are_those_of_its_hidden_rig() {
    let text = taken(&demo("tram-cab", &[]), &hidden()).write();
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        fs::write(READINGS, &text).expect("written");
    }
    let kept = fs::read_to_string(READINGS).expect("it is kept");
    let [kept, made] = [&kept, &text].map(|text| Readings::read(text, "x").expect("readings"));
    assert_eq!(kept.readings.len(), 16);
    for (kept, made) in kept.readings.iter().zip(&made.readings) {
        assert!((kept.slide_px - made.slide_px).abs() < 1e-6);
    }
}

#[test]
fn json_is_as_scripts_are_told() {
    let found = json(&["solve", "tram-cab", READINGS, "--json"]);
    let values = found["values"].as_array().expect("a list");
    let truth = hidden();
    let covariance = found["covariance"].as_array().expect("rows");
    assert_eq!(covariance.len(), values.len());
    for (index, value) in values.iter().enumerate() {
        let path = value["path"].as_str().expect("a path");
        let measure = Measure::from_plain_path(path).expect("a number of a rig");
        let [file, solved, sigma] =
            ["file", "solved", "sigma"].map(|key| value[key].as_f64().expect("a number"));
        assert!(
            (file - number(&demo("tram-cab", &[]), measure)).abs() < 1e-9,
            "{path}"
        );
        let off = (solved - number(&truth, measure)) / sigma;
        assert!(off.abs() < 3.5, "{path}: {off} sigma");
        let variance = covariance[index][index].as_f64().expect("a number");
        assert!((variance.sqrt() / sigma - 1.0).abs() < 1e-9);
        assert!(value["determined"].is_boolean());
        assert!(!path.contains("angle"), "{path}");
    }
    let paths: Vec<&str> = values.iter().filter_map(|v| v["path"].as_str()).collect();
    assert!(paths.contains(&"seam.2.fold_deg") && !paths.contains(&"panel.2.roll_deg"));
    let readings = found["readings"].as_array().expect("a list");
    assert_eq!(readings.len(), 16);
    for reading in readings {
        assert!(reading["residual_px"].is_number() && reading["repeat"].is_boolean());
        assert!([1, 2].contains(&reading["seam"].as_u64().expect("a seam")));
    }
    let breaks = found["breaks"].as_array().expect("a list");
    assert_eq!(breaks.len(), 2);
    for seam in breaks {
        let [before, after] = ["before_arcmin", "after_arcmin"].map(|k| seam[k].as_f64());
        assert!(before > Some(2.0) && after < Some(1.0), "{seam}");
    }
    assert!(found["chi2"].as_f64().expect("a number") < 40.0);
    for pair in found["together"].as_array().expect("a list") {
        assert_eq!(pair.as_array().expect("a pair").len(), 2);
    }
    assert!(!found["do"].as_array().expect("a list").is_empty());
}

#[test]
fn out_changes_the_bytes_of_numbers_alone_and_the_rig_is_nearer() {
    let folder = folder("solve-out");
    let text = demos()
        .iter()
        .find(|d| d.name == "tram-cab")
        .expect("a demo")
        .text;
    let rig = written(&folder, "cab.toml", text);
    let out = folder.join("solved.toml").to_string_lossy().into_owned();
    let output = run(&["solve", &rig, READINGS, "--out", &out]);
    assert!(output.status.success(), "{}", stderr(&output));
    let solved = fs::read_to_string(&out).expect("written");
    let comments = |text: &str| -> Vec<String> {
        let lines = text.lines().filter_map(|line| line.split_once('#'));
        lines.map(|(_, comment)| comment.to_owned()).collect()
    };
    assert_eq!(comments(&solved), comments(text));
    assert!(solved.contains("angle_deg = ") && !solved.contains("fold_deg"));
    let solved = read(&solved, "solved", &[]).expect("a sound rig");
    let truth = hidden();
    let before = eyes::worst_near(&demo("tram-cab", &[]), &truth);
    let after = eyes::worst_near(&solved, &truth);
    assert!(before > 4.0 && after < 1.0, "{before} {after}");
    // Nothing that the run reads is written over.
    for needed in [rig.as_str(), READINGS] {
        let output = run(&["solve", &rig, READINGS, "--out", needed]);
        assert_eq!(output.status.code(), Some(2));
    }
    // Solved once more, from what it knew: the same rig, known a little better.
    let first = run(&["solve", &rig, READINGS, "--json"]);
    let first = written(
        &folder,
        "first.json",
        &String::from_utf8_lossy(&first.stdout),
    );
    let again = json(&["solve", &rig, READINGS, "--json", "--measured", &first]);
    let first = json(&["solve", &rig, READINGS, "--json"]);
    let sigma = |of: &Value, index: usize| of["values"][index]["sigma"].as_f64().expect("one");
    for index in 0..first["values"].as_array().expect("a list").len() {
        assert!(sigma(&again, index) <= sigma(&first, index) * (1.0 + 1e-6));
    }
}

#[test]
fn readings_of_other_numbers_are_refused_or_started_from() {
    let moved = ["--set", "seam.1.gap_mm=1.5"];
    let output = run(&[&["solve", "tram-cab", READINGS][..], &moved].concat());
    assert_eq!(output.status.code(), Some(2));
    let said = stderr(&output);
    assert!(
        said.contains("seam.1.gap_mm = 1, but the rig has 1.5"),
        "{said}"
    );
    assert!(said.contains("--as-read"), "{said}");
    let plain = json(&["solve", "tram-cab", READINGS, "--json"]);
    let as_read = ["solve", "tram-cab", READINGS, "--json", "--as-read"];
    assert_eq!(
        json(&[&as_read[..], &moved].concat())["values"],
        plain["values"]
    );
}

#[test]
fn readings_before_and_after_are_compared_in_figures() {
    let folder = folder("solve-compare");
    let corrected = demo(
        "tram-cab",
        &[
            ("seam.2.angle_deg", "49.05"),
            ("seam.1.gap_mm", "2.15"),
            ("seam.2.rise_mm", "2.3"),
        ],
    );
    let after = written(&folder, "after.json", &taken(&corrected, &hidden()).write());
    let found = json(&["compare", READINGS, &after, "--json"]);
    for seam in found["breaks"].as_array().expect("a list") {
        let of = |key: &str| seam[key].as_f64().expect("a number");
        assert!(
            of("before_arcmin") > 4.0 * of("before_sigma_arcmin"),
            "{seam}"
        );
        assert!(
            of("after_arcmin") < 1.5 && of("after_sigma_arcmin") < 1.0,
            "{seam}"
        );
    }
    let paths: Vec<_> = (found["rig_changes"].as_array().expect("a list").iter())
        .map(|change| change["path"].as_str().expect("a path").to_owned())
        .collect();
    assert_eq!(
        paths,
        ["seam.1.gap_mm", "seam.2.angle_deg", "seam.2.rise_mm"]
    );
    let words = run(&["compare", READINGS, &after]);
    let words = String::from_utf8_lossy(&words.stdout).into_owned();
    assert!(
        words.contains("seam 2: ") && words.contains(" ± "),
        "{words}"
    );
    // Without its rig, a file's demo is known by name; another needs --rig.
    let mut bare = taken(&demo("tram-cab", &[]), &hidden());
    bare.rig_toml = None;
    let known = written(&folder, "bare.json", &bare.write());
    // Lines in whole pixels are read to the same breaks, but for rounding.
    let is_same = |one: &Value, other: &Value| {
        let [one, other] = [one, other].map(|seam| seam.as_object().expect("a seam"));
        let numbers = one.iter().zip(other.values());
        numbers.into_iter().all(|((_, a), b)| {
            let [a, b] = [a, b].map(|number| number.as_f64().expect("a number"));
            (a - b).abs() < 1e-5
        })
    };
    let again = json(&["compare", &known, &after, "--json"]);
    for seam in 0..2 {
        assert!(
            is_same(&again["breaks"][seam], &found["breaks"][seam]),
            "{again} {found}"
        );
    }
    bare.rig = "Another".to_owned();
    let unknown = written(&folder, "unknown.json", &bare.write());
    let output = run(&["compare", &unknown, &after]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("--rig"));
    let named = json(&["compare", &unknown, &after, "--json", "--rig", "tram-cab"]);
    assert!(is_same(&named["breaks"][0], &found["breaks"][0]));
}

/// What is wrong with a file, and what is said of it.
#[test]
fn faults_are_told_with_their_place_and_what_to_do() {
    let folder = folder("solve-faults");
    let reading = |changed: &str, to: &str| {
        let sound = "{\"format\": 1, \"rig\": \"Tram cab\",\n \"readings\": [\n  {\"seam\": 1, \
                     \"normal\": [0.1, 1, 0.1], \"left_px\": [1500, 1900], \"right_px\": 0, \
                     \"slide_px\": 1.5, \"sigma_px\": 0.4}]}\n";
        assert!(changed.is_empty() || sound.contains(changed), "{changed}");
        sound.replacen(changed, to, 1)
    };
    let cases = [
        (reading("1900]", "1900"), "a.json:3:", "no JSON"),
        (
            reading("\"format\": 1", "\"format\": 2"),
            "a.json:1:",
            "only 1 is known",
        ),
        (
            reading("\"seam\": 1", "\"seam\": 0"),
            "a.json:3:",
            "counted 1, 2, 3",
        ),
        (
            reading("\"seam\": 1", "\"seam\": 3"),
            "a.json: ",
            "there is no seam 3, but 2 seams",
        ),
        (
            reading("\"sigma_px\": 0.4", "\"sigma_px\": 0"),
            "a.json:3:",
            "an uncertainty is 0",
        ),
        (
            reading("\"sigma_px\": 0.4", "\"sigma\": 0.4"),
            "a.json:3:",
            "unknown field `sigma`",
        ),
        (
            reading(", \"sigma_px\": 0.4", ""),
            "a.json:3:",
            "missing field `sigma_px`",
        ),
        (
            reading("[0.1, 1, 0.1]", "[0, 0, 0]"),
            "a.json:3:",
            "no direction",
        ),
        (
            reading("[0.1, 1, 0.1]", "[1, 0, 0]"),
            "a.json: ",
            "runs upright",
        ),
        (
            reading("[1500, 1900]", "[1500, 1500]"),
            "a.json:3:",
            "no length",
        ),
        (
            reading("[1500, 1900]", "[1500, 1990]"),
            "a.json: ",
            "has columns 0 to 1920",
        ),
        (reading("1.5", "1500"), "a.json: ", "only 1080 rows"),
        (
            reading("\"slide_px\": 1.5", "\"slide_px\": \"up\""),
            "a.json:3:",
            "expected f64",
        ),
        (
            reading(
                "\"readings\"",
                "\"priors\": {\"seat.hight_mm\": 3}, \"readings\"",
            ),
            "a.json:2:",
            "seat.height_mm",
        ),
        (
            reading(
                "\"readings\"",
                "\"priors\": {\"panel.1.scale\": 3}, \"readings\"",
            ),
            "a.json:2:",
            "readings tell nothing of panel.1.scale",
        ),
        (
            reading(
                "\"readings\"",
                "\"priors\": {\"panel.1.curve_radius_mm\": 3}, \"readings\"",
            ),
            "a.json: ",
            "doesn't have",
        ),
    ];
    for (text, place, words) in cases {
        let path = written(&folder, "a.json", &text);
        let output = program()
            .args(["solve", "tram-cab", &path, "--out", "b.toml"])
            .current_dir(&folder)
            .output()
            .expect("the program starts");
        let said = stderr(&output);
        assert_eq!(output.status.code(), Some(2), "{text}");
        assert!(
            said.contains(place) && said.contains(words),
            "{said}\n{text}"
        );
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(output.stdout.is_empty() && !folder.join("b.toml").exists());
    }
    // The sound one is read.
    let path = written(&folder, "a.json", &reading("", ""));
    json(&["solve", "tram-cab", &path, "--json"]);
    let output = run(&["compare", &path, READINGS, "--out", "c.png"]);
    assert_eq!(output.status.code(), Some(2));
    let missing: PathBuf = folder.join("none.json");
    assert_eq!(
        run(&["solve", "tram-cab", &missing.to_string_lossy()])
            .status
            .code(),
        Some(2)
    );
}

/// A size that is given as a diagonal has no sides to correct.
#[test]
fn a_diagonal_is_not_corrected_by_its_sides() {
    let folder = folder("solve-diagonal");
    let mut readings = taken(&demo("tram-cab", &[]), &hidden());
    let width = Measure::from_plain_path("panel.1.width_mm").expect("a number");
    readings.priors = vec![throughline::readings::Prior {
        measure: width,
        sigma: 2.0,
    }];
    let path = written(&folder, "sizes.json", &readings.write());
    let out = folder.join("out.toml").to_string_lossy().into_owned();
    let output = run(&["solve", "tram-cab", &path, "--out", &out]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("write size_mm = ["),
        "{}",
        stderr(&output)
    );
    assert!(!Path::new(&out).exists());
    let found = json(&["solve", "tram-cab", &path, "--json"]);
    let has = |path: &str| {
        let mut values = found["values"].as_array().expect("a list").iter();
        values.any(|value| value["path"] == path)
    };
    assert!(has("panel.1.width_mm") && !has("panel.1.height_mm"));
}
