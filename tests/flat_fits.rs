//! The two fits against scipy's on the same objective.
//!
//! Source: `tests/data/fits.json`, made by `tests/reference/fit_reference.py`
//! with `scipy.optimize.least_squares` on an independent layout of the rigs.

use serde_json::Value;
use throughline::fit::{FlatViewsFit, Free, SingleViewFit};
use throughline::rig::{self, Rig};

fn cases() -> Vec<(Rig, Value)> {
    let text = std::fs::read_to_string("tests/data/fits.json").unwrap();
    let document: Value = serde_json::from_str(&text).unwrap();
    let cases = document["cases"].as_array().unwrap();
    assert!(cases.len() >= 10, "{} cases", cases.len());
    cases
        .iter()
        .map(|case| {
            let rig = rig::read(case["rig"].as_str().unwrap(), "case", &[]).unwrap();
            (rig, case.clone())
        })
        .collect()
}

fn near(found: f64, expected: &Value, tolerance: f64, what: &str) {
    let expected = expected.as_f64().unwrap();
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found}, expected {expected}"
    );
}

#[test]
fn flat_views_agree_with_scipy() {
    let mut compared = 0;
    for (rig, case) in cases() {
        for expected in case["flat_views"].as_array().unwrap() {
            let names: Vec<&str> = (expected["free"].as_array().unwrap().iter())
                .map(|name| name.as_str().unwrap())
                .collect();
            let free = Free::parse(&names.join(",")).unwrap();
            let found = FlatViewsFit::of(&rig, free);
            let what = format!("{} {free}", rig.name());
            assert_eq!(found.model.count as u64, expected["count"], "{what}");
            let model = found.model;
            near(
                model.angle_rad.to_degrees(),
                &expected["angle_deg"],
                0.01,
                &what,
            );
            near(model.distance_mm, &expected["distance_mm"], 0.1, &what);
            near(model.width_mm, &expected["width_mm"], 0.1, &what);
            near(model.bezel_mm, &expected["bezel_mm"], 0.1, &what);
            near(
                found.rms_rad.to_degrees(),
                &expected["rms_deg"],
                1e-3,
                &what,
            );
            // The reference looks at a grid of pixels, not at each.
            let largest = found.worst.angle_rad().to_degrees();
            near(largest, &expected["max_deg"], 1e-3, &what);
            compared += 1;
        }
    }
    assert!(compared > 30, "{compared} fits");
}

#[test]
fn the_single_view_agrees_with_scipy() {
    for (rig, case) in cases() {
        let expected = &case["single_view"];
        if expected.is_null() {
            continue;
        }
        let found = SingleViewFit::of(&rig);
        let what = rig.name();
        let model = found.model;
        near(
            model.horizontal_rad.to_degrees(),
            &expected["horizontal_deg"],
            0.01,
            what,
        );
        near(
            model.vertical_rad().to_degrees(),
            &expected["vertical_deg"],
            0.01,
            what,
        );
        near(found.rms_rad.to_degrees(), &expected["rms_deg"], 1e-3, what);
        let largest = found.worst.angle_rad().to_degrees();
        near(largest, &expected["max_deg"], 1e-3, what);
    }
}
