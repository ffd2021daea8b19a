//! The Windows build, under wine: it draws and says what the build for this
//! system does, and its window covers displays left of and above the primary.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::thread;
use std::time::Duration;

use lab::picture::{Picture, expected, expected_first};
use lab::show::{PANELS, Show, start_named, write_rig};
use lab::wine::{Wine, windows_path};
use lab::x11::{PARTS, Server, THREE};
use lab::{folder, has_parts, poll, turn};
use serde_json::Value;
use throughline::rig::demos;

/// What the build for this system does with the same words in the same folder.
fn here(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new("timeout");
    command.args(["60", lab::PROGRAM]).args(arguments);
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        command.env_remove(name);
    }
    let output = command.current_dir(folder).output();
    output.expect("timeout is part of every system")
}

/// Exit code, stdout and stderr.
fn said(output: &Output) -> (Option<i32>, String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("UTF-8");
    (
        output.status.code(),
        text(&output.stdout),
        text(&output.stderr),
    )
}

fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("the test's folder").flatten();
    let mut names: Vec<_> = entries
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Whether two documents say the same; numbers to eight digits, since systems
/// differ in the last ones of sines and cosines, and fits build on them.
fn agree(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let [one, other] = [one, other].map(|n| n.as_f64().expect("a number"));
            (one - other).abs() <= 1e-8 * one.abs().max(1.0)
        }
        (Value::Array(one), Value::Array(other)) => {
            let mut pairs = one.iter().zip(other);
            one.len() == other.len() && pairs.all(|(one, other)| agree(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            let same = |(key, value): (&String, _)| other.get(key).is_some_and(|o| agree(value, o));
            one.len() == other.len() && one.iter().all(same)
        }
        _ => one == other,
    }
}

#[test]
fn numbers_agree_to_eight_digits() {
    let parse = |text: &str| serde_json::from_str::<Value>(text).expect("JSON");
    let one = parse(r#"{"a": [659.5000213762657, "x"], "b": null}"#);
    assert!(agree(
        &one,
        &parse(r#"{"b": null, "a": [659.5000213676960, "x"]}"#)
    ));
    for other in [
        r#"{"a": [659.50004, "x"], "b": null}"#,
        r#"{"a": [659.5000213762657, "y"], "b": null}"#,
        r#"{"a": [659.5000213762657], "b": null}"#,
        r#"{"a": [659.5000213762657, "x"]}"#,
    ] {
        assert!(!agree(&one, &parse(other)), "{other}");
    }
}

#[test]
fn every_demo_is_drawn_to_the_same_bytes() {
    let _turn = turn();
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-demos");
    for demo in demos() {
        let files = ["here.png", "windows.png"].map(|name| folder.join(name));
        let drawn = |out: &str| ["screenshot", demo.name, "--out", out].map(str::to_owned);
        let arguments = drawn("here.png");
        let output = here(&folder, &arguments.each_ref().map(String::as_str));
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        let arguments = drawn(&windows_path(&files[1]));
        let output = wine.output(None, &folder, &arguments.each_ref().map(String::as_str));
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        let [one, other] = files
            .each_ref()
            .map(|file| fs::read(file).expect("written"));
        assert!(one.len() > 10_000 && one == other, "{} differs", demo.name);
    }
}

#[test]
fn what_is_printed_is_the_same() {
    let _turn = turn();
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-texts");
    let built = ["seat", "tram-cab", "--set-built", "seam.2.rise_mm=-5"];
    let small = ["--size", "640x240", "--out"];
    let lists: Vec<Vec<&str>> = vec![
        vec!["--help"],
        vec!["show", "--help"],
        vec!["sheet", "rally-loft", "--explain"],
        vec!["sheet", "tram-cab", "--units", "in"],
        vec!["sheet", "ferry-bridge", "--json"],
        vec!["sheet", "night-train", "--plan", "desk.svg"],
        [&built[..], &small, &["low.png"]].concat(),
        [&built[..], &small, &["low.png", "--json"]].concat(),
        [&["seat", "tram-cab"], &small[..], &["true.png"]].concat(),
        vec!["compare", "true.png", "low.png", "--out", "both.png"],
        vec![
            "compare", "true.png", "low.png", "--out", "both.png", "--json",
        ],
    ];
    for arguments in lists {
        let wanted = said(&here(&folder, &arguments));
        assert_eq!(wanted.0, Some(0), "{arguments:?}: {}", wanted.2);
        let found = said(&wine.output(None, &folder, &arguments));
        // The program's own name has an ending there.
        let text = found.1.replace("throughline.exe", "throughline");
        if arguments.contains(&"--json") {
            assert_eq!((found.0, &found.2), (wanted.0, &wanted.2), "{arguments:?}");
            let parse = |text: &str| serde_json::from_str::<Value>(text).expect("JSON");
            let same = agree(&parse(&text), &parse(&wanted.1));
            assert!(same, "{arguments:?}: {text} is not {}", wanted.1);
        } else {
            assert_eq!((found.0, text, found.2), wanted, "{arguments:?}");
        }
    }
}

#[test]
fn mistakes_end_with_code_2_and_one_sentence() {
    let _turn = turn();
    let Some(wine) = Wine::get() else { return };
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/broken");
    let files: Vec<_> = names_in(&data)
        .into_iter()
        .filter(|name| name.ends_with(".toml"))
        .collect();
    // Each takes wine a moment; some of every kind are enough.
    for name in files.iter().step_by(4) {
        let wanted = said(&here(&data, &["sheet", name]));
        assert_eq!(wanted.0, Some(2), "{name}: {}", wanted.2);
        assert_eq!(said(&wine.output(None, &data, &["sheet", name])), wanted);
    }

    let folder = folder("windows-mistakes");
    let missing = windows_path(&folder.join("missing/p.png"));
    let own = windows_path(&folder);
    for (arguments, about) in [
        (["screenshot", "tram-cab", "--out", &missing], &missing),
        (["screenshot", "tram-cab", "--out", &own], &own),
        (["screenshot", &missing, "--out", "p.png"], &missing),
        (["screenshot", &own, "--out", "p.png"], &own),
    ] {
        let (code, stdout, stderr) = said(&wine.output(None, &folder, &arguments));
        assert_eq!((code, stdout.as_str()), (Some(2), ""), "{stderr}");
        assert!(stderr.starts_with("throughline: "), "{stderr}");
        assert!(stderr.contains(about.as_str()), "{stderr}");
        assert_eq!(stderr.lines().count(), 1, "{stderr}");
        assert_eq!(names_in(&folder), [""; 0]);
    }
    let usage = wine.output(None, &folder, &["sheet", "--no-such"]);
    assert_eq!(usage.status.code(), Some(2));
}

#[test]
fn files_in_any_alphabet_are_replaced_whole() {
    let _turn = turn();
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-files").join("Größe 測定 мостик");
    fs::create_dir(&folder).expect("the test's folder can be written");
    let rig = folder.join("banc d’été.toml");
    fs::write(&rig, lab::show::RIG.replace('\n', "\r\n")).expect("written");
    let out = folder.join("naïve.png");
    fs::write(&out, "stood there before").expect("written");
    let arguments = [
        "screenshot",
        &windows_path(&rig),
        "--out",
        &windows_path(&out),
    ];
    let output = wine.output(None, &folder, &arguments);
    assert_eq!(said(&output), (Some(0), String::new(), String::new()));
    assert_eq!(names_in(&folder), ["banc d’été.toml", "naïve.png"]);
    let drawn = Picture::read(&out);
    let wanted = expected(&rig, &[]);
    for [x, y, w, h] in PANELS {
        assert_eq!(drawn.differing([x, y, w, h], &wanted, [x, y]), 0);
    }
    // A mistake in a file with Windows' line ends is on the line where it is.
    let broken = fs::read_to_string(&rig)
        .expect("there")
        .replace("= 40.0", "= x");
    fs::write(&rig, broken).expect("written");
    let [there, here] = [
        wine.output(None, &folder, &["sheet", "banc d’été.toml"]),
        here(&folder, &["sheet", "banc d’été.toml"]),
    ];
    assert_eq!(said(&there), said(&here));
    assert!(
        said(&here).2.contains("banc d’été.toml:29:13"),
        "{:?}",
        said(&here).2
    );
}

#[test]
fn displays_left_of_and_above_the_primary_have_negative_places() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-displays");
    let server = Server::start(&folder, &THREE);
    let output = wine.output(Some(&server), &folder, &["displays", "--json"]);
    let (code, list, stderr) = said(&output);
    assert_eq!(code, Some(0), "{stderr}");
    let list: Value = serde_json::from_str(&list).expect("JSON");
    let list = list.as_array().expect("a list");
    let names = ["DISPLAY2", "DISPLAY1", "DISPLAY3"];
    let column = |key: &str| list.iter().map(|entry| &entry[key]).collect::<Vec<_>>();
    let sizes = [[1280, 720], [1600, 900], [720, 1280]];
    let places = [[-1280, 180], [0, 0], [1600, -120]];
    assert_eq!(
        serde_json::json!(column("size_px")),
        serde_json::json!(sizes)
    );
    assert_eq!(
        serde_json::json!(column("position_px")),
        serde_json::json!(places)
    );
    assert_eq!(
        serde_json::json!(column("primary")),
        serde_json::json!([false, true, false])
    );

    assert_eq!(serde_json::json!(column("name")), serde_json::json!(names));

    // The rig file for them has these places, and is checked against them.
    let written = wine.output(Some(&server), &folder, &["displays", "--out", "mine.toml"]);
    assert_eq!(written.status.code(), Some(0), "{written:?}");
    let text = fs::read_to_string(folder.join("mine.toml")).expect("written");
    assert!(text.contains("desktop_px = [-1280, 180]"), "{text}");
    let set = "panel.1.desktop_px=[-1300, 180]";
    let check = |more: &[&str]| {
        let arguments = [&["check", "mine.toml", "--json"], more].concat();
        said(&wine.output(Some(&server), &folder, &arguments)).1
    };
    assert!(!check(&[]).contains("display-"), "{}", check(&[]));
    let moved = check(&["--set", set]);
    assert!(moved.contains("display-position"), "{moved}");
}

/// A server, and `show` on it.
fn showing<'a>(wine: &Wine, server: &'a Server, rig: &Path, more: &[&str]) -> (Show, &'a Server) {
    let program = wine.program(Some(server));
    (start_named(program, rig, &windows_path(rig), more), server)
}

/// Waits until every panel shows its picture, byte for byte.
fn wait_for(server: &Server, wanted: &Picture) {
    poll("every panel shows its picture", || {
        let shown = server.screenshot();
        let differing = PANELS.map(|panel| shown.differing(panel, wanted, [panel[0], panel[1]]));
        if differing != [0; 3] {
            eprintln!("pixels that differ so far: {differing:?}");
        }
        differing == [0; 3]
    });
}

#[test]
fn one_window_covers_displays_at_negative_places() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-show");
    let rig = write_rig(&folder);
    let text = lab::show::RIG.replace('\n', "\r\n");
    fs::write(&rig, &text).expect("written");
    let wanted = expected_first(&rig, &[]);
    assert!(wanted.lit(PANELS[0]) > 10_000, "the pattern is no black");
    let server = Server::start(&folder, &THREE);
    let (mut show, server) = showing(&wine, &server, &rig, &[]);
    // Without words over it, the picture is that of `screenshot`.
    poll("the key reaches the window", || {
        server.keys(&["o"]);
        thread::sleep(Duration::from_millis(700));
        let shown = server.screenshot();
        shown.differing(PANELS[1], &wanted, [1280, 120]) == 0
    });
    wait_for(server, &wanted);
    // Two fine steps and a coarse one of the first seam's angle.
    server.keys(&["c", "Up", "Up", "Prior"]);
    poll("the picture changes", || {
        server.screenshot().differing(PANELS[0], &wanted, [0, 300]) > 100
    });
    server.keys(&["c"]);
    poll("both pictures are written", || {
        show.rig.with_file_name("bench-001-after.png").exists()
    });
    server.keys(&["BackSpace", "BackSpace", "BackSpace"]);
    wait_for(server, &wanted);
    server.keys(&["r", "r", "r", "Right", "Prior", "s"]);
    poll("the file is saved", || show.rig_text() != text);
    let saved = text
        .replace("angle_deg = 40.0 ", "angle_deg = 40.6 ")
        .replacen("gap_mm = 14.0", "gap_mm = 15.0", 1);
    assert_eq!(show.rig_text(), saved);
    // A second time the file as it was found stays kept.
    server.keys(&["Prior", "s"]);
    let again = saved.replacen("gap_mm = 15.0", "gap_mm = 16.0", 1);
    poll("the file is saved again", || show.rig_text() == again);
    let previous = show.rig.with_extension("toml.previous");
    assert_eq!(fs::read_to_string(previous).expect("kept"), text);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert!(!show.said().contains("throughline:"), "{}", show.said());
    let left = names_in(&folder);
    let unfinished = |name: &String| name.ends_with(".nudges") || name.ends_with(".part");
    assert!(!left.iter().any(unfinished), "{left:?}");

    let captured = |name: &str| Picture::read(&folder.join(name));
    let before = captured("bench-001-before.png");
    for panel in PANELS {
        assert_eq!(before.differing(panel, &wanted, [panel[0], panel[1]]), 0);
    }
    let after = captured("bench-001-after.png");
    assert!(after.differing(PANELS[0], &wanted, [0, 300]) > 100);
    assert!(after.texts[0].1.contains("angle_deg = 40.6"));
}

#[test]
fn displays_that_go_and_come_back_are_followed() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-follows");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let (mut show, server) = showing(&wine, &server, &rig, &["--seconds", "120"]);
    wait_for(server, &wanted);
    server.keys(&["o"]);
    // The left one goes; the server shifts the others to the left.
    let two = [([1600, 900], [0, 120]), THREE[1], ([720, 1280], [1600, 0])];
    server.set_outputs_but(&two, Some(1));
    let others = [
        ([0, 120, 1600, 900], [1280, 120]),
        ([1600, 0, 720, 1280], [2880, 0]),
    ];
    server.wait_for_parts(&wanted, &others);
    assert!(show.said().contains("panel \"left\""), "{}", show.said());
    server.set_outputs(&THREE);
    wait_for(server, &wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn two_runs_for_one_rig_leave_each_others_nudges_alone() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-two");
    let rig = write_rig(&folder);
    let server = Server::start(&folder, &THREE);
    let (_one, server) = showing(&wine, &server, &rig, &["--seconds", "120"]);
    server.keys(&["Prior"]);
    let journal = rig.with_extension("toml.nudges");
    let noted = || fs::read_to_string(&journal).is_ok_and(|text| text.contains("40.5"));
    poll("the nudge is journalled", noted);
    // The other one's window is on top, and offers nothing to be thrown away.
    let (mut other, server) = showing(&wine, server, &rig, &["--seconds", "120"]);
    server.keys(&["Delete", "q"]);
    assert_eq!(other.process.wait(), 0, "{}", other.said());
    assert!(noted());
}

#[test]
fn at_a_scale_of_150_percent_one_pixel_is_one_pixel() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-scale");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    wine.set_scale(150);
    let listed = said(&wine.output(Some(&server), &folder, &["displays", "--json"])).1;
    let (mut show, server) = showing(&wine, &server, &rig, &["--seconds", "60"]);
    wait_for(server, &wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert!(listed.contains("\"scale\": 1.5"), "{listed}");
}

#[test]
fn nudges_of_a_killed_run_are_offered_and_taken_up() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-killed");
    let rig = write_rig(&folder);
    let journal = rig.with_extension("toml.nudges");
    let server = Server::start(&folder, &THREE);
    let (mut show, server) = showing(&wine, &server, &rig, &[]);
    let before = show.rig_text();
    poll("the nudge is journalled", || {
        server.keys(&["Prior"]);
        thread::sleep(Duration::from_millis(700));
        journal.exists()
    });
    server.keys(&["Delete", "Prior", "Right", "Up"]);
    poll("both nudges are journalled", || {
        fs::read_to_string(&journal).is_ok_and(|text| text.ends_with("seam.1.gap_mm 14.1\n"))
    });
    show.process.kill_at_once();
    assert_eq!(show.rig_text(), before);

    let (mut again, server) = showing(&wine, server, &rig, &[]);
    poll("the nudges are saved", || {
        server.keys(&["Return", "s"]);
        thread::sleep(Duration::from_millis(700));
        again.rig_text() != before
    });
    let text = again.rig_text();
    assert!(
        text.contains("angle_deg = 40.5 ") && text.contains("gap_mm = 14.1"),
        "{text}"
    );
    poll("the journal ends", || !journal.exists());

    // What can't be saved stays in the journal, too.
    let mut access = fs::metadata(&rig).expect("there").permissions();
    access.set_readonly(true);
    fs::set_permissions(&rig, access).expect("ours");
    server.keys(&["Prior", "s"]);
    let refusal = format!("not saved: {} is write-protected", windows_path(&rig));
    poll("the refusal is said", || again.said().contains(&refusal));
    server.keys(&["q"]);
    assert_eq!(again.process.wait(), 0, "{}", again.said());
    assert_eq!(again.rig_text(), text);
    assert!(journal.exists());
}

#[test]
fn without_an_adapter_one_sentence_names_the_way_out() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else { return };
    let folder = folder("windows-none");
    let rig = write_rig(&folder);
    let server = Server::start(&folder, &THREE);
    let arguments = ["show", &windows_path(&rig), "--seconds", "2"];
    let nowhere = ["VK_ICD_FILENAMES", "VK_DRIVER_FILES"].map(|name| (name, "/nonexistent"));
    let output = wine.output_with(Some(&server), &folder, &arguments, &nowhere);
    let (code, _, stderr) = said(&output);
    assert_eq!(code, Some(2), "{stderr}");
    assert_eq!(stderr.lines().count(), 1, "{stderr}");
    assert!(
        stderr.contains("no graphics adapter") && stderr.contains("throughline screenshot"),
        "{stderr}"
    );
}
