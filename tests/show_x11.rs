//! `show` on an X server with three outputs, with and without window managers.

mod lab;

use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::Duration;

use lab::picture::{Picture, expected};
use lab::show::{PANELS, Show, start, write_rig};
use lab::x11::{PARTS, Server, THREE};
use lab::{Process, folder, has_parts, poll, run, turn};

/// Waits until every panel shows what `screenshot` writes, byte for byte.
fn wait_for(server: &Server, wanted: &Picture) {
    wait_for_panels(server, wanted, &PANELS);
}

fn wait_for_panels(server: &Server, wanted: &Picture, panels: &[[usize; 4]]) {
    let mut differing = Vec::new();
    poll("every panel shows its picture", || {
        let shown = server.screenshot();
        differing = panels
            .iter()
            .map(|panel| shown.differing(*panel, wanted, [panel[0], panel[1]]))
            .collect();
        if differing.iter().any(|&count| count > 0) {
            eprintln!("pixels that differ so far: {differing:?}");
        }
        differing.iter().all(|&count| count == 0)
    });
}

fn plain(server: &Server) -> Command {
    server.command(lab::PROGRAM)
}

/// The pattern covers three displays under a window manager, or none, and keys
/// reach it.
fn covers(name: &str, manager: Option<(&str, &[&str])>, settle: Duration) {
    let mut parts = PARTS.to_vec();
    if let Some((program, _)) = manager {
        parts.push(program);
    }
    if !has_parts(&parts) {
        return;
    }
    let _turn = turn();
    let folder = folder(name);
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    assert!(wanted.lit(PANELS[1]) > 10_000, "the pattern is no black");
    let server = Server::start(&folder, &THREE);
    let _manager = manager.map(|(program, arguments)| {
        let manager = server.start_manager(program, arguments);
        // Some lay the displays out anew a while after they announced themselves.
        thread::sleep(settle);
        server.set_outputs(&THREE);
        manager
    });
    let mut show = start(plain(&server), &rig, &["--seconds", "100"]);
    wait_for(&server, &wanted);
    // A nudge changes the picture, undoing it brings it back.
    poll("the key reaches the window", || {
        server.keys(&["Next"]);
        thread::sleep(Duration::from_millis(500));
        show.said().contains("change presented")
    });
    // A compositing manager shows it a little later.
    poll("the nudge is seen", || {
        server.screenshot().differing(PANELS[0], &wanted, [0, 300]) > 100
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert!(!show.said().contains("throughline:"), "{}", show.said());
}

#[test]
fn without_a_window_manager() {
    covers("bare", None, Duration::ZERO);
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
    let mut program = plain(&server);
    program.env("WINIT_X11_SCALE_FACTOR", "1.5");
    let mut show = start(program, &rig, &["--seconds", "60"]);
    wait_for(&server, &wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
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

#[test]
fn under_openbox() {
    covers("openbox", Some(("openbox", &[])), Duration::ZERO);
}

#[test]
fn under_xfwm4() {
    covers(
        "xfwm4",
        Some(("dbus-run-session", &["--", "xfwm4", "--compositor=off"])),
        Duration::from_secs(1),
    );
}

#[test]
fn under_mutter() {
    let arguments = ["--", "mutter", "--x11", "--sm-disable"];
    covers(
        "mutter",
        Some(("dbus-run-session", &arguments)),
        Duration::from_secs(7),
    );
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
    let wanted = expected(&rig, &[]);
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
    wait_for(&server, &wanted);
    // Two fine steps and a coarse one of the first seam's angle.
    server.keys(&["Up", "Up", "Prior"]);
    poll("the picture changes", || {
        server.screenshot().differing(PANELS[0], &wanted, [0, 300]) > 100
    });
    // As loaded, for comparison.
    server.keys(&["space"]);
    wait_for(&server, &wanted);
    server.keys(&["space", "BackSpace", "BackSpace", "BackSpace"]);
    wait_for(&server, &wanted);
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
    wait_for(&server, &wanted);
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
    wait_for(&server, &wanted);
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
fn displays_that_go_and_come_back_are_followed() {
    let _turn = turn();
    let Some((server, _manager, mut show, wanted)) = openbox("follow", &THREE) else {
        return;
    };
    server.keys(&["o"]);
    wait_for(&server, &wanted);
    // The left one goes; the server shifts the others to the left.
    let two = [([1600, 900], [0, 120]), ([720, 1280], [1600, 0])];
    let without = |outputs: &[lab::x11::Output; 2]| {
        let mut command = server.command("xrandr");
        command.args(["--output", "DUMMY1", "--off"]);
        command.args(["--output", "DUMMY0", "--pos", &place(outputs[0])]);
        command.args(["--output", "DUMMY2", "--pos", &place(outputs[1])]);
        run(&mut command).expect("the outputs can be set");
    };
    without(&two);
    poll("the other two are followed", || {
        let shown = server.screenshot();
        shown.size[0] >= 2320
            && shown.differing([0, 120, 1600, 900], &wanted, [1280, 120]) == 0
            && shown.differing([1600, 0, 720, 1280], &wanted, [2880, 0]) == 0
    });
    assert!(show.said().contains("panel \"left\""), "{}", show.said());
    server.set_outputs(&THREE);
    wait_for(&server, &wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

fn place((_, [x, y]): lab::x11::Output) -> String {
    format!("{x}x{y}")
}

#[test]
fn a_window_made_smaller_before_the_first_frame_is_put_right() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("smaller");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    // It looks for the window without a pause, to be there first.
    let meddle = "for i in $(seq 400); do \
                  w=$(xdotool search --name '^Throughline$' 2>/dev/null | head -1); \
                  if [ -n \"$w\" ]; then xdotool windowsize $w 900 500; exit; fi; \
                  sleep 0.01; done";
    let mut command = server.command("sh");
    let mut meddler = Process::start(command.args(["-c", meddle]), &folder.join("meddler.log"));
    let mut show = start(plain(&server), &rig, &["--seconds", "60"]);
    wait_for(&server, &wanted);
    assert_eq!(meddler.wait(), 0);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
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
        // Mounting needs rights that not every machine gives, CI's included.
        lab::say_skipped(&format!("no small disk can be mounted: {error}"));
        return;
    }
    let _mounted = Mounted(&disk);
    let rig = write_rig(&disk);
    let before = fs::read_to_string(&rig).expect("just written");
    let server = Server::start(&folder, &THREE);
    let log_folder_rig = rig.clone();
    let mut show = start(plain(&server), &log_folder_rig, &[]);
    server.keys(&["Prior"]);
    let journal = rig.with_extension("toml.nudges");
    poll("the nudge is journalled", || {
        fs::read_to_string(&journal).is_ok_and(|text| text.contains("40.5"))
    });
    // The rest of the disk, to the last byte.
    let _ = fs::write(disk.join("filler"), vec![1; 1 << 20]);
    server.keys(&["s"]);
    thread::sleep(Duration::from_secs(2));
    assert_eq!(fs::read_to_string(&rig).expect("whole"), before);
    assert!(fs::read_to_string(&journal).expect("kept").contains("40.5"));
    let left_over = fs::read_dir(&disk).expect("there").flatten();
    let names: Vec<_> = left_over.map(|entry| entry.file_name()).collect();
    assert!(
        !names
            .iter()
            .any(|name| name.to_string_lossy().contains(".part")),
        "{names:?}"
    );
    fs::remove_file(disk.join("filler")).expect("ours");
    server.keys(&["s"]);
    poll("the second try succeeds", || {
        fs::read_to_string(&rig).is_ok_and(|text| text.contains("angle_deg = 40.5 "))
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

struct Mounted<'a>(&'a Path);

impl Drop for Mounted<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0).status();
    }
}

#[test]
fn one_window_on_each_display_shows_the_same() {
    let _turn = turn();
    if !has_parts(&PARTS) || !has_parts(&["openbox"]) {
        return;
    }
    let folder = folder("each");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let _manager = server.start_manager("openbox", &[]);
    let arguments = ["--windows", "per-display", "--seconds", "60"];
    let mut show = start(plain(&server), &rig, &arguments);
    wait_for(&server, &wanted);
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
    let mut show = start(plain(&server), &rig, &["--seconds", "60"]);
    wait_for_panels(&server, &wanted, &[[0, 0, 1280, 720], [1320, 0, 1280, 720]]);
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

#[test]
fn an_idle_show_uses_no_processor() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("idle");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let mut show = start(plain(&server), &rig, &["--seconds", "60"]);
    wait_for(&server, &wanted);
    thread::sleep(Duration::from_secs(2));
    let before = processor_ms(show.process.inner_id());
    thread::sleep(Duration::from_secs(5));
    let used = processor_ms(show.process.inner_id()) - before;
    eprintln!("{used} ms of processor time in 5 s");
    assert!(used <= 100, "{used} ms of processor time in 5 s");
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// Processor time of a process so far; the kernel counts in hundredths.
fn processor_ms(id: u32) -> u64 {
    let stat = fs::read_to_string(format!("/proc/{id}/stat")).expect("it runs");
    // proc(5): the name in brackets may hold blanks; utime and stime are 14 and 15.
    let (_, rest) = stat.rsplit_once(')').expect("a name in brackets");
    let fields: Vec<&str> = rest.split_whitespace().collect();
    let ticks = |index: usize| fields[index - 3].parse::<u64>().expect("a number");
    (ticks(14) + ticks(15)) * 10
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
}
