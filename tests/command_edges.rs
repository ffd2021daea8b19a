//! Commands at the edges of what a system gives: names, links, limits, interrupts.

#![cfg(unix)]

mod commands;

use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use commands::{PROGRAM, folder, program, run, stderr};

/// The names in a folder.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = entries
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn a_hard_link_to_what_is_needed_is_not_written_over() {
    let folder = folder("hard_link");
    let (rig, link) = (folder.join("rig.toml"), folder.join("link.png"));
    fs::copy("rigs/tram-cab.toml", &rig).expect("a rig file");
    fs::hard_link(&rig, &link).expect("a link");
    let [rig_name, link_name] = [&rig, &link].map(|path| path.to_str().expect("plain"));
    for arguments in [
        ["screenshot", rig_name, "--out", link_name],
        ["seat", rig_name, "--out", link_name],
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains("would be written over"));
    }
    let text = fs::read_to_string("rigs/tram-cab.toml").expect("readable");
    assert_eq!(fs::read_to_string(link).expect("readable"), text);
}

#[cfg(feature = "desktop")]
#[test]
fn show_captures_into_none_of_its_own_files() {
    let folder = folder("captures_into_none");
    let rig = folder.join("v.toml");
    fs::copy("rigs/tram-cab.toml", &rig).expect("a rig file");
    fs::hard_link(&rig, folder.join("hard.png")).expect("a link");
    std::os::unix::fs::symlink("v.toml", folder.join("soft.png")).expect("a link");
    fs::write(folder.join("v.toml.nudges"), "").expect("written");
    for name in [
        "v.toml",
        "hard.png",
        "soft.png",
        "v.toml.nudges",
        "v.toml.previous",
    ] {
        let mut show = program();
        show.arg("show")
            .arg(&rig)
            .args(["--seconds", "1", "--capture"]);
        // Refused before any display is asked for.
        show.arg(folder.join(name))
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY");
        let output = show.output().expect("the program starts");
        assert_eq!(output.status.code(), Some(2), "{name}");
        let words = stderr(&output);
        assert!(words.contains("would be written over"), "{name}: {words}");
    }
    let text = fs::read("rigs/tram-cab.toml").expect("readable");
    assert_eq!(fs::read(rig).expect("readable"), text);
}

#[test]
fn names_may_be_as_long_as_the_system_has_them() {
    let folder = folder("long_names");
    let name = format!("{}.png", "n".repeat(251));
    assert_eq!(name.len(), 255);
    let out = folder.join(&name);
    let output = run(&[
        "screenshot",
        "tram-cab",
        "--out",
        out.to_str().expect("plain"),
    ]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(names(&folder), [name]);
}

#[test]
fn names_need_not_be_unicode() {
    let folder = folder("any_bytes");
    let rig = folder.join(OsStr::from_bytes(b"f\xe4hre.toml"));
    fs::copy("rigs/tram-cab.toml", &rig).expect("a rig file");
    let sheet = program().arg("sheet").arg(&rig).output().expect("starts");
    assert!(sheet.status.success(), "{}", stderr(&sheet));
    let seat = program()
        .args(["seat", "tram-cab", "--json", "--built"])
        .arg(&rig)
        .output()
        .expect("starts");
    assert!(seat.status.success(), "{}", stderr(&seat));
    let mut missing = program();
    let missing = missing.arg("sheet").arg(OsStr::from_bytes(b"\xff.toml"));
    let output = missing.output().expect("starts");
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("there is no rig file"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn names_reach_the_terminal_spelt_out() {
    let folder = folder("spelt_out");
    let rig = folder.join("\u{202e}rig\u{1b}[2J.toml");
    let text = fs::read_to_string("rigs/tram-cab.toml").expect("readable");
    let text = text.replace("left window", "left\u{202e}window");
    fs::write(&rig, &text).expect("written");
    let raw = |text: &[u8]| {
        String::from_utf8_lossy(text)
            .chars()
            .any(|c| matches!(c, '\u{202e}' | '\u{1b}'))
    };
    for arguments in [&["sheet"][..], &["check"], &["seat", "--max-break", "1"]] {
        let output = program()
            .args(arguments)
            .arg(&rig)
            .output()
            .expect("starts");
        assert!(
            !raw(&output.stdout) && !raw(&output.stderr),
            "{arguments:?}"
        );
    }
    let sheet = program().arg("sheet").arg(&rig).output().expect("starts");
    let page = String::from_utf8_lossy(&sheet.stdout).into_owned();
    assert!(page.contains(r"left\u{202e}window"), "{page}");
    // A program reads the name as it is.
    let sheet = program()
        .args(["sheet", "--json"])
        .arg(&rig)
        .output()
        .expect("starts");
    let sheet: serde_json::Value = serde_json::from_slice(&sheet.stdout).expect("JSON");
    assert_eq!(sheet["views"][0]["panel"], "left\u{202e}window");
    fs::write(&rig, "format = 2").expect("written");
    let broken = program().arg("sheet").arg(&rig).output().expect("starts");
    assert!(!raw(&broken.stderr), "{}", stderr(&broken));
}

#[test]
fn what_is_replaced_keeps_its_permissions() {
    let folder = folder("permissions");
    let out = folder.join("p.png");
    let name = out.to_str().expect("plain");
    let mode = || fs::metadata(&out).expect("there").permissions().mode() & 0o777;
    assert!(
        run(&["screenshot", "tram-cab", "--out", name])
            .status
            .success()
    );
    let fresh = folder.join("fresh");
    fs::write(&fresh, "").expect("written");
    let usual = fs::metadata(fresh).expect("there").permissions().mode() & 0o777;
    assert_eq!(mode(), usual);
    fs::set_permissions(&out, fs::Permissions::from_mode(0o600)).expect("set");
    assert!(
        run(&["screenshot", "tram-cab", "--out", name])
            .status
            .success()
    );
    assert_eq!(mode(), 0o600);
}

#[cfg(target_os = "linux")]
#[test]
fn help_that_does_not_get_through_is_a_failure() {
    for arguments in [["--help"], ["--version"]] {
        let full = fs::File::options()
            .write(true)
            .open("/dev/full")
            .expect("a device");
        let output = program()
            .args(arguments)
            .stdout(full)
            .output()
            .expect("starts");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains("cannot write to stdout"));
    }
    let output = run(&["sheet", "--help"]);
    assert!(output.status.success() && !output.stdout.is_empty());
}

/// Runs the program as a user who may have no further process or thread.
#[cfg(target_os = "linux")]
#[test]
fn without_further_threads_the_first_does_all_the_work() {
    let folder = PathBuf::from("/tmp").join(format!("throughline-threads-{}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o777)).expect("set");
    let copy = folder.join("program");
    fs::copy(PROGRAM, &copy).expect("a copy");
    let alone = |arguments: &[&str]| {
        let mut setpriv = Command::new("setpriv");
        let nobody = ["--reuid=65534", "--regid=65534", "--clear-groups"];
        setpriv.args(nobody).args(["prlimit", "--nproc=1:1"]);
        let output = setpriv
            .arg(&copy)
            .args(arguments)
            .current_dir(&folder)
            .output();
        output.expect("setpriv and prlimit are there")
    };
    let alone_ready = alone(&["--version"]);
    if !alone_ready.status.success() {
        // Only root may become somebody else.
        assert!(std::env::var_os("CI").is_none(), "{}", stderr(&alone_ready));
        eprintln!("SKIPPED: no other user can be had here");
        return;
    }
    for arguments in [
        &["screenshot", "tram-cab", "--out", "p.png"][..],
        &["seat", "tram-cab", "--json"],
        &["sheet", "tram-cab"],
        &["check", "tram-cab"],
    ] {
        let output = alone(arguments);
        assert!(
            output.status.success(),
            "{arguments:?}: {}",
            stderr(&output)
        );
    }
    let usual = folder.join("usual.png");
    assert!(
        run(&[
            "screenshot",
            "tram-cab",
            "--out",
            usual.to_str().expect("plain")
        ])
        .status
        .success()
    );
    let read = |path: PathBuf| fs::read(path).expect("written");
    assert!(read(folder.join("p.png")) == read(usual));
    let _ = fs::remove_dir_all(folder);
}

/// Moments from 0 to `most`, the same on every run.
fn moments(count: u32, most: Duration) -> impl Iterator<Item = Duration> {
    (0..count).map(move |number| {
        let share = number.wrapping_mul(2_654_435_761) >> 12;
        most * (share % 1000) / 1000
    })
}

/// Starts writing a picture.
fn writing(out: &Path) -> std::process::Child {
    let mut child = program();
    child
        .args(["screenshot", "tram-cab", "--layers", "horizon", "--out"])
        .arg(out);
    child
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts")
}

/// The shortest of a few, since other work may hold one up.
fn length_of_a_run(out: &Path) -> Duration {
    let length = |_| {
        let start = Instant::now();
        assert!(writing(out).wait().expect("it ends").success());
        start.elapsed()
    };
    (0..4).map(length).min().unwrap_or_default()
}

#[test]
fn an_interrupted_run_leaves_nothing_behind() {
    let folder = folder("interrupted");
    let out = folder.join("p.png");
    let length = length_of_a_run(&out);
    let whole = fs::read(&out).expect("written");
    let mut were_ended = 0;
    for (number, moment) in moments(60, length).enumerate() {
        let (signal, name) = [(2, "INT"), (15, "TERM"), (1, "HUP")][number % 3];
        let mut child = writing(&out);
        thread::sleep(moment);
        let sent = Command::new("kill")
            .args(["-s", name, &child.id().to_string()])
            .status();
        assert!(sent.expect("kill is there").success());
        let status = child.wait().expect("it ends");
        assert!(
            status.success() || status.signal() == Some(signal),
            "{status}"
        );
        were_ended += usize::from(!status.success());
        assert!(fs::read(&out).expect("there") == whole);
        assert_eq!(names(&folder), ["p.png"], "after {name} at {moment:?}");
    }
    assert!(were_ended > 20, "only {were_ended} runs were interrupted");
}

#[test]
fn a_killed_run_leaves_nothing_that_the_next_does_not_remove() {
    let folder = folder("killed");
    let out = folder.join("p.png");
    let length = length_of_a_run(&out);
    let whole = fs::read(&out).expect("written");
    let mut had_parts = 0;
    for (number, moment) in moments(150, length).enumerate() {
        let mut child = writing(&out);
        thread::sleep(moment);
        child.kill().expect("it can be");
        let _ = child.wait();
        assert!(fs::read(&out).expect("there") == whole, "at {moment:?}");
        had_parts += usize::from(names(&folder).len() > 1);
        if number % 5 == 0 {
            assert!(writing(&out).wait().expect("it ends").success());
            assert_eq!(names(&folder), ["p.png"], "at {moment:?}");
        }
    }
    assert!(had_parts > 5, "only {had_parts} kills left anything");
}

#[test]
fn what_another_run_is_writing_is_left_alone() {
    let folder = folder("two_writers");
    let outs = [folder.join("a.png"), folder.join("b.png")];
    for _ in 0..6 {
        let mut children: Vec<_> = (0..4).map(|n| writing(&outs[n % 2])).collect();
        for child in &mut children {
            assert!(child.wait().expect("it ends").success());
        }
        assert_eq!(names(&folder), ["a.png", "b.png"]);
    }
}
