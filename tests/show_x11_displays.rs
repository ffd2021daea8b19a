//! `show` on displays of all kinds, and on displays that change while it runs.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use lab::picture::{Picture, expected};
use lab::show::{PANELS, start, write_rig};
use lab::x11::{Output, PARTS, Server, THREE};
use lab::{PROGRAM, Process, folder, has_parts, turn};

/// Longest time until a change of the displays is noticed.
const NOTICED_WITHIN: Duration = Duration::from_secs(2);

/// Where [`PANELS`] are shown.
fn whole() -> [([usize; 4], [usize; 2]); 3] {
    PANELS.map(|panel| (panel, [panel[0], panel[1]]))
}

/// Waits for the picture after a change, for as long as noticing it and opening
/// the windows anew may take.
fn follows(
    server: &Server,
    wanted: &Picture,
    parts: &[([usize; 4], [usize; 2])],
    opening: Duration,
) {
    let start = Instant::now();
    server.wait_for_parts(wanted, parts);
    let took = start.elapsed();
    let most = NOTICED_WITHIN + opening;
    assert!(took < most, "followed after {took:?}, not {most:?}");
}

#[test]
fn at_a_scale_of_150_percent_one_pixel_is_one_pixel() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("scale");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let mut program = server.command(PROGRAM);
    program.env("WINIT_X11_SCALE_FACTOR", "1.5");
    let mut show = start(program, &rig, &["--seconds", "60"]);
    server.wait_for(&wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// The left display goes and comes back; a mode changes, and changes back.
fn follows_changes(name: &str, windows: &str, has_manager: bool) {
    let _turn = turn();
    if !has_parts(&PARTS) || (has_manager && !has_parts(&["openbox"])) {
        return;
    }
    let folder = folder(name);
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    server.add_mode(0, [1280, 720]);
    let _manager: Option<Process> = has_manager.then(|| server.start_manager("openbox", &[]));
    let arguments = ["--windows", windows, "--seconds", "120"];
    let opened = Instant::now();
    let mut show = start(server.command(PROGRAM), &rig, &arguments);
    server.wait_for(&wanted);
    let opening = opened.elapsed();
    // No words over the pattern, whatever there is to be said.
    server.keys(&["o"]);

    // The left one goes; the server shifts the others to the left.
    let two = [([1600, 900], [0, 120]), THREE[1], ([720, 1280], [1600, 0])];
    server.set_outputs_but(&two, Some(1));
    let others = [
        ([0, 120, 1600, 900], [1280, 120]),
        ([1600, 0, 720, 1280], [2880, 0]),
    ];
    follows(&server, &wanted, &others, opening);
    assert!(show.said().contains("panel \"left\""), "{}", show.said());
    server.set_outputs(&THREE);
    follows(&server, &wanted, &whole(), opening);

    // The middle one shows the middle of its panel's picture in a smaller mode.
    let mut smaller = THREE;
    smaller[0].0 = [1280, 720];
    server.set_outputs(&smaller);
    let cut = ([1280, 120, 1280, 720], [1280 + 160, 120 + 90]);
    follows(&server, &wanted, &[whole()[0], cut, whole()[2]], opening);
    assert!(
        show.said()
            .contains("panel \"middle\" (1600 × 900 px) was expected at 0, 0, but is"),
        "{}",
        show.said()
    );
    assert!(
        show.said().contains("(1280 × 720 px at 1280, 120)"),
        "{}",
        show.said()
    );
    server.set_outputs(&THREE);
    follows(&server, &wanted, &whole(), opening);

    // Two change places: neither a size nor the whole desktop's changes.
    let mut swapped = THREE;
    (swapped[0].1, swapped[1].1) = ([0, 120], [1600, 300]);
    server.set_outputs(&swapped);
    let moved = [
        ([0, 120, 1600, 900], [1280, 120]),
        ([1600, 300, 1280, 720], [0, 300]),
        whole()[2],
    ];
    follows(&server, &wanted, &moved, opening);
    server.set_outputs(&THREE);
    follows(&server, &wanted, &whole(), opening);

    // However often windows were opened.
    assert_eq!(show.made(), [1, 1], "{}", show.said());
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn windows_on_three_displays_share_one_graphics_device() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("one-device");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let arguments = ["--windows", "per-display", "--seconds", "60"];
    let mut show = start(server.command(PROGRAM), &rig, &arguments);
    server.wait_for(&wanted);
    let windows = server.xdotool(&["search", "--onlyvisible", "--name", "^Throughline$"]);
    assert_eq!(windows.expect("there are windows").lines().count(), 3);
    assert_eq!(show.made(), [1, 1], "{}", show.said());
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn changes_are_followed_by_one_window() {
    follows_changes("one-bare", "span", false);
}

#[test]
fn changes_are_followed_by_one_window_under_openbox() {
    follows_changes("one-openbox", "span", true);
}

#[test]
fn changes_are_followed_by_a_window_on_each_display() {
    follows_changes("each-bare", "per-display", false);
}

#[test]
fn changes_are_followed_by_a_window_on_each_display_under_openbox() {
    follows_changes("each-openbox", "per-display", true);
}

/// A rig of equal panels in a row, each with a display of its own.
fn row(folder: &Path, count: u32, [w, h]: [u32; 2]) -> (PathBuf, Vec<Output>) {
    let mut text =
        "format = 1\nname = \"Row\"\n[seat]\nview = \"p0/1\"\ndistance_mm = 700.0\n".to_owned();
    for index in 0..count {
        text += &format!(
            "[[panel]]\nname = \"p{index}\"\npixels = [{w}, {h}]\ndiagonal_in = 27.0\n\
             desktop_px = [{}, 0]\n",
            index * w
        );
    }
    for _ in 1..count {
        text += "[[seam]]\nangle_deg = 20.0\n";
    }
    let rig = folder.join("row.toml");
    fs::write(&rig, text).expect("the test's folder can be written");
    let outputs = (0..count).map(|index| ([w, h], [index * w, 0])).collect();
    (rig, outputs)
}

fn parts_of(outputs: &[Output]) -> Vec<([usize; 4], [usize; 2])> {
    let part = |([w, h], [x, y]): &Output| {
        let [x, y, w, h] = [*x, *y, *w, *h].map(|number| number as usize);
        ([x, y, w, h], [x, y])
    };
    outputs.iter().map(part).collect()
}

#[test]
fn a_desktop_of_11520_by_2160_is_covered() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("wide");
    let (rig, outputs) = row(&folder, 3, [3840, 2160]);
    let wanted = expected(&rig, &[]);
    assert_eq!(wanted.size, [11_520, 2160]);
    let server = Server::start(&folder, &outputs);
    let arguments = ["--windows", "span", "--seconds", "100"];
    let mut show = start(server.command(PROGRAM), &rig, &arguments);
    server.wait_for_parts(&wanted, &parts_of(&outputs));
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert!(!show.said().contains("throughline:"), "{}", show.said());
}

#[test]
fn a_desktop_beyond_the_adapters_limit() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("beyond");
    let (rig, outputs) = row(&folder, 4, [4250, 720]);
    let wanted = expected(&rig, &[]);
    assert_eq!(wanted.size, [17_000, 720]);
    let server = Server::start_with_room(&folder, &outputs, [17_408, 2160]);
    let limit = "17000 × 720 px, but this graphics adapter draws at most 16384 a side";

    let mut one: Command = server.command(PROGRAM);
    one.arg("show")
        .arg(&rig)
        .args(["--windows", "span", "--seconds", "5"]);
    let output = one.output().expect("the program runs");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(
        said.contains(limit) && said.contains("--windows per-display"),
        "{said}"
    );

    // Without a demand for one window, every display gets its own.
    let mut show = start(server.command(PROGRAM), &rig, &["--seconds", "100"]);
    server.keys(&["o"]);
    server.wait_for_parts(&wanted, &parts_of(&outputs));
    let said = show.said();
    assert!(
        said.contains(limit) && said.contains("a window of its own"),
        "{said}"
    );
    assert_eq!(show.made(), [1, 1], "{said}");
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn a_desktop_that_grows_beyond_the_adapters_limit() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("grows");
    let (rig, outputs) = row(&folder, 4, [4250, 720]);
    let wanted = expected(&rig, &[]);
    let server = Server::start_with_room(&folder, &outputs, [17_408, 2160]);
    server.set_outputs(&outputs[..3]);
    let mut show = start(server.command(PROGRAM), &rig, &["--seconds", "100"]);
    server.keys(&["o"]);
    server.wait_for_parts(&wanted, &parts_of(&outputs[..3]));
    assert!(
        !show.said().contains("a window of its own"),
        "{}",
        show.said()
    );
    server.set_outputs(&outputs);
    server.wait_for_parts(&wanted, &parts_of(&outputs));
    assert!(
        show.said().contains("a window of its own"),
        "{}",
        show.said()
    );
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn a_drivers_span_and_a_display_of_nobody() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("span");
    let rig = folder.join("span.toml");
    let panel = |name: &str, x: i32| {
        format!(
            "[[panel]]\nname = \"{name}\"\npixels = [1280, 720]\ndiagonal_in = 24.0\n\
             desktop_px = [{x}, 0]\n"
        )
    };
    let text = format!(
        "format = 1\nname = \"Span\"\n[seat]\nview = \"one/1\"\ndistance_mm = 700.0\n{}{}\
         [[seam]]\nangle_deg = 30.0\nhidden_px = 40\n",
        panel("one", 0),
        panel("two", 1280)
    );
    fs::write(&rig, text).expect("the test's folder can be written");
    let wanted = expected(&rig, &[]);
    let outputs = [([2600, 720], [0, 0]), ([800, 600], [2600, 0])];
    let server = Server::start(&folder, &outputs);
    let mut show = start(server.command(PROGRAM), &rig, &["--seconds", "60"]);
    let parts = [
        ([0, 0, 1280, 720], [0, 0]),
        ([1320, 0, 1280, 720], [1320, 0]),
    ];
    server.wait_for_parts(&wanted, &parts);
    let shown = server.screenshot();
    assert_eq!(shown.lit([1280, 0, 40, 720]), 0, "hidden columns are black");
    let named = shown.lit([2600, 0, 800, 600]);
    assert!(
        (50..50_000).contains(&named),
        "its name alone: {named} pixels"
    );
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}
