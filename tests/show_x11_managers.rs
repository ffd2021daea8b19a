//! `show` under window managers, and without one: the window covers the
//! desktop, whatever stands in its way.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::path::Path;
use std::thread;
use std::time::Duration;

use lab::picture::expected;
use lab::show::{PANELS, Show, launch, start, write_rig};
use lab::x11::{PARTS, Server, THREE};
use lab::{PROGRAM, Process, folder, has_parts, poll, turn};

/// A window manager: how it is started, and how long it takes until it lays the
/// displays out no more.
type Manager = (&'static str, &'static [&'static str], Duration);

const OPENBOX: Manager = ("openbox", &[], Duration::ZERO);
const XFWM4: Manager = (
    "dbus-run-session",
    &["--", "xfwm4", "--compositor=off"],
    Duration::from_secs(1),
);
const MUTTER: Manager = (
    "dbus-run-session",
    &["--", "mutter", "--x11", "--sm-disable"],
    Duration::from_secs(7),
);

fn manage(server: &Server, (program, arguments, settle): Manager) -> Process {
    let manager = server.start_manager(program, arguments);
    // Some lay the displays out anew a while after they announced themselves.
    thread::sleep(settle);
    server.set_outputs(&THREE);
    manager
}

fn has_parts_for(manager: Option<Manager>) -> bool {
    let mut parts = PARTS.to_vec();
    if let Some((program, arguments, _)) = manager {
        parts.push(program);
        parts.extend(arguments.get(1));
    }
    has_parts(&parts)
}

/// A nudge changes the picture, so keys reach the window; then it quits, and
/// has said nothing but figures.
fn obeys(server: &Server, mut show: Show) {
    let wanted = expected(&show.rig, &[]);
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

/// The pattern covers three displays, and keys reach it.
fn covers(name: &str, manager: Option<Manager>) {
    let _turn = turn();
    if !has_parts_for(manager) {
        return;
    }
    let folder = folder(name);
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    assert!(wanted.lit(PANELS[1]) > 10_000, "the pattern is no black");
    let server = Server::start(&folder, &THREE);
    let _manager = manager.map(|manager| manage(&server, manager));
    let show = start(server.command(PROGRAM), &rig, &["--seconds", "100"]);
    server.wait_for(&wanted);
    obeys(&server, show);
}

/// When a window manager is busy with something else, for three seconds.
#[derive(Clone, Copy, PartialEq)]
enum Busy {
    /// While the window is opened.
    Before,
    /// From when the window is there on, and it is asked for more.
    After,
}

/// The same under a manager that is busy, with a bar that only full screen
/// covers.
fn covers_late(name: &str, manager: Manager, windows: &str, busy: Busy) {
    let _turn = turn();
    if !has_parts_for(Some(manager)) || !has_parts(&["xlogo"]) {
        return;
    }
    let folder = folder(name);
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let process = manage(&server, manager);
    let has_bar = manager != OPENBOX;
    let _bar = has_bar.then(|| server.start_bar(THREE[0]));
    if busy == Busy::Before {
        process.hold();
    }
    let show = thread::scope(|scope| {
        scope.spawn(|| {
            if busy == Busy::After {
                let visible = ["search", "--onlyvisible", "--name", "^Throughline$"];
                poll("the window is there", || server.xdotool(&visible).is_ok());
                process.hold();
            }
            thread::sleep(Duration::from_secs(3));
            process.release();
        });
        let arguments = ["--windows", windows, "--seconds", "100"];
        start(server.command(PROGRAM), &rig, &arguments)
    });
    server.wait_for(&wanted);
    obeys(&server, show);
}

#[test]
fn under_openbox_busy_before() {
    covers_late("busy-openbox", OPENBOX, "auto", Busy::Before);
}

#[test]
fn under_openbox_busy_after() {
    covers_late("busy-openbox", OPENBOX, "auto", Busy::After);
}

#[test]
fn under_xfwm4_busy_before() {
    covers_late("busy-xfwm4", XFWM4, "auto", Busy::Before);
}

#[test]
fn under_xfwm4_busy_after() {
    covers_late("busy-xfwm4", XFWM4, "auto", Busy::After);
}

#[test]
fn under_mutter_busy_after() {
    covers_late("busy-mutter", MUTTER, "auto", Busy::After);
}

#[test]
fn one_window_on_each_display_under_mutter_busy_before() {
    covers_late("busy-each", MUTTER, "per-display", Busy::Before);
}

#[test]
fn one_window_on_each_display_under_mutter_busy_after() {
    covers_late("busy-each", MUTTER, "per-display", Busy::After);
}

#[test]
fn without_a_window_manager() {
    covers("bare", None);
}

#[test]
fn under_openbox() {
    covers("openbox", Some(OPENBOX));
}

#[test]
fn under_xfwm4() {
    covers("xfwm4", Some(XFWM4));
}

#[test]
fn under_mutter() {
    covers("mutter", Some(MUTTER));
}

/// A bar of the desktop keeps room for itself on one display. xfwm4 then moves
/// no plain window over all of them, and mutter leaves the bar on top of it:
/// only full screen over several displays covers them.
fn covers_a_bar(name: &str, manager: Manager) {
    let _turn = turn();
    if !has_parts_for(Some(manager)) || !has_parts(&["xlogo"]) {
        return;
    }
    let folder = folder(name);
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let _manager = manage(&server, manager);
    let mut bar = server.start_bar(THREE[0]);
    let arguments = ["--windows", "span", "--seconds", "100"];
    let show = start(server.command(PROGRAM), &rig, &arguments);
    server.wait_for(&wanted);
    let properties = server.window_properties();
    assert!(
        properties.contains("_NET_WM_STATE_FULLSCREEN"),
        "{properties}"
    );
    // The server's list begins with the primary one, the middle one; those at
    // the top, at the bottom, on the left and on the right were asked for.
    assert!(
        properties.contains("_NET_WM_FULLSCREEN_MONITORS(CARDINAL) = 2, 2, 1, 2"),
        "{properties}"
    );
    assert!(bar.runs(), "the bar is still there");
    obeys(&server, show);
}

#[test]
fn a_bar_under_xfwm4() {
    covers_a_bar("bar-xfwm4", XFWM4);
}

#[test]
fn a_bar_under_mutter() {
    covers_a_bar("bar-mutter", MUTTER);
}

fn each_covers_a_bar(name: &str, manager: Manager) {
    let _turn = turn();
    if !has_parts_for(Some(manager)) || !has_parts(&["xlogo"]) {
        return;
    }
    let folder = folder(name);
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let _manager = manage(&server, manager);
    let _bar = server.start_bar(THREE[0]);
    let arguments = ["--windows", "per-display", "--seconds", "100"];
    let show = start(server.command(PROGRAM), &rig, &arguments);
    server.wait_for(&wanted);
    obeys(&server, show);
}

#[test]
fn one_window_on_each_display_covers_a_bar_under_xfwm4() {
    each_covers_a_bar("bar-each-xfwm4", XFWM4);
}

#[test]
fn one_window_on_each_display_covers_a_bar_under_mutter() {
    each_covers_a_bar("bar-each-mutter", MUTTER);
}

/// Openbox, told to make the pattern's windows full screen, holds each of them
/// on one display.
fn clamping_openbox(folder: &Path, server: &Server) -> Process {
    let settings = folder.join("config/openbox");
    fs::create_dir_all(&settings).expect("the test's folder can be written");
    let text = "<openbox_config xmlns=\"http://openbox.org/3.4/rc\"><applications>\
                <application title=\"Throughline\"><fullscreen>yes</fullscreen></application>\
                </applications></openbox_config>";
    fs::write(settings.join("rc.xml"), text).expect("the test's folder can be written");
    manage(server, OPENBOX)
}

#[test]
fn where_one_window_is_clamped_each_display_gets_its_own() {
    let _turn = turn();
    if !has_parts_for(Some(OPENBOX)) {
        return;
    }
    let folder = folder("clamped");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let _manager = clamping_openbox(&folder, &server);
    let mut show = start(server.command(PROGRAM), &rig, &["--seconds", "100"]);
    poll("it is said", || show.said().contains("a window of its own"));
    let said = show.said();
    assert!(
        said.contains("one window should cover 3600 × 1280 px at 0, 0, but the window manager"),
        "{said}"
    );
    // On the glass, too, until words are switched off.
    let [x, y, ..] = PANELS[1];
    poll(
        "the sides are covered, and words stand in the middle",
        || {
            let shown = server.screenshot();
            let differing =
                PANELS.map(|panel| shown.differing(panel, &wanted, [panel[0], panel[1]]));
            differing[0] == 0 && differing[2] == 0 && (500..200_000).contains(&differing[1])
        },
    );
    assert!(server.screenshot().lit([x, y, 1600, 450]) > 1000);
    poll("words can be switched off", || {
        server.keys(&["o"]);
        thread::sleep(Duration::from_millis(400));
        server.screenshot().differing(PANELS[1], &wanted, [x, y]) == 0
    });
    server.wait_for(&wanted);
    let each = server.xdotool(&["search", "--name", "^Throughline$"]);
    assert_eq!(each.expect("there are windows").lines().count(), 3);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn a_clamped_window_that_was_asked_for_stays_one_and_is_told() {
    let _turn = turn();
    if !has_parts_for(Some(OPENBOX)) {
        return;
    }
    let folder = folder("told");
    let rig = write_rig(&folder);
    let server = Server::start(&folder, &THREE);
    let _manager = clamping_openbox(&folder, &server);
    let arguments = ["--windows", "span", "--seconds", "12"];
    let mut show = start(server.command(PROGRAM), &rig, &arguments);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    let said = show.said();
    let told: Vec<&str> = said
        .lines()
        .filter(|line| line.contains("throughline:"))
        .collect();
    assert_eq!(told.len(), 1, "{said}");
    assert!(told[0].contains("3600 × 1280 px at 0, 0"), "{said}");
    assert!(told[0].ends_with("; try --windows per-display"), "{said}");
}

#[test]
fn a_window_that_is_moved_is_put_back() {
    let _turn = turn();
    if !has_parts_for(Some(OPENBOX)) {
        return;
    }
    let folder = folder("moved");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let _manager = manage(&server, OPENBOX);
    let mut show = start(server.command(PROGRAM), &rig, &["--seconds", "100"]);
    server.wait_for(&wanted);
    let window = server.xdotool(&["search", "--name", "^Throughline$"]);
    let window = window.expect("it is there").trim().to_owned();
    // More than once: what was corrected before is corrected again.
    for to in ["300", "500"] {
        let moved = ["windowmove", "--sync", &window, to, "200"];
        server.xdotool(&moved).expect("it can be moved");
        poll("it is put back", || {
            let place = server.xdotool(&["getwindowgeometry", &window]);
            place.is_ok_and(|place| place.contains("Position: 0,0"))
        });
        server.wait_for(&wanted);
    }
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// The windows are made smaller after they were opened and before anything was
/// drawn into them: the program is held for as long as that takes.
fn made_smaller_before_the_first_frame(name: &str, manager: Option<Manager>, windows: &str) {
    let _turn = turn();
    if !has_parts_for(manager) {
        return;
    }
    let folder = folder(name);
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let _manager = manager.map(|manager| manage(&server, manager));
    let arguments = ["--windows", windows, "--seconds", "100"];
    let named = rig.to_string_lossy();
    let all = ["search", "--name", "^Throughline$"];
    // Where it was faster than the look for its window, it is tried again.
    let mut show = (0..8)
        .find_map(|_| {
            let mut show = launch(server.command(PROGRAM), &rig, &named, &arguments);
            let mut found = String::new();
            while found.trim().is_empty() && show.process.runs() && !show.has_shown() {
                found = server.xdotool(&all).unwrap_or_default();
            }
            show.process.hold();
            (!found.trim().is_empty() && !show.has_shown()).then_some(show)
        })
        .expect("the window is found before the first frame");
    for window in server.xdotool(&all).expect("found").lines() {
        let size = || server.xdotool(&["getwindowgeometry", window]);
        let before = size().expect("it is there");
        let resize = ["windowsize", window, "500", "400"];
        server.xdotool(&resize).expect("it can be asked for");
        poll("it is made smaller", || {
            size().is_ok_and(|now| now != before && now.contains("Geometry: 500x400"))
        });
    }
    assert!(!show.has_shown(), "{}", show.said());
    show.process.release();
    show.wait_for_first_frame();
    server.wait_for(&wanted);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn a_window_made_smaller_before_the_first_frame_is_put_right() {
    made_smaller_before_the_first_frame("smaller", None, "span");
}

#[test]
fn windows_made_smaller_by_openbox_before_the_first_frame_are_put_right() {
    made_smaller_before_the_first_frame("smaller-openbox", Some(OPENBOX), "per-display");
}
