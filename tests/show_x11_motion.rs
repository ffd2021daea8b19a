//! What moves in `show`: its frames, its cost, its caution and how it stops.

#![cfg(feature = "desktop")]

mod lab;

use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::Duration;

use lab::picture::{Picture, expected_frame};
use lab::show::{PANELS, Show, start, write_rig};
use lab::x11::{PARTS, Server, THREE};
use lab::{PROGRAM, folder, has_parts, poll, run, turn};

/// The frame that a picture's strips tell, all alike.
fn frame_in(picture: &Path) -> u64 {
    let mut command = Command::new(PROGRAM);
    command.arg("frames").arg(picture).arg("--json");
    let said = run(&mut command).expect("the strips are read");
    let said: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let strips = said["strips"].as_array().expect("strips");
    assert_eq!(strips.len(), 4, "two at each seam: {said}");
    let frame = strips[0]["frame"].as_u64().expect("a frame");
    assert!(strips.iter().all(|strip| strip["frame"] == frame), "{said}");
    frame
}

/// Bytes uploaded for each of the frames that a run told of, the first and the last ones
/// left out.
fn uploads(show: &Show) -> Vec<u64> {
    let bytes = |line: &str| {
        let (_, rest) = line.split_once(" ms, ")?;
        rest.split_once(" bytes")?.0.parse().ok()
    };
    let said = show.said();
    let of_changes = said.lines().filter(|line| line.starts_with("change"));
    of_changes.filter_map(bytes).collect()
}

/// With the layer named on the command line it moves at once, and what is on the glass at
/// the end is what `screenshot` draws for the same frame, byte for byte. A frame costs less
/// than a megabyte of upload.
#[test]
fn a_frame_on_the_glass_is_the_screenshots() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("motion-frames");
    let rig = write_rig(&folder);
    let server = Server::start(&folder, &THREE);
    let arguments = [
        "--layers",
        "motion",
        "--seconds",
        "4",
        "--capture",
        "shown.png",
    ];
    let mut show = start(server.command(PROGRAM), &rig, &arguments);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert!(
        show.said().contains("sensitive to flashing"),
        "{}",
        show.said()
    );

    let shown = folder.join("shown.png");
    let frame = frame_in(&shown);
    // Sixty a second, as far as a busy machine draws them.
    assert!((60..=300).contains(&frame), "{frame}");
    let (shown, wanted) = (Picture::read(&shown), expected_frame(&rig, frame));
    for panel in PANELS {
        assert_eq!(shown.differing(panel, &wanted, [panel[0], panel[1]]), 0);
    }
    let uploads = uploads(&show);
    assert!(uploads.len() > 20, "{uploads:?}");
    // The first ones may be a whole window's.
    let most = uploads[5..].iter().max();
    assert!(most.is_some_and(|&most| most < 1_000_000), "{uploads:?}");
}

/// A key shows the caution, Enter agrees, keys of the speed keep it going, and one without
/// any meaning stops it; the pattern is then as before.
#[test]
fn it_starts_after_a_caution_and_stops_at_any_key() {
    let _turn = turn();
    let mut parts = PARTS.to_vec();
    parts.push("openbox");
    if !has_parts(&parts) {
        return;
    }
    let folder = folder("motion-keys");
    let rig = write_rig(&folder);
    let server = Server::start(&folder, &THREE);
    let _manager = server.start_manager("openbox", &[]);
    let mut show = start(server.command(PROGRAM), &rig, &[]);
    let is_moving = || {
        let before = server.screenshot();
        thread::sleep(Duration::from_millis(300));
        let [x, y, ..] = PANELS[2];
        server.screenshot().differing(PANELS[2], &before, [x, y]) > 0
    };
    server.keys(&["o"]);
    poll("the words go", || !is_moving());
    let pattern = server.screenshot();
    // Turned down.
    server.keys(&["m", "Escape"]);
    assert!(!is_moving());
    server.keys(&["m"]);
    assert!(!is_moving(), "not before somebody agrees");
    server.keys(&["Return"]);
    poll("the bars sweep", is_moving);
    server.keys(&["Up", "Prior", "Down"]);
    poll("they sweep on", is_moving);
    // None of the program's keys.
    server.keys(&["F7"]);
    poll("they stop", || !is_moving());
    let [x, y, ..] = PANELS[2];
    let is_back = || server.screenshot().differing(PANELS[2], &pattern, [x, y]) == 0;
    poll("the pattern is back", is_back);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}
