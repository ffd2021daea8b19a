//! The program as its user meets it: exit codes, messages, files.

mod commands;

use std::fs;
use std::path::PathBuf;

use commands::{folder, program, run, stderr};

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
    let half = latin1.with_extension("").to_string_lossy().into_owned();
    for (arguments, expected) in [
        (
            vec!["screenshot", "no-such", "--out", &out],
            "throughline: there is no rig file no-such and no demo of that name; \
             the demos are rally-loft, tram-cab, ferry-bridge, night-train\n"
                .to_owned(),
        ),
        (
            vec!["screenshot", &half, "--out", &out],
            format!(
                "throughline: there is no rig file {half} and no demo of that name \
                 (do you mean {half}.toml?); \
                 the demos are rally-loft, tram-cab, ferry-bridge, night-train\n"
            ),
        ),
        (
            vec!["screenshot", "tram-cap", "--out", &out],
            "throughline: there is no rig file tram-cap and no demo of that name \
             (do you mean tram-cab?); \
             the demos are rally-loft, tram-cab, ferry-bridge, night-train\n"
                .to_owned(),
        ),
        (
            vec!["screenshot", "tram-cab", "--out", "pattern.JPG"],
            "throughline: this writes a PNG picture, and pattern.JPG says that it is another kind: \
             end it in .png\n"
                .to_owned(),
        ),
        (
            vec!["seat", "tram-cab", "--out", "seat.webp"],
            "throughline: this writes a PNG picture, and seat.webp says that it is another kind: \
             end it in .png\n"
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
        let status = program()
            .args(arguments)
            .stderr(full.expect("part of the system"))
            .status()
            .expect("the program starts");
        assert_eq!(status.code(), Some(2), "{arguments:?}");
    }
}
