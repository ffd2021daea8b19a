//! The program as its user meets it: exit codes, messages, files.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_throughline"))
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder for the test");
    folder
}

fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn the_default_is_the_built_in_demo_and_says_so() {
    let folder = folder("default");
    let out = folder.join("pattern.png");
    let output = run(&["screenshot", "--out", &out.to_string_lossy()]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(output.stdout.is_empty());
    assert_eq!(
        stderr(&output),
        "throughline: no rig named, so this is the built-in demo \"rally-loft\": \
         a wide curved panel with two views and a flat one of another pitch on the left\n"
    );
    // Written aside and renamed: nothing else is left in the folder.
    assert_eq!(fs::read_dir(&folder).expect("readable").count(), 1);

    let decoder = png::Decoder::new(std::io::BufReader::new(
        fs::File::open(&out).expect("written"),
    ));
    let reader = decoder.read_info().expect("a PNG");
    let info = reader.info();
    assert_eq!((info.width, info.height), (7680, 1440));
    // 49 inches over 5120 × 1440: 0.234 mm a pixel.
    let density = info.pixel_dims.expect("a physical pixel density");
    assert_eq!(density.unit, png::Unit::Meter);
    assert!(
        (f64::from(density.xppu) - 1000.0 / 0.234_007).abs() < 1.0,
        "{}",
        density.xppu
    );
    let text = &info.utf8_text[0];
    let rig = throughline::rig::read(&text.get_text().expect("text"), "chunk", &[]);
    assert_eq!(
        rig.expect("the chunk holds a rig file").name(),
        "Rally loft"
    );
}

#[test]
fn one_panel_is_that_part_of_the_canvas() {
    let folder = folder("panel");
    let [whole, part] = ["whole.png", "part.png"].map(|name| folder.join(name));
    run(&[
        "screenshot",
        "ferry-bridge",
        "--out",
        &whole.to_string_lossy(),
    ]);
    let output = run(&[
        "screenshot",
        "ferry-bridge",
        "--panel",
        "bow",
        "--out",
        &part.to_string_lossy(),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let load = |path: &PathBuf| {
        let file = std::io::BufReader::new(fs::File::open(path).expect("written"));
        let mut reader = png::Decoder::new(file).read_info().expect("a PNG");
        let mut bytes = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut bytes).expect("rows");
        (info.width as usize, info.height as usize, bytes)
    };
    let ((w, _, all), (pw, ph, one)) = (load(&whole), load(&part));
    assert_eq!((pw, ph), (3440, 1440));
    for row in 0..ph {
        let from = ((row + 240) * w + 1200) * 3;
        assert!(
            all[from..from + pw * 3] == one[row * pw * 3..(row + 1) * pw * 3],
            "row {row} differs"
        );
    }
}

#[test]
fn lines_are_written_as_json() {
    let folder = folder("lines");
    let [png, json] = ["p.png", "lines.json"].map(|name| folder.join(name));
    let output = run(&[
        "screenshot",
        "night-train",
        "--layers",
        "horizon,diagonals",
        "--out",
        &png.to_string_lossy(),
        "--lines",
        &json.to_string_lossy(),
    ]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let text = fs::read_to_string(&json).expect("written");
    let document: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    // Two seams with 80 hidden columns each.
    assert_eq!(document["canvas_px"], serde_json::json!([5920, 1080]));
    assert_eq!(
        document["panels"][2]["canvas_px"],
        serde_json::json!([4000, 0, 1920, 1080])
    );
    let lines = document["lines"].as_array().expect("a list");
    let horizon: Vec<_> = lines
        .iter()
        .filter(|line| line["layer"] == "horizon")
        .collect();
    assert_eq!(horizon.len(), 1);
    assert_eq!(horizon[0]["normal"], serde_json::json!([0.0, 1.0, 0.0]));
    assert_eq!(horizon[0]["colour"], "#ffffff");
    assert!(
        lines
            .iter()
            .all(|line| line["layer"] == "horizon" || line["layer"] == "diagonals")
    );
}

#[test]
fn mistakes_end_with_code_2_and_leave_nothing() {
    let folder = folder("mistakes");
    let out = folder.join("p.png");
    let out = out.to_string_lossy();
    let nowhere = folder.join("missing/p.png");
    let latin1 = folder.join("latin1.toml");
    fs::write(&latin1, b"format = 1\nname = \"caf\xe9\"\n").expect("written");
    for (arguments, expected) in [
        (
            vec!["screenshot", "no-such", "--out", &out],
            "throughline: there is no rig file no-such and no demo of that name; \
             the demos are rally-loft, tram-cab, ferry-bridge, night-train\n"
                .to_owned(),
        ),
        (
            vec!["screenshot", "tram-cab", "--panel", "roof", "--out", &out],
            "throughline: this rig has no panel \"roof\"; its panels are left window, ahead, right window\n"
                .to_owned(),
        ),
        (
            vec!["screenshot", "tram-cab", "--set", "seat.distance_mm=-4", "--out", &out],
            "throughline: --set seat.distance_mm=-4: `distance_mm` is -4, but must lie between 1 and 100000 \
             millimetres: measure from the eye to the middle of the facing view\n"
                .to_owned(),
        ),
        (
            vec!["screenshot", "tram-cab", "--set", "seam.1.angle_deg=170", "--out", &out],
            String::new(),
        ),
        (
            vec!["screenshot", &latin1.to_string_lossy(), "--out", &out],
            format!(
                "throughline: {}:2:12: this is not UTF-8 text; save the rig file as UTF-8\n",
                latin1.display()
            ),
        ),
        (
            vec!["screenshot", "tram-cab", "--out", &nowhere.to_string_lossy()],
            format!("throughline: cannot write {}: No such file or directory (os error 2)\n", nowhere.display()),
        ),
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", stderr(&output));
        let text = stderr(&output);
        if expected.is_empty() {
            assert!(text.contains("the eye"), "{text}");
        } else {
            assert_eq!(text, expected, "{arguments:?}");
        }
        assert_eq!(fs::read_dir(&folder).expect("readable").count(), 1, "{arguments:?} left something");
    }
    let output = run(&["screenshot", "--layers", "horizn", "--out", &out]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("did you mean \"horizon\"?"),
        "{}",
        stderr(&output)
    );
}

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
fn usage_errors_are_one_sentence_that_says_where_to_read_on() {
    for (arguments, expected) in [
        (
            vec!["screenshot", "--lyers", "grid"],
            "unexpected argument '--lyers' found; a similar argument exists: '--layers' \
             (see `throughline screenshot --help`)",
        ),
        (
            vec!["screenshot"],
            "the following required arguments were not provided: --out <PNG> \
             (see `throughline screenshot --help`)",
        ),
        (
            vec!["screenshot", "--out", "p.png", "--layers", "horizn"],
            "invalid value 'horizn' for '--layers <LIST>': unknown layer \"horizn\"; \
             did you mean \"horizon\"? (see `throughline screenshot --help`)",
        ),
        (
            vec!["seat", "--max-break", "-3"],
            "invalid value '-3' for '--max-break <ARCMIN>': expected a number of arc-minutes, \
             0 or more (see `throughline seat --help`)",
        ),
        (
            vec!["shw"],
            "unrecognized subcommand 'shw'; a similar subcommand exists: 'show' \
             (see `throughline --help`)",
        ),
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert_eq!(stderr(&output), format!("throughline: {expected}\n"));
        assert!(output.stdout.is_empty());
    }
    for help in [vec!["--help"], vec!["seat", "--help"], vec!["--version"]] {
        let output = run(&help);
        assert_eq!(output.status.code(), Some(0), "{help:?}");
        assert!(output.stderr.is_empty() && !output.stdout.is_empty());
    }
}

#[test]
fn faults_in_what_is_built_name_their_option() {
    let bad = ["--set-built", "seam.1.gap_mm=x"];
    let output = run(&[&["seat", "tram-cab", "--json"], &bad[..]].concat());
    assert_eq!(output.status.code(), Some(2));
    let by_demo = stderr(&output);
    assert!(
        by_demo.starts_with("throughline: --set-built seam.1.gap_mm=x: "),
        "{by_demo}"
    );
    let output = run(&[
        &["seat", "tram-cab", "--built", "tram-cab", "--json"],
        &bad[..],
    ]
    .concat());
    assert_eq!(stderr(&output), by_demo);
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
        .args([
            "--fsize=20000",
            env!("CARGO_BIN_EXE_throughline"),
            "screenshot",
            "tram-cab",
            "--out",
        ])
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
        let output = Command::new(env!("CARGO_BIN_EXE_throughline"))
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

/// The limit holds for the text after a byte-order mark, and whatever character
/// stands there.
#[test]
fn a_rig_file_over_the_limit_is_called_that() {
    let folder = folder("long");
    let path = folder.join("long.toml");
    let long = path.to_string_lossy();
    let limit = throughline::rig::MAX_TEXT_BYTES;
    let demo = "format = 1\nname = \"Fähre\"\nno-such = 1\n#";
    let read = |text: &str| {
        fs::write(&path, text).expect("written");
        let output = run(&["sheet", &long]);
        assert_eq!(output.status.code(), Some(2));
        stderr(&output)
    };
    let with_mark = |bytes: usize| format!("\u{feff}{demo}{}", "x".repeat(bytes - demo.len()));
    let whole = read(&with_mark(limit));
    assert!(whole.contains("no-such"), "{whole}");
    // Wherever the limit cuts a character of three bytes.
    let snow = |before: &str| format!("{demo}{before}{}", "☃".repeat(limit / 2));
    for text in [with_mark(limit + 1), snow(""), snow("x"), snow("xx")] {
        assert_eq!(
            read(&text),
            format!(
                "throughline: {long}: this is longer than 1024 KiB, the most a rig file has: \
                 is it the right file?\n"
            )
        );
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_stderr_changes_no_exit_code() {
    for arguments in [
        &["screenshot", "--bad"][..],
        &["screenshot", "no-such", "--out", "p.png"],
    ] {
        let full = fs::File::options().write(true).open("/dev/full");
        let status = Command::new(env!("CARGO_BIN_EXE_throughline"))
            .args(arguments)
            .stderr(full.expect("part of the system"))
            .status()
            .expect("the program starts");
        assert_eq!(status.code(), Some(2), "{arguments:?}");
    }
}
