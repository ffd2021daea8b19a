//! `seat` and `compare` as processes: files, figures, exit codes, messages.

mod commands;

use std::fs;
use std::path::Path;
use std::process::Output;

use commands::{folder, program};
use serde_json::Value;

fn run(folder: &Path, arguments: &[&str]) -> Output {
    program()
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn succeed(folder: &Path, arguments: &[&str]) -> Vec<u8> {
    let output = run(folder, arguments);
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {stderr}");
    output.stdout
}

fn json(folder: &Path, arguments: &[&str]) -> Value {
    serde_json::from_slice(&succeed(folder, arguments)).expect("stdout is JSON")
}

/// The whole of stderr of a call that ends with exit code 2.
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    assert!(output.stdout.is_empty());
    String::from_utf8(output.stderr).expect("stderr is UTF-8")
}

fn decoder(path: &Path) -> png::Reader<std::io::BufReader<fs::File>> {
    let file = std::io::BufReader::new(fs::File::open(path).expect("the file is there"));
    png::Decoder::new(file).read_info().expect("a PNG")
}

const SMALL: [&str; 4] = ["--size", "160x60", "--layers", "horizon,diagonals"];

#[test]
fn a_true_rig_reports_no_break() {
    let folder = folder("true-rig");
    let report = json(&folder, &["seat", "tram-cab", "--json"]);
    let breaks = report["breaks"].as_array().expect("a list");
    assert!(breaks.len() > 20);
    for key in ["seam", "line", "break_arcmin", "break_px", "kink_deg"] {
        assert!(!breaks[0][key].is_null(), "{key}");
    }
    assert!(report["worst_arcmin"].as_f64().expect("a number") < 0.02);
    assert!(report["cause"].is_null());
}

#[test]
fn a_wrong_rig_fails_its_limit_and_names_the_cause() {
    let folder = folder("wrong-rig");
    let wrong = ["seat", "tram-cab", "--set-built", "seam.1.rise_mm=-5"];
    let call = |more: &[&str]| run(&folder, &[&wrong[..], more].concat());
    assert_eq!(call(&["--max-break", "30"]).status.code(), Some(0));
    let output = call(&["--max-break", "20"]);
    assert_eq!(output.status.code(), Some(1));
    let words = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(
        words.contains(
            "seam 1 (left window | ahead): worst break 25.27' (18.0 px) down, in horizon"
        ),
        "{words}"
    );
    assert!(words.contains("seam 2 (ahead | right window): all 29 lines run straight across"));
    assert!(words.ends_with(
        "likeliest single cause: a rise at seam 1 5.0 mm smaller than the file says explains 100 % of it\n"
    ));
}

#[test]
fn two_wrong_values_are_no_single_cause() {
    let folder = folder("two-causes");
    let wrong = [
        "seat",
        "tram-cab",
        "--set-built",
        "seam.1.angle_deg=49.3",
        "--set-built",
        "panel.3.roll_deg=0.4",
    ];
    let report = json(&folder, &[&wrong[..], &["--json"]].concat());
    assert!(report["cause"].is_null());
    let causes = report["causes"].as_array().expect("a list");
    let of = |key: &str| causes.iter().map(|c| c[key].clone()).collect::<Vec<_>>();
    assert_eq!(of("path"), ["panel.3.roll_deg", "seam.1.angle_deg"]);
    let close = |value: &Value, expected: f64| {
        let value = value.as_f64().expect("a number");
        assert!((value - expected).abs() < 1e-3, "{value}");
    };
    close(&causes[0]["change"], 0.4);
    close(&causes[1]["change"], 2.0);
    close(&report["causes_share"], 1.0);
    let output = run(&folder, &[&wrong[..], &["--max-break", "1000"]].concat());
    let words = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(
        words.ends_with(
            "more than one value is wrong; the likeliest two: a roll of panel \"right window\" 0.40° \
             larger and an angle at seam 1 2.00° larger than the file says explain 100 % of it together\n"
        ),
        "{words}"
    );
}

#[test]
fn a_rig_file_as_built_is_the_same_as_its_settings() {
    let folder = folder("built");
    let demo = throughline::rig::demos()[1].text;
    fs::write(folder.join("rig.toml"), demo).expect("written");
    fs::write(folder.join("built.toml"), demo.replacen("47.3", "49.3", 2)).expect("written");
    let by_file = json(
        &folder,
        &["seat", "rig.toml", "--built", "built.toml", "--json"],
    );
    let by_setting = json(
        &folder,
        &[
            "seat",
            "rig.toml",
            "--json",
            "--set-built",
            "seam.1.angle_deg=49.3",
            "--set-built",
            "seam.2.angle_deg=47.3",
        ],
    );
    // The comment above the seams has the first "47.3".
    assert_eq!(by_file["breaks"], by_setting["breaks"]);
    assert!(by_file["worst_arcmin"].as_f64().expect("a number") > 0.1);
}

#[test]
fn a_view_carries_its_rigs_and_its_density() {
    let folder = folder("chunks");
    let call = [
        "seat",
        "tram-cab",
        "--set-built",
        "seam.1.gap_mm=4",
        "--out",
        "view.png",
    ];
    succeed(&folder, &[&call[..], &SMALL[..]].concat());
    let reader = decoder(&folder.join("view.png"));
    let info = reader.info();
    assert_eq!((info.width, info.height), (160, 60));
    assert!(
        info.pixel_dims
            .is_some_and(|d| d.xppu > 0 && d.unit == png::Unit::Meter)
    );
    let text = |keyword: &str| {
        let chunk = info.utf8_text.iter().find(|chunk| chunk.keyword == keyword);
        chunk.map(|chunk| chunk.get_text().expect("text"))
    };
    assert!(text("Rig file").is_some_and(|text| text.contains("gap_mm = 1.0")));
    assert!(text("Built rig file").is_some_and(|text| text.contains("gap_mm = 4.0")));
    assert!(text("Seat view").is_some_and(|text| text.contains("\"look_deg\"")));
}

#[test]
fn the_programs_own_screenshot_shows_as_the_pattern_does() {
    let folder = folder("picture");
    let layers = ["--layers", "horizon,diagonals"];
    succeed(
        &folder,
        &[
            &["screenshot", "tram-cab", "--out", "canvas.png"],
            &layers[..],
        ]
        .concat(),
    );
    let size = ["--size", "160x60"];
    succeed(
        &folder,
        &[
            &["seat", "tram-cab", "--out", "a.png"],
            &layers[..],
            &size[..],
        ]
        .concat(),
    );
    succeed(
        &folder,
        &[
            &[
                "seat",
                "tram-cab",
                "--picture",
                "canvas.png",
                "--out",
                "b.png",
            ],
            &size[..],
        ]
        .concat(),
    );
    let found = json(
        &folder,
        &["compare", "a.png", "b.png", "--out", "c.png", "--json"],
    );
    assert_eq!(found["changed_share"], 0.0);
    let message = refused(
        &folder,
        &["seat", "tram-cab", "--picture", "a.png", "--out", "x.png"],
    );
    assert_eq!(
        message,
        "throughline: a.png is 160 x 60 pixels, but the rig's canvas is 5760 x 1080: give a picture of the whole canvas\n"
    );
    assert!(!folder.join("x.png").exists());
}

#[test]
fn other_panels_than_the_rigs_are_refused() {
    let folder = folder("other-panels");
    assert_eq!(
        refused(
            &folder,
            &["seat", "tram-cab", "--built", "ferry-bridge", "--json"]
        ),
        "throughline: panel 1 has 1920 x 1080 pixels in the rig, but 1200 x 1920 in the one built: both must have the same panels\n"
    );
    assert_eq!(
        refused(
            &folder,
            &["seat", "tram-cab", "--built", "rally-loft", "--json"]
        ),
        "throughline: the rig has 3 panels, but the one built has 2: both must have the same panels\n"
    );
}

#[test]
fn views_that_cannot_be_shown_are_refused() {
    let folder = folder("impossible-views");
    let message = |more: &[&str]| {
        refused(
            &folder,
            &[&["seat", "tram-cab", "--out", "x.png"], more].concat(),
        )
    };
    assert_eq!(
        message(&["--fov-deg", "175", "--projection", "rectilinear"]),
        "throughline: the field of view is 175°, but a rectilinear view shows 0.01° to 170°: give another --fov-deg\n"
    );
    assert_eq!(
        message(&["--size", "20000x20000"]),
        "throughline: a view of 20000 x 20000 pixels can't be drawn, only 1 to 16384 a side and at most 100000000 in all: give another --size\n"
    );
    assert!(message(&["--look-deg", "0,91"]).contains("90° up or down"));
    assert!(message(&["--eye", "1,2"]).contains("expected 3 numbers with commas between"));
    assert!(!folder.join("x.png").exists());
}

#[test]
fn comparing_a_picture_with_itself_finds_nothing() {
    let folder = folder("equal");
    succeed(
        &folder,
        &[&["seat", "tram-cab", "--out", "a.png"], &SMALL[..]].concat(),
    );
    let found = json(
        &folder,
        &["compare", "a.png", "a.png", "--out", "c.png", "--json"],
    );
    assert_eq!(found["changed_share"], 0.0);
    assert_eq!(found["max_difference"], 0);
    assert_eq!(found["size_px"], serde_json::json!([160, 60]));
    assert_eq!(found["rig_changes"], serde_json::json!([]));
}

#[test]
fn comparing_names_what_changed_in_the_rig() {
    let folder = folder("changed");
    let shot = |out: &str, settings: &[&str]| {
        let call = [
            "screenshot",
            "tram-cab",
            "--layers",
            "horizon",
            "--out",
            out,
        ];
        succeed(&folder, &[&call[..], settings].concat());
    };
    shot("a.png", &[]);
    shot(
        "b.png",
        &[
            "--set",
            "seat.height_mm=50",
            "--set",
            "panel.ahead.tilt_deg=1",
        ],
    );
    let found = json(
        &folder,
        &["compare", "a.png", "b.png", "--out", "c.png", "--json"],
    );
    assert!(
        found["changed_share"]
            .as_f64()
            .is_some_and(|share| share > 0.0 && share < 0.1)
    );
    assert!(
        found["max_difference"]
            .as_u64()
            .is_some_and(|most| most > 200)
    );
    let changes = found["rig_changes"].as_array().expect("a list");
    let said: Vec<_> = changes
        .iter()
        .map(|c| {
            (
                c["path"].as_str(),
                c["before"].as_f64(),
                c["after"].as_f64(),
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            (Some("seat.height_mm"), Some(60.0), Some(50.0)),
            (Some("panel.2.tilt_deg"), Some(0.0), Some(1.0)),
        ]
    );
    let sheet = decoder(&folder.join("c.png"));
    assert!(sheet.info().width <= 2400);
}

#[test]
fn a_flip_shows_each_picture_for_at_least_a_second_and_a_half() {
    let folder = folder("flip");
    succeed(
        &folder,
        &[&["seat", "tram-cab", "--out", "a.png"], &SMALL[..]].concat(),
    );
    succeed(
        &folder,
        &["compare", "a.png", "a.png", "--out", "c.png", "--flip"],
    );
    let reader = decoder(&folder.join("c.png"));
    let info = reader.info();
    assert_eq!(info.animation_control.map(|a| a.num_frames), Some(2));
    let frame = info.frame_control.expect("the first frame's timing");
    assert!(f64::from(frame.delay_num) / f64::from(frame.delay_den) >= 1.5);
}

#[test]
fn pictures_that_cannot_be_compared_are_refused_in_one_sentence() {
    let folder = folder("not-comparable");
    succeed(
        &folder,
        &[&["seat", "tram-cab", "--out", "a.png"], &SMALL[..]].concat(),
    );
    succeed(
        &folder,
        &["seat", "tram-cab", "--out", "b.png", "--size", "100x60"],
    );
    fs::write(folder.join("text.png"), "no picture").expect("written");
    let whole = fs::read(folder.join("a.png")).expect("read");
    fs::write(folder.join("half.png"), &whole[..whole.len() / 2]).expect("written");
    let message =
        |one: &str, other: &str| refused(&folder, &["compare", one, other, "--out", "c.png"]);
    assert_eq!(
        message("a.png", "b.png"),
        "throughline: a.png is 160 x 60 pixels, but b.png is 100 x 60: compare pictures of one size\n"
    );
    assert_eq!(
        message("text.png", "a.png"),
        "throughline: text.png is not a PNG picture; save it as PNG first\n"
    );
    assert_eq!(
        message("a.png", "half.png"),
        "throughline: half.png is not a whole PNG picture: it ends too early; write it anew\n"
    );
    assert!(message("a.png", "none.png").starts_with("throughline: cannot read none.png: "));
    assert!(!folder.join("c.png").exists());
}

#[test]
fn flat_views_match_a_rig_that_is_made_like_them() {
    let folder = folder("flat-views");
    // Three equal panels square to the eye at its level, with no gap.
    let settings = [
        "--set",
        "seat.height_mm=0",
        "--set",
        "seam.1.gap_mm=0",
        "--set",
        "seam.2.gap_mm=0",
    ];
    let call = |more: &[&str]| {
        json(
            &folder,
            &[&["seat", "tram-cab", "--json"], &settings[..], more].concat(),
        )
    };
    let worst = |report: &Value| report["worst_arcmin"].as_f64().expect("a number");
    let numbers = ["--drawn-as", "flat-views:angle=47.3,distance=620"];
    let right = call(&numbers);
    assert!(worst(&right) < 0.02, "{}", worst(&right));
    assert!(
        right["breaks"]
            .as_array()
            .is_some_and(|breaks| breaks.len() > 20)
    );
    let wrong = call(&["--drawn-as", "flat-views:angle=45,distance=620"]);
    assert!(worst(&wrong) > 0.2, "{}", worst(&wrong));
    // The panels stand as the file says, so no value of the file is to blame.
    assert!(wrong["cause"].is_null());
    let both = call(&[&numbers[..], &["--set-built", "seam.1.rise_mm=4"]].concat());
    assert_eq!(both["cause"]["path"], "seam.1.rise_mm");

    let screenshot = ["screenshot", "tram-cab", "--layers", "horizon"];
    succeed(
        &folder,
        &[&screenshot[..], &settings[..], &["--out", "a.png"]].concat(),
    );
    succeed(
        &folder,
        &[
            &screenshot[..],
            &settings[..],
            &numbers[..],
            &["--out", "b.png"],
        ]
        .concat(),
    );
    let found = json(
        &folder,
        &["compare", "a.png", "b.png", "--out", "c.png", "--json"],
    );
    assert_eq!(found["changed_share"], 0.0);
    assert!(
        refused(
            &folder,
            &[
                "seat",
                "tram-cab",
                "--json",
                "--drawn-as",
                "flat-views:angel=4"
            ]
        )
        .contains("flat views have no number \"angel\"")
    );
}
