//! Plans against scipy's on the same objective.
//!
//! Source: `tests/data/places.json`, made by `tests/reference/place_reference.py` with
//! `scipy.optimize` on an independent layout of the rigs.

use serde_json::Value;
use throughline::place::{Moves, WindowKind, Wishes, plans};
use throughline::rig;

fn cases() -> Vec<Value> {
    let text = std::fs::read_to_string("tests/data/places.json").unwrap();
    let document: Value = serde_json::from_str(&text).unwrap();
    document["cases"].as_array().unwrap().clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

#[test]
fn plans_agree_with_scipy() {
    let cases = cases();
    assert!(cases.len() >= 15, "{} cases", cases.len());
    for case in &cases {
        let rig = rig::read(case["rig"].as_str().unwrap(), "case", &[]).unwrap();
        let moves: Vec<&str> = (case["moves"].as_array().unwrap().iter())
            .map(|change| change["path"].as_str().unwrap())
            .collect();
        let is_fixed = case["window"] == "fixed";
        let columns = case["columns"].as_array().unwrap().iter();
        let columns = columns.map(|n| n.as_u64().unwrap() as u32).collect();
        let wishes = Wishes {
            window: Some(if is_fixed {
                WindowKind::Fixed
            } else {
                WindowKind::Inside
            }),
            columns: (!is_fixed).then_some(columns),
            moves: if moves.is_empty() {
                Moves::Open
            } else {
                Moves::parse(&moves.join(","), rig.parts()).unwrap()
            },
            keep_span: number(&case["keep_span"]),
            ..Wishes::default()
        };
        let what = format!("{} {:?}", rig.name(), wishes);
        let found = plans(&rig, &wishes, &|_| {}).unwrap_or_else(|error| panic!("{what}: {error}"));
        assert_eq!(found.plans.len(), 1, "{what}");
        let plan = &found.plans[0];
        let rms = plan.figures.rms_rad.to_degrees();
        let expected = number(&case["rms_deg"]);
        // Whole pixels and hundredths cost that much; a better one would be no fault.
        assert!(
            rms < expected + 0.004 + 0.001 * expected,
            "{what}: {rms} {expected}"
        );
        assert!(
            rms > expected - 0.004 - 0.001 * expected,
            "{what}: {rms} {expected}"
        );
        let flat = &plan.model.flat;
        let angle = flat.angle_rad.to_degrees() - number(&case["angle_deg"]);
        let distance = flat.distance_mm - number(&case["distance_mm"]);
        assert!(
            angle.abs() < 0.1 && distance.abs() < 1.5,
            "{what}: {angle} {distance}"
        );
        let turn = plan.model.turn_rad.to_degrees() - number(&case["turn_deg"]);
        assert!(turn.abs() < 0.1, "{what}: {turn}");
        let span = plan.span_rad.to_degrees() - number(&case["span_deg"]);
        assert!(span.abs() < 0.05, "{what}: {span}");
        for (px, expected) in plan.window_px.iter().zip(case["px"].as_array().unwrap()) {
            assert!(
                (*px as f64 - number(expected)).abs() < 3.0,
                "{what}: {:?}",
                plan.window_px
            );
        }
        for (change, expected) in plan.moves.iter().zip(case["moves"].as_array().unwrap()) {
            assert_eq!(
                change.lever.path(),
                expected["path"].as_str().unwrap(),
                "{what}"
            );
            assert!(
                (change.to - number(&expected["to"])).abs() < 0.05,
                "{what}: {change:?}"
            );
        }
    }
}
