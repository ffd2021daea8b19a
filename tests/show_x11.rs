//! `show` on an X server with three outputs, with and without window managers.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::Duration;

use lab::picture::{Picture, expected, expected_first};
use lab::show::{PANELS, Show, start, write_rig};
use lab::x11::{PARTS, Server, THREE};
use lab::{Process, folder, has_parts, poll, run, turn};

fn plain(server: &Server) -> Command {
    server.command(lab::PROGRAM)
}

#[test]
fn without_a_rig_the_displays_make_one_and_it_is_saved() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("guess");
    let server = Server::start(&folder, &THREE);
    let log = folder.join("show.log");
    let mut command = plain(&server);
    command.arg("show").current_dir(&folder);
    command.env("XDG_STATE_HOME", folder.join("state"));
    let mut process = Process::start(&mut command, &log);
    let saved = folder.join("rig.toml");
    poll("the guessed rig is saved", || {
        assert!(
            process.runs(),
            "{}",
            fs::read_to_string(&log).unwrap_or_default()
        );
        // Before the window is there, nobody hears the key.
        server.keys(&["s"]);
        saved.exists()
    });
    server.keys(&["q"]);
    assert_eq!(process.wait(), 0);
    let text = fs::read_to_string(&saved).expect("just saved");
    assert!(text.contains("desktop_px = [1280, 120]"), "{text}");
    let again = expected(&saved, &[]);
    assert_eq!(again.size, [3600, 1280]);
}

/// A server with a window manager that keeps out of the way, and the rig.
fn openbox(test: &str, outputs: &[lab::x11::Output]) -> Option<(Server, Process, Show, Picture)> {
    let mut parts = PARTS.to_vec();
    parts.push("openbox");
    if !has_parts(&parts) {
        return None;
    }
    let folder = folder(test);
    let rig = write_rig(&folder);
    let wanted = expected_first(&rig, &[]);
    let server = Server::start(&folder, outputs);
    let manager = server.start_manager("openbox", &[]);
    let show = start(plain(&server), &rig, &[]);
    Some((server, manager, show, wanted))
}

#[test]
fn keys_nudge_undo_compare_save_and_quit() {
    let _turn = turn();
    let Some((server, _manager, mut show, wanted)) = openbox("keys", &THREE) else {
        return;
    };
    let before = show.rig_text();
    // Without words over it, the picture is that of `screenshot`.
    server.keys(&["o"]);
    server.wait_for(&wanted);
    // Two fine steps and a coarse one of the first seam's angle.
    server.keys(&["Up", "Up", "Prior"]);
    poll("the picture changes", || {
        server.screenshot().differing(PANELS[0], &wanted, [0, 300]) > 100
    });
    // As loaded, for comparison.
    server.keys(&["space"]);
    server.wait_for(&wanted);
    server.keys(&["space", "BackSpace", "BackSpace", "BackSpace"]);
    server.wait_for(&wanted);
    server.keys(&["r", "r", "r", "Right", "Prior", "s"]);
    poll("the file is saved", || show.rig_text() != before);
    let saved = before
        .replace("angle_deg = 40.0 ", "angle_deg = 40.6 ")
        .replacen("gap_mm = 14.0", "gap_mm = 15.0", 1);
    assert_eq!(show.rig_text(), saved);
    let previous = show.rig.with_extension("toml.previous");
    assert_eq!(fs::read_to_string(previous).expect("kept"), before);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    let journal = show.rig.with_extension("toml.nudges");
    assert!(!journal.exists(), "nothing is left to be offered");
}

/// Keys by name, and the keypad's, on a server that numbers some of them otherwise
/// than the window library takes them to be.
#[test]
fn keys_with_a_name_and_the_keypads_are_known() {
    let _turn = turn();
    let Some((server, _manager, mut show, _)) = openbox("names", &THREE) else {
        return;
    };
    let journal = show.rig.with_extension("toml.nudges");
    let angle = |degrees: &str| format!("seam.1.angle_deg {degrees}");
    for (keys, expected) in [
        (&["Up"][..], angle("40.05")),
        (&["Down"], angle("40.0")),
        (&["Prior"], angle("40.5")),
        (&["Next"], angle("40.0")),
        (&["KP_Add"], angle("40.05")),
        (&["KP_Subtract"], angle("40.0")),
        (&["KP_8"], angle("40.05")),
        (&["KP_2"], angle("40.0")),
        (&["KP_9"], angle("40.5")),
        (&["KP_3"], angle("40.0")),
        (&["Right", "Prior"], "seam.1.gap_mm 15.0".to_owned()),
        (&["Left", "Up"], angle("40.05")),
        (&["Delete"], angle("40.0")),
        (&["Tab", "Up"], "panel.2.roll_deg 0.05".to_owned()),
        (&["Home", "Down"], angle("39.95")),
        (&["KP_0"], angle("40.0")),
        (&["End", "Down"], "panel.2.roll_deg 0.0".to_owned()),
    ] {
        server.keys(keys);
        poll(&format!("{keys:?} makes {expected}"), || {
            let text = fs::read_to_string(&journal).unwrap_or_default();
            text.lines().last() == Some(&*expected)
        });
    }
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn the_mouse_turns_drags_and_points() {
    let _turn = turn();
    let Some((server, _manager, mut show, _)) = openbox("mouse", &THREE) else {
        return;
    };
    let before = show.rig_text();
    let mouse = |arguments: &[&str]| server.xdotool(arguments).expect("the mouse moves");
    // A click of the wheel, then a drag of 48 rows, six steps. The server's test
    // pointer has no wheel but its buttons, of which the window library counts
    // both the pressing and the releasing: two steps.
    mouse(&["mousemove", "2000", "500", "mousemove", "2010", "500"]);
    mouse(&["click", "4"]);
    mouse(&["mousedown", "1"]);
    for y in ["490", "480", "470", "460", "452"] {
        mouse(&["mousemove", "2010", y]);
    }
    mouse(&["mouseup", "1"]);
    let pointing = server.screenshot();
    server.keys(&["s"]);
    poll("the file is saved", || show.rig_text() != before);
    assert!(
        show.rig_text().contains("angle_deg = 40.4 "),
        "{}",
        show.rig_text()
    );
    // The drag is one change: one undo leaves the wheel's two steps.
    server.keys(&["BackSpace", "s"]);
    poll("the file is saved again", || {
        show.rig_text().contains("angle_deg = 40.1 ")
    });
    // Pointing elsewhere changes the words.
    mouse(&["mousemove", "2300", "300"]);
    poll("the words follow the pointer", || {
        server
            .screenshot()
            .differing(PANELS[1], &pointing, [1280, 120])
            > 0
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn help_opens_and_closes() {
    let _turn = turn();
    let Some((server, _manager, mut show, wanted)) = openbox("help", &THREE) else {
        return;
    };
    server.keys(&["o"]);
    server.wait_for(&wanted);
    for page in ["keys", "errors"] {
        server.keys(&["h"]);
        poll(page, || {
            server
                .screenshot()
                .differing(PANELS[1], &wanted, [1280, 120])
                > 10_000
        });
    }
    server.keys(&["h"]);
    server.wait_for(&wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn captures_are_numbered_and_hold_the_rig() {
    let _turn = turn();
    let Some((server, _manager, mut show, wanted)) = openbox("capture", &THREE) else {
        return;
    };
    let named = |name: &str| show.rig.with_file_name(name);
    server.keys(&["c"]);
    poll("the first picture", || {
        named("bench-001-before.png").exists()
    });
    server.keys(&["Prior", "c"]);
    poll("its other half", || named("bench-001-after.png").exists());
    server.keys(&["c"]);
    poll("another number", || named("bench-002-after.png").exists());
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    let before = Picture::read(&named("bench-001-before.png"));
    let after = Picture::read(&named("bench-001-after.png"));
    for panel in PANELS {
        assert_eq!(before.differing(panel, &wanted, [panel[0], panel[1]]), 0);
    }
    assert!(after.differing(PANELS[0], &wanted, [0, 300]) > 100);
    let rig_in = |picture: &Picture| picture.texts[0].1.clone();
    assert!(rig_in(&before).contains("angle_deg = 40.0"));
    assert!(rig_in(&after).contains("angle_deg = 40.5"));
}

#[test]
fn the_capture_option_writes_what_was_presented() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("option");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &["seam.1.angle_deg=41"]);
    let server = Server::start(&folder, &THREE);
    let arguments = [
        "--set",
        "seam.1.angle_deg=41",
        "--seconds",
        "3",
        "--capture",
        "shown.png",
    ];
    let mut show = start(plain(&server), &rig, &arguments);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    let shown = Picture::read(&folder.join("shown.png"));
    for panel in PANELS {
        assert_eq!(shown.differing(panel, &wanted, [panel[0], panel[1]]), 0);
    }
    assert_eq!(shown.texts, wanted.texts);
}

#[test]
fn nudges_of_a_killed_run_are_offered_and_taken_up() {
    let _turn = turn();
    let Some((server, _manager, mut show, _)) = openbox("killed", &THREE) else {
        return;
    };
    let before = show.rig_text();
    let journal = show.rig.with_extension("toml.nudges");
    server.keys(&["Prior", "Right", "Up"]);
    poll("both nudges are journalled", || {
        fs::read_to_string(&journal).is_ok_and(|text| text.contains("seam.1.gap_mm 14.1"))
    });
    show.process.kill_at_once();
    assert_eq!(show.rig_text(), before);

    let mut again = start(plain(&server), &show.rig, &[]);
    // Keys that would nudge wait for the answer.
    server.keys(&["Up", "Up", "Return", "s"]);
    poll("the nudges are saved", || again.rig_text() != before);
    let text = again.rig_text();
    assert!(
        text.contains("angle_deg = 40.5 ") && text.contains("gap_mm = 14.1"),
        "{text}"
    );
    assert!(text.contains("# by protractor"));
    poll("the journal ends", || !journal.exists());
    server.keys(&["q"]);
    assert_eq!(again.process.wait(), 0, "{}", again.said());
}

#[test]
fn a_write_protected_file_is_left_alone_and_nothing_is_lost() {
    let _turn = turn();
    let Some((server, _manager, mut show, _)) = openbox("protected", &THREE) else {
        return;
    };
    let before = show.rig_text();
    let mut access = fs::metadata(&show.rig).expect("there").permissions();
    access.set_readonly(true);
    fs::set_permissions(&show.rig, access).expect("ours");
    server.keys(&["Prior", "s"]);
    poll("the refusal is said", || {
        show.said().contains("write-protected")
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert_eq!(show.rig_text(), before);
    let journal = fs::read_to_string(show.rig.with_extension("toml.nudges"));
    assert!(journal.expect("kept").contains("seam.1.angle_deg 40.5"));
}

/// Saving fails for want of room, loses nothing, and succeeds once there is
/// some.
fn lack_of_room(server: &Server, show: &mut Show, is_full: impl Fn(&Show, bool)) {
    let before = show.rig_text();
    let journal = show.rig.with_extension("toml.nudges");
    server.keys(&["Prior"]);
    poll("the nudge is journalled", || {
        fs::read_to_string(&journal).is_ok_and(|text| text.contains("40.5"))
    });
    let [x, y, ..] = PANELS[1];
    poll("the nudge is on the glass", || {
        show.said().contains("change presented")
    });
    // The system shows it a moment later.
    thread::sleep(Duration::from_millis(300));
    let nudged = server.screenshot();
    is_full(show, true);
    server.keys(&["s"]);
    // What it says can't go to a file when files can't grow: it is on the glass.
    poll("words say so", || {
        server.screenshot().differing(PANELS[1], &nudged, [x, y]) > 50
    });
    assert_eq!(show.rig_text(), before, "the rig file is whole");
    assert!(fs::read_to_string(&journal).expect("kept").contains("40.5"));
    let folder = show.rig.parent().expect("in a folder");
    let names: Vec<_> = fs::read_dir(folder)
        .expect("there")
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    assert!(
        !names.iter().any(|name| name.contains(".part")),
        "{names:?}"
    );
    is_full(show, false);
    server.keys(&["s"]);
    poll("the second try succeeds", || {
        show.rig_text().contains("angle_deg = 40.5 ")
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn a_file_that_may_not_grow_at_save_loses_nothing() {
    let _turn = turn();
    if !has_parts(&PARTS) || !has_parts(&["prlimit"]) {
        return;
    }
    let folder = folder("limit");
    let rig = write_rig(&folder);
    let server = Server::start(&folder, &THREE);
    // The system ends a program at its limit that doesn't ask for an error.
    let mut program = server.command("env");
    program.args(["--ignore-signal=XFSZ", lab::PROGRAM]);
    let mut show = start(program, &rig, &[]);
    let is_full = |show: &Show, is_full: bool| {
        // The rig file has some 700 bytes, its journal fewer than 300.
        let limit = if is_full {
            "--fsize=400:"
        } else {
            "--fsize=unlimited:"
        };
        let id = show.process.inner_id().to_string();
        run(Command::new("prlimit").args(["--pid", &id, limit])).expect("a limit can be set");
    };
    lack_of_room(&server, &mut show, is_full);
    let said = show.said();
    assert!(said.contains("not saved: cannot write"), "{said}");
}

#[test]
fn a_full_disk_at_save_loses_nothing() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("full");
    let disk = folder.join("disk");
    fs::create_dir(&disk).expect("the test's folder can be written");
    let mount = |arguments: &[&str]| run(Command::new("mount").args(arguments).arg(&disk));
    if let Err(error) = mount(&["-t", "tmpfs", "-o", "size=64k", "none"]) {
        // Mounting needs rights that not every machine gives; the limit on
        // files stands in for it there.
        lab::say_skipped(&format!("no small disk can be mounted: {error}"));
        return;
    }
    let _mounted = Mounted(&disk);
    let rig = write_rig(&disk);
    let server = Server::start(&folder, &THREE);
    let mut show = start(plain(&server), &rig, &[]);
    let filler = disk.join("filler");
    let is_full = |_: &Show, is_full: bool| {
        if is_full {
            // The rest of the disk, to the last byte.
            let _ = fs::write(&filler, vec![1; 1 << 20]);
        } else {
            fs::remove_file(&filler).expect("ours");
        }
    };
    lack_of_room(&server, &mut show, is_full);
}

struct Mounted<'a>(&'a Path);

impl Drop for Mounted<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0).status();
    }
}

/// Resizes so close that one lands while a frame for the last is being made.
#[test]
fn a_burst_of_resizes_is_survived() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("burst");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let mut show = start(plain(&server), &rig, &["--seconds", "120"]);
    server.wait_for(&wanted);
    let window = server.xdotool(&["search", "--name", "^Throughline$"]);
    let window = window.expect("it is there").trim().to_owned();
    for burst in 0..6_u64 {
        for step in 0..4_u64 {
            let (w, h) = (1300 + 90 * step, 700 + 40 * burst);
            let size = [w.to_string(), h.to_string()];
            let resize = ["windowsize", &window, &size[0], &size[1]];
            server.xdotool(&resize).expect("it can be resized");
            thread::sleep(Duration::from_millis(12 * burst + 5 * step));
        }
    }
    server.wait_for(&wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn without_a_display_or_an_adapter_one_sentence_names_the_way_out() {
    let _turn = turn();
    let folder = folder("none");
    let rig = write_rig(&folder);
    let failing = |command: &mut Command| {
        command.arg("show").arg(&rig).args(["--seconds", "2"]);
        let output = command.output().expect("the program runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains("throughline screenshot"), "{said}");
        said
    };
    let mut bare = Command::new(lab::PROGRAM);
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        bare.env_remove(name);
    }
    assert!(failing(&mut bare).contains("no desktop session"));
    if !has_parts(&PARTS) {
        return;
    }
    let server = Server::start(&folder, &THREE);
    let mut without = plain(&server);
    for name in ["VK_ICD_FILENAMES", "VK_DRIVER_FILES"] {
        without.env(name, "/nonexistent");
    }
    assert!(failing(&mut without).contains("no graphics adapter"));
    let mut misnamed = plain(&server);
    misnamed.env("WGPU_ADAPTER_NAME", "no such adapter");
    assert!(failing(&mut misnamed).contains("WGPU_ADAPTER_NAME"));
}
