//! Files that commands write: whole or not at all, and none that is needed.

mod commands;

use std::fs;
use std::process::Command;

use commands::{PROGRAM, folder, program, run, stderr};

#[test]
fn what_a_command_reads_is_not_written_over() {
    let folder = folder("not_written_over");
    let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (rig, picture, other) = (place("rig.toml"), place("a.png"), place("./a.png"));
    let fresh = place("b.png");
    fs::copy("rigs/tram-cab.toml", &rig).expect("a rig file");
    let output = run(&["screenshot", &rig, "--out", &picture]);
    assert!(output.status.success(), "{}", stderr(&output));
    let before = [&rig, &picture].map(|path| fs::read(path).expect("readable"));
    for arguments in [
        vec!["screenshot", &rig, "--out", &rig],
        vec!["screenshot", &rig, "--out", &fresh, "--lines", &rig],
        vec!["screenshot", &rig, "--out", &fresh, "--lines", &fresh],
        vec!["compare", &picture, &picture, "--out", &other],
        vec!["seat", &rig, "--picture", &picture, "--out", &other],
        vec!["seat", "tram-cab", "--built", &rig, "--out", &rig],
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let text = stderr(&output);
        assert!(
            text.contains("would be written over"),
            "{arguments:?}: {text}"
        );
    }
    assert_eq!(
        before,
        [&rig, &picture].map(|path| fs::read(path).expect("readable"))
    );
    assert!(!folder.join("b.png").exists());
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_in_one_sentence() {
    let output = run(&["screenshot", "tram-cab", "--out", "/dev/full"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        stderr(&output),
        "throughline: cannot write /dev/full: No space left on device (os error 28)\n"
    );
}

#[test]
fn of_two_files_none_is_written_where_one_can_not_be() {
    let folder = folder("both_or_none");
    let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
    fs::write(place("p.png"), "before").expect("written");
    let lines = place("missing/lines.json");
    let output = run(&[
        "screenshot",
        "tram-cab",
        "--out",
        &place("p.png"),
        "--lines",
        &lines,
    ]);
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert!(
        stderr(&output).contains("lines.json"),
        "{}",
        stderr(&output)
    );
    assert_eq!(fs::read_to_string(place("p.png")).expect("there"), "before");
    assert_eq!(fs::read_dir(&folder).expect("readable").count(), 1);
}

#[cfg(unix)]
#[test]
fn a_link_stays_and_the_file_behind_it_is_written() {
    use std::os::unix::fs::symlink;

    let folder = folder("links");
    fs::create_dir(folder.join("kept")).expect("a folder");
    for (target, link) in [("kept/old.json", "old"), ("kept/new.json", "new")] {
        symlink(target, folder.join(link)).expect("a link");
    }
    fs::write(folder.join("kept/old.json"), "before").expect("written");
    for (link, target) in [("old", "kept/old.json"), ("new", "kept/new.json")] {
        let link = folder.join(link);
        let (out, lines) = (folder.join("p.png"), link.to_string_lossy());
        let output = run(&[
            "screenshot",
            "tram-cab",
            "--out",
            &out.to_string_lossy(),
            "--lines",
            &lines,
        ]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        assert!(link.is_symlink(), "{target}");
        let text = fs::read_to_string(folder.join(target)).expect("written");
        assert!(text.contains("canvas_px"), "{target}");
    }
    symlink("b", folder.join("a")).expect("a link");
    symlink("a", folder.join("b")).expect("a link");
    let circle = folder.join("a");
    let output = run(&["screenshot", "tram-cab", "--out", &circle.to_string_lossy()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("links lead in a circle"),
        "{}",
        stderr(&output)
    );
    assert!(circle.is_symlink());
}

/// A file may grow no further, as on a full disk.
#[cfg(target_os = "linux")]
#[test]
fn a_picture_that_finds_no_room_leaves_the_old_one() {
    let folder = folder("no_room");
    let out = folder.join("p.png");
    fs::write(&out, "before").expect("written");
    // The system ends a program at its limit that doesn't ask for an error.
    let output = Command::new("env")
        .args(["--ignore-signal=XFSZ", "prlimit"])
        .args(["--fsize=20000", PROGRAM, "screenshot", "tram-cab", "--out"])
        .arg(&out)
        .output()
        .expect("prlimit is part of the system");
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert_eq!(
        stderr(&output),
        format!(
            "throughline: cannot write {}: File too large (os error 27)\n",
            out.display()
        )
    );
    assert_eq!(fs::read_to_string(&out).expect("there"), "before");
    assert_eq!(fs::read_dir(&folder).expect("readable").count(), 1);
}

/// What a command says on stdout comes before its file gets its name.
#[cfg(target_os = "linux")]
#[test]
fn a_full_stdout_leaves_the_old_file() {
    let folder = folder("full_stdout");
    let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let picture = place("picture.png");
    let output = run(&["screenshot", "tram-cab", "--out", &picture]);
    assert!(output.status.success(), "{}", stderr(&output));
    let (png, svg) = (place("old.png"), place("old.svg"));
    for (arguments, old) in [
        (
            vec!["seat", "tram-cab", "--size", "160x60", "--out", &png],
            &png,
        ),
        (vec!["sheet", "tram-cab", "--plan", &svg], &svg),
        (vec!["sheet", "tram-cab", "--plan", &png], &png),
        (
            vec!["compare", &picture, &picture, "--out", &png, "--json"],
            &png,
        ),
    ] {
        fs::write(old, "before").expect("written");
        let output = program()
            .args(&arguments)
            .stdout(
                fs::File::options()
                    .write(true)
                    .open("/dev/full")
                    .expect("a device"),
            )
            .output()
            .expect("the program starts");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert_eq!(
            stderr(&output),
            "throughline: cannot write to stdout: No space left on device (os error 28)\n",
            "{arguments:?}"
        );
        assert_eq!(
            fs::read_to_string(old).expect("there"),
            "before",
            "{arguments:?}"
        );
        fs::remove_file(old).expect("removed");
        assert_eq!(
            fs::read_dir(&folder).expect("readable").count(),
            1,
            "{arguments:?}"
        );
    }
}

#[cfg(unix)]
#[test]
fn a_link_to_nothing_yet_leads_to_no_second_output() {
    let folder = folder("link_to_other");
    std::os::unix::fs::symlink("p.png", folder.join("lines.json")).expect("a link");
    let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (out, lines) = (place("p.png"), place("lines.json"));
    let output = run(&["screenshot", "tram-cab", "--out", &out, "--lines", &lines]);
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    let text = stderr(&output);
    assert!(text.contains("would be written over"), "{text}");
    assert!(!folder.join("p.png").exists());
}
