//! Refresh rates under wine, which knows no vertical blank.

#![cfg(feature = "desktop")]

mod lab;

use std::time::{Duration, Instant};

use lab::wine::Wine;
use lab::x11::{PARTS, Server, THREE};
use lab::{folder, has_parts, turn};
use serde_json::Value;

#[test]
fn no_vertical_blank_is_said_at_once() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else {
        return;
    };
    let folder = folder("refresh-wine");
    let server = Server::start(&folder, &THREE);
    // What it takes without measuring.
    let time = |arguments: &[&str]| {
        let start = Instant::now();
        let output = wine.output(Some(&server), &folder, arguments);
        (output, start.elapsed())
    };
    let (plain, usual) = time(&["check", "--json"]);
    assert!(plain.status.success(), "{plain:?}");
    let (output, taken) = time(&["check", "--measure", "60", "--json"]);
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{said}");
    assert!(taken < usual + Duration::from_secs(20), "{taken:?}");
    let report: Value = serde_json::from_slice(&output.stdout).expect("one JSON document");
    let displays = report["displays"].as_array().expect("a list");
    assert_eq!(displays.len(), 3);
    for display in displays {
        assert_eq!(display["measured_hz"], Value::Null);
        assert!(display["set_hz"].is_number(), "{display}");
    }
    eprintln!("{said}");
    let why = "can't be measured here, because the system doesn't tell of its vertical blank";
    assert_eq!(said.matches(why).count(), 3, "{said}");
}

#[test]
fn what_wine_reports_is_what_the_server_has() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else {
        return;
    };
    let folder = folder("reports-wine");
    let server = Server::start(&folder, &THREE);
    let output = wine.output(Some(&server), &folder, &["displays", "--json"]);
    assert!(output.status.success(), "{output:?}");
    let list: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    // From left to right.
    for (index, display) in [1, 0, 2].into_iter().zip(list.as_array().expect("a list")) {
        let ([w, h], _) = THREE[index];
        // The lab's mode: 241.5 MHz, and the blanks that it adds. Wine knows whole hertz.
        let true_hz = 241.5e6 / f64::from((w + 160) * (h + 41));
        let hz = display["refresh_hz"].as_f64().expect("known");
        assert!((hz - true_hz).abs() < 1.0, "{hz} is not {true_hz}");
        assert_eq!(display["size_px"], serde_json::json!([w, h]));
        assert_eq!(
            display["mode_px"],
            serde_json::json!([w, h]),
            "the driver fits nothing"
        );
        assert_eq!(display["primary"], index == 0);
        // No display of the lab has data of its own.
        for unknown in ["size_mm", "hdr", "variable_hz"] {
            assert_eq!(display[unknown], Value::Null, "{unknown}");
        }
        // Wine makes names up.
        let model = display["model"].as_str().expect("a name");
        assert!(model.starts_with("Display"), "{model}");
    }
}
