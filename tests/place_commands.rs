//! `place` as its user calls it.

mod commands;

use std::fs;

use commands::{folder, run, stderr};
use serde_json::Value;

fn json(arguments: &[&str]) -> Value {
    let output = run(arguments);
    assert!(
        output.status.success(),
        "{arguments:?}: {}",
        stderr(&output)
    );
    serde_json::from_slice(&output.stdout).expect("one JSON document")
}

#[test]
fn plans_have_every_key_of_the_contract() {
    let document = json(&["place", "tram-cab", "--json"]);
    let plans = document["plans"].as_array().expect("plans");
    assert!(!plans.is_empty());
    for plan in plans.iter().chain([&document["now"]]) {
        let keys: Vec<&str> = plan
            .as_object()
            .unwrap()
            .keys()
            .map(String::as_str)
            .collect();
        let mut expected = [
            "name",
            "moves",
            "window_px",
            "columns",
            "ahead",
            "turn_deg",
            "displays",
            "program",
            "rms_deg",
            "max_deg",
            "jump_deg",
            "step_deg",
            "inner_jump_deg",
            "span_deg",
            "lit_share",
            "shown_share",
            "at_limit",
            "tolerance",
        ];
        let mut keys = keys.clone();
        keys.sort_unstable();
        expected.sort_unstable();
        assert_eq!(keys, expected);
        let program = plan["program"].as_object().unwrap();
        for key in ["angle_deg", "distance_mm", "width_mm", "bezel_mm"] {
            assert!(program[key].is_number(), "{key}");
        }
        assert_eq!(plan["displays"].as_array().unwrap().len(), 3);
        for tolerance in plan["tolerance"].as_array().unwrap() {
            assert!(tolerance["path"].is_string() && tolerance["adds_deg"].is_number());
        }
    }
    assert_eq!(
        plans[0]["window_px"],
        serde_json::json!([-1920, 0, 5760, 643])
    );
    assert_eq!(plans[0]["ahead"], 2.0);
    // The seat's height is the one move that does it without a window.
    let moved = plans.last().unwrap()["moves"].as_array().unwrap();
    assert_eq!(moved[0]["path"], "seat.height_mm");
    assert_eq!(
        (&moved[0]["from"], &moved[0]["to"]),
        (&60.0.into(), &0.0.into())
    );
}

#[test]
fn what_is_written_gives_the_plans_figures_again() {
    let folder = folder("place-out");
    for (rig, options) in [
        ("ferry-bridge", &[][..]),
        (
            "rally-loft",
            &["--columns", "2,4", "--ahead", "4", "--keep-span", "0.8"],
        ),
        (
            "rally-loft",
            &["--window", "fixed", "--move", "seam.1.fold_deg"],
        ),
        (
            "night-train",
            &["--window", "hanging", "--columns", "1,1,1"],
        ),
    ] {
        let out = folder.join("planned.toml");
        let out = out.to_str().unwrap();
        let mut call = vec!["place", rig, "--json", "--out", out];
        call.extend(options);
        let document = json(&call);
        let plans = document["plans"].as_array().unwrap();
        assert_eq!(plans.len(), 1, "{rig} {options:?}");
        let plan = &plans[0];
        let sheet = json(&["sheet", out, "--json"]);
        assert_eq!(sheet["window_px"], plan["window_px"], "{rig}");
        for (of, key) in [("rms_deg", "rms_deg"), ("max_deg", "max_deg")] {
            let [said, found] = [&plan[of], &sheet["flat_views"][key]].map(|v| v.as_f64().unwrap());
            assert!((said - found).abs() < 0.01, "{rig} {key}: {said} {found}");
        }
        for (key, slack) in [("angle_deg", 0.01), ("distance_mm", 0.1)] {
            let [said, found] =
                [&plan["program"][key], &sheet["flat_views"][key]].map(|v| v.as_f64().unwrap());
            assert!((said - found).abs() < slack, "{rig} {key}: {said} {found}");
        }
        // Drawn as that program, the horizon steps at the seams by no more than planned.
        let seat = json(&["seat", out, "--json", "--drawn-as", "flat-views"]);
        let horizon = (seat["breaks"].as_array().unwrap().iter())
            .filter(|entry| entry["line"] == "horizon")
            .map(|entry| entry["break_arcmin"].as_f64().unwrap().abs() / 60.0)
            .fold(0.0, f64::max);
        if options.first() != Some(&"--window") {
            let step = plan["step_deg"].as_f64().unwrap();
            assert!((horizon - step).abs() < 0.01, "{rig}: {horizon} {step}");
        }
        let text = fs::read_to_string(out).unwrap();
        assert!(text.starts_with("# Planned ("), "{text}");
        assert!(text.contains("# To type: angle "), "{text}");
        assert!(run(&["check", out]).status.code() != Some(2));
        // A plan of what is planned asks for nothing new.
        fs::remove_file(out).unwrap();
    }
}

#[test]
fn comments_of_the_rig_file_stay() {
    let folder = folder("place-comments");
    let out = folder.join("planned.toml");
    let output = run(&["place", "ferry-bridge", "--out", out.to_str().unwrap()]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(stderr(&output).contains("gets the plan \"window: columns 1,3,1\""));
    let text = fs::read_to_string(&out).unwrap();
    let demo = fs::read_to_string("rigs/ferry-bridge.toml").unwrap();
    let lost: Vec<&str> = demo
        .lines()
        .filter(|line| !text.lines().any(|l| l == *line))
        .collect();
    // Both wings move to where eye level is in the window's middle row.
    assert_eq!(
        lost,
        ["desktop_px = [-1200, -240]", "desktop_px = [3440, -240]"]
    );
    assert!(text.ends_with("[window]\npx = [-1147, 0, 5733, 1224]\ncolumns = [1, 3, 1]\n"));
}

#[test]
fn a_plan_is_three_lines_that_can_be_followed() {
    let output = run(&["place", "tram-cab", "--window", "inside"]);
    let text = String::from_utf8(output.stdout).unwrap();
    let lines: Vec<&str> = text
        .lines()
        .skip_while(|line| !line.starts_with("1. "))
        .collect();
    assert_eq!(lines.len(), 3, "{text}");
    assert!(lines[0].contains("5.28° rms before, 0.02° after"), "{text}");
    assert!(lines[1].contains("right window at 1920, 0"), "{text}");
    assert!(
        lines[1].contains("make the window 5760 x 643 px, its corner at -1920, 0"),
        "{text}"
    );
    assert!(
        lines[2].contains("angle 47.13°, distance 618.8 mm"),
        "{text}"
    );
    // Whoever moves a display is told to mind its weight.
    assert!(!text.contains("two people"), "{text}");
    let moved = run(&[
        "place",
        "rally-loft",
        "--window",
        "fixed",
        "--move",
        "seam.1.fold_deg",
    ]);
    let text = String::from_utf8(moved.stdout).unwrap();
    assert!(text.contains("two people for a heavy one"), "{text}");
    assert!(
        text.contains("the fold from door to wide from 44.27° to 28.92°"),
        "{text}"
    );
}

#[test]
fn impossible_wishes_are_named() {
    for (arguments, said) in [
        (
            &["tram-cab", "--columns", "1,1"][..],
            "--columns has 2 numbers, but the rig has 3 panels",
        ),
        (&["tram-cab", "--columns", "1,0,1"], "at least one column"),
        (
            &["ferry-bridge", "--columns", "1,1,1"],
            "with every cut at a seam",
        ),
        (
            &["rally-loft", "--columns", "1,5"],
            "no such window shows 95 % of the span",
        ),
        (
            &["tram-cab", "--window", "fixed", "--columns", "1,1,1"],
            "--window fixed keeps the whole canvas",
        ),
        (
            &["tram-cab", "--window", "fixed", "--cuts", "any"],
            "--cuts asks for another window",
        ),
        (
            &["tram-cab", "--columns", "1,1,1", "--ahead", "4"],
            "--ahead names column 4",
        ),
        (&["tram-cab", "--ahead", "0"], "0 is not in 1.."),
        (
            &["tram-cab", "--move", "seam.9.fold_deg"],
            "can't be moved on this rig",
        ),
        (
            &["tram-cab", "--move", "panel.1.roll_deg"],
            "can't be moved on this rig",
        ),
        (&["tram-cab", "--keep-span", "2"], "from 0.05 to 1"),
        (&["tram-cab", "--jump-weight", "-1"], "weight"),
        (
            &["tram-cab", "--free", "distance,width,bezel"],
            "only their ratios",
        ),
        (
            &[
                "tram-cab",
                "--set",
                "seat.height_mm=400",
                "--window",
                "inside",
            ],
            "eye level doesn't pass over panel",
        ),
    ] {
        let output = run(&[&["place"], arguments].concat());
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let text = stderr(&output);
        assert!(text.contains(said), "{arguments:?}: {text}");
        assert_eq!(text.trim_end().lines().count(), 1, "{text}");
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn the_sheet_points_here_wherever_it_says_bad() {
    for rig in ["rally-loft", "tram-cab", "ferry-bridge", "night-train"] {
        let output = run(&["sheet", rig]);
        let text = String::from_utf8(output.stdout).unwrap();
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let bad = words.matches("A BAD fit").count();
        assert!(
            words.matches("`throughline place` shows").count() >= bad.max(1),
            "{text}"
        );
    }
    let sound = run(&["sheet", "tram-cab", "--set", "seat.height_mm=0"]);
    let text = String::from_utf8(sound.stdout).unwrap();
    let section = text.split("ONE CAMERA FOR ALL").next().unwrap();
    assert!(!section.contains("throughline place"), "{text}");
}

#[test]
fn a_window_is_set_on_the_command_line_too() {
    let window = [
        "--set",
        "window.px=[-1920,0,5760,643]",
        "--set",
        "window.columns=[1,1,1]",
    ];
    let sheet = json(&[&["sheet", "tram-cab", "--json"], &window[..]].concat());
    assert_eq!(sheet["window_px"], serde_json::json!([-1920, 0, 5760, 643]));
    assert!(sheet["flat_views"]["rms_deg"].as_f64().unwrap() < 0.02);
    assert!(sheet["flat_views"]["turn_deg"].is_number());
    let without = json(&["sheet", "tram-cab", "--json"]);
    assert!(without["flat_views"].get("turn_deg").is_none());
}
