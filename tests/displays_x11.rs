//! `displays` and `check` on a real X server with three displays.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use lab::x11::{Server, THREE};
use serde_json::Value;

/// What these tests need of the lab.
const PARTS: [&str; 3] = [
    "Xorg",
    "xrandr",
    "/usr/lib/xorg/modules/drivers/dummy_drv.so",
];

/// Runs the program within a time limit.
fn run(mut limited: Command, arguments: &[&str]) -> Output {
    limited.args(["30", lab::PROGRAM]).args(arguments);
    limited.output().expect("timeout is part of every system")
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        panic!("{error}: {}", String::from_utf8_lossy(&output.stderr));
    })
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn codes(output: &Output) -> Vec<String> {
    let findings = json(output);
    let findings = findings.as_array().expect("a list").iter();
    findings
        .map(|finding| finding["code"].as_str().expect("a code").to_owned())
        .collect()
}

/// The refresh rate of the lab's mode of a size, as its timing gives it.
fn lab_hz([w, h]: [u32; 2]) -> f64 {
    241.5e6 / f64::from((w + 160) * (h + 41))
}

/// A rig file for [`THREE`], whose desktop positions count from the primary.
fn rig(folder: &Path) -> String {
    let path = folder.join("bench.toml");
    fs::write(&path, lab::show::RIG).expect("the test's folder can be written");
    path.display().to_string()
}

#[test]
fn displays_are_listed_as_the_server_has_them() {
    if !lab::has_parts(&PARTS) {
        return;
    }
    let _turn = lab::turn();
    let folder = lab::folder("displays");
    let server = Server::start(&folder, &THREE);
    let output = run(server.command("timeout"), &["displays", "--json"]);
    let list = json(&output);
    let list = list.as_array().expect("a list");
    assert_eq!(list.len(), 3, "{list:?}");
    // From left to right, whatever order the server has them in.
    for (entry, index) in list.iter().zip([1, 0, 2]) {
        let (size, position) = THREE[index];
        assert_eq!(entry["name"], format!("DUMMY{index}"));
        assert_eq!(entry["size_px"], serde_json::json!(size));
        assert_eq!(entry["mode_px"], serde_json::json!(size));
        assert_eq!(entry["position_px"], serde_json::json!(position));
        assert_eq!(entry["scale"], 1.0);
        assert_eq!(entry["primary"], index == 0);
        assert_eq!(entry["size_mm"], Value::Null);
        let hz = entry["refresh_hz"].as_f64().expect("a rate");
        assert!((hz - lab_hz(size)).abs() < 0.0015, "{hz} Hz for {size:?}");
    }

    let table = run(server.command("timeout"), &["displays"]);
    let table = String::from_utf8_lossy(&table.stdout).into_owned();
    let primary = table.lines().find(|line| line.starts_with("DUMMY0"));
    let primary = primary.expect("a line");
    assert!(
        primary.contains("1600 x 900") && primary.ends_with("primary"),
        "{table}"
    );
}

#[test]
fn a_starter_rig_is_written_once_and_reads_back() {
    if !lab::has_parts(&PARTS) {
        return;
    }
    let _turn = lab::turn();
    let folder = lab::folder("starter");
    let server = Server::start(&folder, &THREE);
    let path = folder.join("mine.toml");
    let name = path.display().to_string();
    let write = |more: &[&str]| {
        let arguments = [&["displays", "--out", &name], more].concat();
        run(server.command("timeout"), &arguments)
    };
    let output = write(&[]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));

    let text = fs::read_to_string(&path).expect("just written");
    let rig = throughline::rig::read(&text, &name, &[]).expect("reads back");
    let names: Vec<_> = rig.panels().iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["DUMMY1", "DUMMY0", "DUMMY2"]);
    assert_eq!(rig.seat().view.panel, 1);
    assert_eq!(rig.canvas().size_px, [3600, 1280]);
    assert!(text.contains("# guessed"), "{text}");

    // What stands there is not touched, unless that is asked for.
    fs::write(&path, "mine").expect("can be written");
    let output = write(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        said(&output),
        format!(
            "throughline: {name} exists already: choose another name, or say --force to \
             overwrite it\n"
        )
    );
    assert_eq!(fs::read_to_string(&path).expect("still there"), "mine");
    assert_eq!(write(&["--force"]).status.code(), Some(0));
    assert_eq!(fs::read_to_string(&path).expect("written anew"), text);
}

#[test]
fn a_rig_is_checked_against_the_displays() {
    if !lab::has_parts(&PARTS) {
        return;
    }
    let _turn = lab::turn();
    let folder = lab::folder("check");
    let server = Server::start(&folder, &THREE);
    let rig = rig(&folder);
    let check = |more: &[&str]| {
        // As high on the desk as in the desktop, to within some millimetres.
        let heights = ["--set", "seam.1.rise_mm=31", "--set", "seam.2.rise_mm=-25"];
        let arguments = [&["check", &rig, "--json"], &heights[..], more].concat();
        run(server.command("timeout"), &arguments)
    };
    // The lab's modes differ in their rates; nothing else is wrong, though the
    // rig counts from its primary display and the server from the leftmost.
    let output = check(&[]);
    assert_eq!(codes(&output), ["refresh-differs", "refresh-differs"]);
    assert_eq!(output.status.code(), Some(0));

    let output = check(&["--set", "panel.upright.desktop_px=[1600, -100]"]);
    assert_eq!(codes(&output)[0], "display-position");
    assert_eq!(output.status.code(), Some(1));

    server.set_outputs(&THREE[..2]);
    let output = check(&[]);
    assert_eq!(codes(&output)[0], "display-missing");
    assert_eq!(output.status.code(), Some(1));

    // Without a rig, the displays are one.
    let output = run(server.command("timeout"), &["check", "--json"]);
    assert_eq!(codes(&output), ["refresh-differs"]);
    assert!(said(&output).contains("made from the connected displays"));
}

/// Needs no parts: there is no display at all.
#[test]
fn without_a_display_the_file_alone_is_checked() {
    let without = || {
        let mut command = Command::new("timeout");
        for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
            command.env_remove(name);
        }
        command
    };
    let output = run(without(), &["check", "tram-cab"]);
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stdout), "nothing found\n");
    assert!(
        said(&output).contains("for want of displays"),
        "{}",
        said(&output)
    );

    for arguments in [&["displays"][..], &["check"]] {
        let output = run(without(), arguments);
        assert_eq!(output.status.code(), Some(2));
        assert_eq!(output.stdout, b"");
        let said = said(&output);
        assert!(
            said.starts_with("throughline: no desktop session"),
            "{said}"
        );
        assert_eq!(said.lines().count(), 1, "{said}");
    }
}

/// A display server that takes connections and never answers.
#[test]
#[cfg(target_os = "linux")]
fn a_server_that_hangs_ends_in_a_sentence() {
    let folder = lab::folder("hanging");
    let socket = folder.join("wayland-hanging");
    let _listener = std::os::unix::net::UnixListener::bind(&socket).expect("a short path");
    let mut command = Command::new("timeout");
    command.env("WAYLAND_DISPLAY", &socket);
    let output = run(command, &["displays"]);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(
        said(&output).contains("within 10 seconds"),
        "{}",
        said(&output)
    );
}
