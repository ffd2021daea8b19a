//! Refresh rates measured on real display servers, where they can be, and refused where
//! what the server tells proves nothing.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::process::Command;
use std::time::{Duration, Instant};

use lab::wayland::{Compositor, KWIN_PARTS, MUTTER_PARTS, SWAY_PARTS, WESTON_PARTS};
use lab::x11::{PARTS, Server, THREE};
use lab::{PROGRAM, Process, folder, has_parts, poll, run, turn};
use serde_json::Value;

/// What `check --measure` gives for scripts on a server, and what it says.
fn measured(mut command: Command, seconds: &str) -> Value {
    command.args(["check", "--measure", seconds, "--json"]);
    let said = run(&mut command).expect("check ends well");
    let report: Value = serde_json::from_str(&said).expect("one JSON document");
    eprintln!("{}", report["displays"]);
    assert_eq!(report["presents"], Value::Null);
    assert!(report["findings"].is_array());
    report
}

/// The same in words.
fn words(mut command: Command, seconds: &str) -> String {
    command.args(["check", "--measure", seconds]);
    let said = run(&mut command).expect("check ends well");
    eprintln!("{said}");
    said
}

fn assert_unmeasured(report: &Value, set_hz: &[f64]) {
    let displays = report["displays"].as_array().expect("a list");
    assert_eq!(displays.len(), set_hz.len());
    for (display, set_hz) in displays.iter().zip(set_hz) {
        let set = display["set_hz"].as_f64().expect("known here");
        assert!((set - set_hz).abs() < 0.01, "{display}");
        for key in ["measured_hz", "spread_hz", "missed"] {
            assert_eq!(display[key], Value::Null, "{display}");
        }
    }
}

#[test]
fn mutters_outputs_at_75_and_60_hz_are_told_apart() {
    let _turn = turn();
    if !has_parts(&MUTTER_PARTS) {
        return;
    }
    let folder = folder("mutter");
    let mutter = Compositor::mutter(&folder, [640, 360], &[75, 60]);
    poll("mutter has its outputs", || {
        let mut command = mutter.command(PROGRAM);
        run(command.arg("displays")).is_ok_and(|said| said.lines().count() == 3)
    });
    let told = |report: &Value, index: usize| report["displays"][index]["measured_hz"].as_f64();
    // A machine that is busy elsewhere makes windows of time differ, which is refused.
    for _ in 0..4 {
        let report = measured(mutter.command(PROGRAM), "6");
        if let (Some(fast), Some(slow)) = (told(&report, 0), told(&report, 1)) {
            assert!((fast - 75.0).abs() < 2.0, "{report}");
            assert!((slow - 60.0).abs() < 2.0, "{report}");
            let slip = &report["slips"][0];
            assert_eq!(slip["between"][0], report["displays"][0]["name"]);
            let period = slip["period_s"].as_f64().expect("they differ");
            assert!((period - 1.0 / (fast - slow)).abs() < 1e-9, "{report}");
            return;
        }
    }
    panic!("too busy a machine to measure on");
}

/// The dummy driver counts 60 a second on every output, whatever its mode.
#[test]
fn x11s_made_up_counters_are_refused() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("refresh-x11");
    let server = Server::start(&folder, &THREE);
    let set = THREE.map(|([w, h], _)| 241.5e6 / (f64::from(w + 160) * f64::from(h + 41)));
    assert_unmeasured(&measured(server.command(PROGRAM), "3"), &set);
    // Alone, no other display shows that its counter is everybody's.
    server.set_outputs(&THREE[..1]);
    assert_unmeasured(&measured(server.command(PROGRAM), "3"), &set[..1]);
    let said = words(server.command(PROGRAM), "3");
    assert!(
        said.contains("can't be measured here, because the display server makes its count up"),
        "{said}"
    );
}

#[test]
fn westons_count_that_stands_is_refused() {
    let _turn = turn();
    if !has_parts(&WESTON_PARTS) {
        return;
    }
    let folder = folder("weston");
    let weston = Compositor::weston(&folder, [640, 360]);
    assert_unmeasured(&measured(weston.command(PROGRAM), "3"), &[60.0]);
    let said = words(weston.command(PROGRAM), "3");
    assert!(said.contains("because the system's count"), "{said}");
}

/// It announces presentation times and never sends any; what it paces frames by are
/// timers of whole milliseconds.
#[test]
fn sways_frames_without_numbers_are_refused() {
    let _turn = turn();
    if !has_parts(&SWAY_PARTS) {
        return;
    }
    let folder = folder("refresh-sway");
    let outputs = [([640, 360], [0, 0]), ([640, 360], [640, 0])];
    let sway = Compositor::sway(&folder, &outputs);
    assert_unmeasured(&measured(sway.command(PROGRAM), "3"), &[60.0; 2]);
    let said = words(sway.command(PROGRAM), "3");
    assert_eq!(said.matches("can't be measured here").count(), 2, "{said}");
}

#[test]
fn kwins_frames_without_numbers_are_refused() {
    let _turn = turn();
    if !has_parts(&KWIN_PARTS) {
        return;
    }
    let folder = folder("refresh-kwin");
    let kwin = Compositor::kwin(&folder, [640, 360], "1", 2);
    assert_unmeasured(&measured(kwin.command(PROGRAM), "3"), &[60.0; 2]);
}

#[test]
fn a_compositor_that_hangs_meanwhile_ends_it_in_words() {
    let _turn = turn();
    if !has_parts(&SWAY_PARTS) {
        return;
    }
    let folder = folder("refresh-held");
    let sway = Compositor::sway(&folder, &[([640, 360], [0, 0])]);
    let log = folder.join("check.log");
    let said = || fs::read_to_string(&log).unwrap_or_default();
    let mut command = sway.command(PROGRAM);
    let mut check = Process::start(command.args(["check", "--measure", "3"]), &log);
    poll("it measures", || said().contains("measuring refresh rates"));
    std::thread::sleep(Duration::from_millis(500));
    sway.hold();
    let held = Instant::now();
    assert_eq!(check.wait(), 0, "{}", said());
    assert!(
        held.elapsed() < Duration::from_secs(15),
        "{:?}",
        held.elapsed()
    );
    assert!(said().contains("can't be measured here"), "{}", said());
}

/// Measured before the windows open, then the pattern is shown as ever.
#[test]
fn show_reports_rates_and_its_own_frames() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("refresh-show");
    let rig = lab::show::write_rig(&folder);
    let server = Server::start(&folder, &THREE);
    let mut command = server.command(PROGRAM);
    command
        .arg("show")
        .arg(&rig)
        .args(["--layers", "motion", "--seconds", "10", "--json"])
        .env("XDG_STATE_HOME", folder.join("state"))
        .env("WGPU_BACKEND", "vulkan");
    let said = run(&mut command).expect("show ends well");
    let report: Value = serde_json::from_str(&said).expect("one JSON document");
    assert_eq!(report["displays"].as_array().map(Vec::len), Some(3));
    assert_eq!(report["slips"].as_array().map(Vec::len), Some(3));
    let presents = &report["presents"];
    // What moves is presented again and again.
    let count = presents["count"].as_u64().expect("counted");
    let median_ms = presents["median_ms"].as_f64().expect("a rhythm");
    let late = presents["late"].as_u64().expect("counted");
    assert!(count > 20 && late < count, "{presents}");
    assert!((5.0..400.0).contains(&median_ms), "{presents}");
    eprintln!("{presents}");
    // Without an end it would never be told.
    let mut endless = server.command(PROGRAM);
    let refused = run(endless.arg("show").arg(&rig).arg("--json")).expect_err("no end");
    assert!(refused.contains("--seconds"), "{refused}");
}

#[test]
fn without_a_display_nothing_is_measured_and_that_is_said() {
    let command = || {
        let mut command = Command::new(PROGRAM);
        command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
        command.args(["check", "tram-cab", "--measure"]);
        command
    };
    let said = run(&mut command()).expect("check ends well");
    assert!(
        said.starts_with("no refresh rate measured: no display"),
        "{said}"
    );
    let said = run(command().arg("--json")).expect("check ends well");
    let report: Value = serde_json::from_str(&said).expect("one JSON document");
    assert_eq!(report["displays"], serde_json::json!([]));
    assert_eq!(report["slips"], serde_json::json!([]));
    assert_eq!(report["presents"], Value::Null);
    // A rig file in the place of the seconds.
    let mut misplaced = command();
    let refused = run(misplaced.arg("my-rig.toml")).expect_err("no number");
    assert!(
        refused.contains("name the rig file before --measure"),
        "{refused}"
    );
}
