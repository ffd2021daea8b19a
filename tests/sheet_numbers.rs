//! The sheet's numbers against an independent layout of the same rigs.
//!
//! Source: `tests/data/layout_points.json`, made by
//! `tests/reference/layout_points.py` in numpy.

mod commands;

use std::process::Output;

use commands::program;
use serde_json::Value;
use throughline::rig;

/// Tolerances of angles in degrees, lengths in millimetres, and pixels.
const TOLERANCES: [(&str, f64); 3] = [("_deg", 1e-3), ("_mm", 0.01), ("_px", 0.05)];

fn sheet(arguments: &[&str], rig_text: &str) -> Output {
    let folder = std::env::temp_dir().join(format!("sheet-numbers-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let file = folder.join(format!("{:?}.toml", std::thread::current().id()));
    std::fs::write(&file, rig_text).unwrap();
    program()
        .arg("sheet")
        .arg(file)
        .args(arguments)
        .output()
        .unwrap()
}

fn json(arguments: &[&str], rig_text: &str) -> Value {
    let output = sheet(arguments, rig_text);
    assert!(output.status.success(), "{output:?}");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn cases() -> Vec<Value> {
    let text = std::fs::read_to_string("tests/data/layout_points.json").unwrap();
    let document: Value = serde_json::from_str(&text).unwrap();
    document["cases"].as_array().unwrap().clone()
}

/// The first place where `found` lacks a number of `expected` or has another.
fn difference(found: &Value, expected: &Value, key: &str) -> Option<String> {
    match (found, expected) {
        (Value::Number(found), Value::Number(expected)) => {
            let (found, expected) = (found.as_f64()?, expected.as_f64()?);
            let unit = TOLERANCES.iter().find(|(unit, _)| key.ends_with(unit));
            let tolerance = unit.map_or(0.0, |(_, tolerance)| *tolerance);
            ((found - expected).abs() > tolerance)
                .then(|| format!("{key}: {found}, expected {expected}"))
        }
        (Value::Array(found), Value::Array(expected)) if found.len() == expected.len() => found
            .iter()
            .zip(expected)
            .find_map(|(found, expected)| difference(found, expected, key)),
        (Value::Object(found), Value::Object(expected)) if found.len() == expected.len() => {
            expected
                .iter()
                .find_map(|(key, expected)| match found.get(key) {
                    Some(found) => difference(found, expected, key),
                    None => Some(format!("no {key}")),
                })
        }
        _ => (found != expected).then(|| format!("{key}: {found}, expected {expected}")),
    }
}

#[test]
fn views_seams_and_fields_of_view_agree_with_numpy() {
    let cases = cases();
    assert!(cases.len() >= 8, "{} cases", cases.len());
    for case in cases {
        let mut found = json(&["--json"], case["rig"].as_str().unwrap());
        for seam in found["seams"].as_array_mut().unwrap() {
            // `a_tape_tells_the_fold` has it.
            assert!(
                seam.as_object_mut()
                    .unwrap()
                    .remove("outer_mm_per_deg")
                    .is_some()
            );
        }
        for key in ["canvas_px", "views", "seams", "fov", "horizon_px"] {
            let difference = difference(&found[key], &case[key], key);
            assert_eq!(difference, None, "{}", case["name"]);
        }
    }
}

#[test]
fn a_wrong_rig_is_told_from_the_right_one() {
    let case = &cases()[1];
    for setting in [
        "seat.distance_mm=701",
        "seam.1.angle_deg=45.1",
        "panel.1.bezel_mm.right=8.1",
    ] {
        let found = json(&["--json", "--set", setting], case["rig"].as_str().unwrap());
        let differs = ["views", "seams", "fov"]
            .iter()
            .any(|key| difference(&found[key], &case[key], key).is_some());
        assert!(differs, "{setting}");
    }
}

#[test]
fn the_window_is_told_from_the_facing_panel() {
    let window = |name: &str| {
        let demo = rig::demos().iter().find(|demo| demo.name == name).unwrap();
        json(&["--json"], demo.text)["window_px"].to_string()
    };
    assert_eq!(window("rally-loft"), "[-2560,0,7680,1440]");
    assert_eq!(window("ferry-bridge"), "[-1200,-240,5840,1920]");
    // 80 columns lie hidden left of the facing panel, 160 in all.
    assert_eq!(window("night-train"), "[-2000,0,5920,1080]");
}

#[test]
fn the_document_has_these_keys_and_no_others() {
    let demo = &rig::demos()[0];
    let found = json(&["--json", "--units", "in"], demo.text);
    let keys = |value: &Value| {
        let object = value.as_object().unwrap();
        let mut keys: Vec<String> = object.keys().cloned().collect();
        keys.sort();
        keys.join(" ")
    };
    assert_eq!(
        keys(&found),
        "canvas_px flat_views fov frusta horizon_px seams single_view views window_px"
    );
    assert_eq!(
        keys(&found["flat_views"]),
        "angle_deg at_limit bezel_mm count distance_mm free max_deg rms_deg width_mm"
    );
    assert_eq!(
        keys(&found["single_view"]),
        "horizontal_deg max_deg rms_deg vertical_deg"
    );
    assert_eq!(
        keys(&found["frusta"][0]),
        "max_deg near_1 normal panel right up view"
    );
    // Lengths stay in millimetres whatever the page's unit.
    assert_eq!(
        found["flat_views"]["distance_mm"],
        json(&["--json"], demo.text)["flat_views"]["distance_mm"]
    );
}

#[test]
fn pages_keep_to_eighty_columns() {
    for demo in rig::demos() {
        for arguments in [&["--explain"][..], &["--units", "in"], &["--free", "width"]] {
            let output = sheet(arguments, demo.text);
            let page = String::from_utf8(output.stdout).unwrap();
            assert!(page.lines().count() > 40, "{page}");
            for line in page.lines() {
                assert!(line.chars().count() <= 80, "{line}");
                assert_eq!(line, line.trim_end());
            }
        }
    }
}

/// By hand: the lower of two panels of one height is 30 mm lower, and its
/// pixels are as large, so its place is 30 mm of pixels further down.
#[test]
fn the_desktop_row_follows_the_rise() {
    let text = rig::demos()[1].text;
    let page = |setting: &str| {
        let output = sheet(&["--set", setting], text);
        String::from_utf8(output.stdout).unwrap()
    };
    let row = |page: &str| {
        let at = page.find("DESKTOP").unwrap();
        let line = page[at..]
            .lines()
            .find(|line| line.contains("right window"));
        let cells: Vec<String> = line
            .unwrap()
            .split_whitespace()
            .map(str::to_owned)
            .collect();
        cells[2].clone()
    };
    assert_eq!(row(&page("seam.2.rise_mm=0")), "0");
    // 30 mm / 0.27442 mm = 109.3 rows.
    assert_eq!(row(&page("seam.2.rise_mm=-30")), "109");
    assert_eq!(row(&page("seam.2.rise_mm=30")), "-109");
}

#[test]
fn mistakes_get_one_sentence_and_exit_code_2() {
    let text = rig::demos()[1].text;
    let message = |arguments: &[&str]| {
        let output = sheet(arguments, text);
        assert_eq!(output.status.code(), Some(2));
        assert!(output.stdout.is_empty());
        String::from_utf8(output.stderr).unwrap()
    };
    assert_eq!(
        message(&["--free", "angle,distance,width,bezel"]),
        "throughline: a fit can't free distance, width and bezel together, since only their \
         ratios would matter: hold one of them by leaving it out\n"
    );
    assert_eq!(
        message(&["--free", "height"]),
        "throughline: a fit can't free \"height\": name angle, distance, width or bezel, \
         separated by commas\n"
    );
    assert_eq!(
        message(&["--plan", "plan.jpg"]),
        "throughline: cannot tell the kind of plan from the name plan.jpg: \
         end it in .svg or .png\n"
    );
    assert!(
        message(&["--plan", "no/such/folder/plan.svg"]).starts_with("throughline: cannot write")
    );
}

/// What README says to do with a tape, where the right panel stands otherwise.
#[test]
fn a_tape_tells_the_fold() {
    let mut tried = 0;
    for demo in rig::demos() {
        let file = json(&["--json"], demo.text);
        let plan = std::env::temp_dir().join(format!("tape-{}.svg", std::process::id()));
        let name = plan.to_str().expect("text");
        assert!(sheet(&["--plan", name], demo.text).status.success());
        let drawn = std::fs::read_to_string(&plan).expect("written");
        std::fs::remove_file(&plan).expect("ours");
        for (index, seam) in file["seams"].as_array().expect("a list").iter().enumerate() {
            let label = format!(">outer edges {:.1}<", seam["outer_mm"].as_f64().unwrap());
            assert!(drawn.contains(&label), "{}: {label}", demo.name);
            let number = |seam: &Value, key: &str| seam[key].as_f64().expect("a number");
            for turned_deg in [-2.0, 1.0, 2.5] {
                let key = if demo.text.contains("fold_deg") {
                    "fold_deg"
                } else {
                    "angle_deg"
                };
                let turned = number(seam, key) + turned_deg;
                let setting = format!("seam.{}.{key}={turned}", index + 1);
                let glass = json(&["--json", "--set", &setting], demo.text);
                let tape = number(&glass["seams"][index], "outer_mm");
                let more = tape - number(seam, "outer_mm");
                let found_deg = more / number(seam, "outer_mm_per_deg");
                let off = (found_deg - turned_deg).abs();
                // The distance isn't quite in proportion to the turn.
                let bend = 0.015 * turned_deg * turned_deg;
                assert!(off < bend, "{} {setting}: {found_deg}", demo.name);
                tried += 1;
            }
        }
    }
    assert!(tried >= 12);
}
