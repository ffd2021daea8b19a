//! The commands that draw the moving layer and read its strips.

mod commands;

use std::path::{Path, PathBuf};

use commands::{folder, run, stderr};
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, GrayImage, ImageEncoder, imageops};
use serde_json::{Value, json};
use throughline::light::Tables;

/// A demo's moving layer as a frame of it is shown.
fn screenshot(rig: &str, frame: u32, folder: &Path) -> PathBuf {
    let out = folder.join(format!("{rig}-{frame}.png"));
    let path = out.to_str().expect("plain");
    let frame = frame.to_string();
    let arguments = [
        "screenshot",
        rig,
        "--layers",
        "motion",
        "--frame",
        &frame,
        "--out",
        path,
    ];
    let output = run(&arguments);
    assert!(output.status.success(), "{}", stderr(&output));
    out
}

fn grey(path: &Path) -> GrayImage {
    image::open(path).expect("was just written").into_luma8()
}

/// The first seam of `rally-loft`: its left panel shows a frame, its right one another.
fn two_frames(left: u32, right: u32, folder: &Path) -> GrayImage {
    let [left, mut right] =
        [left, right].map(|frame| grey(&screenshot("rally-loft", frame, folder)));
    // The left panel is 2560 columns wide.
    let part = imageops::crop_imm(&left, 0, 0, 2560, left.height()).to_image();
    imageops::replace(&mut right, &part, 0, 0);
    right
}

fn frames_json(path: &Path) -> Value {
    let output = run(&["frames", path.to_str().expect("plain"), "--json"]);
    assert!(output.status.success(), "{}", stderr(&output));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// What was said and the exit code, of a picture that nothing can be read from.
fn refusal(path: &Path) -> String {
    let output = run(&["frames", path.to_str().expect("plain")]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let text = stderr(&output);
    assert_eq!(text.trim_end().lines().count(), 1, "{text}");
    text
}

#[test]
fn the_strips_of_all_seams_are_read_from_a_screenshot() {
    let folder = folder("frames-all");
    let read = frames_json(&screenshot("tram-cab", 104_729, &folder));
    let strip = |seam: u32, side: &str| json!({"seam": seam, "side": side, "frame": 104_729});
    let same = |seam: u32| json!({"seam": seam, "difference_frames": 0, "difference_ms": 0.0});
    let expected = json!({
        "strips": [strip(1, "left"), strip(1, "right"), strip(2, "left"), strip(2, "right")],
        "difference_frames": 0,
        "difference_ms": 0.0,
        "differences": [same(1), same(2)],
    });
    assert_eq!(read, expected);
}

#[test]
fn the_right_display_less_the_left_one_is_the_difference() {
    let folder = folder("frames-apart");
    // The facing panel's 75 Hz: a frame is 13.33 ms. The counter ends at 2^20.
    for (left, right, frames, words) in [
        (
            1000,
            1003,
            3,
            "the left display is 3 frames, 40.0 ms, behind the other",
        ),
        (
            1000,
            999,
            -1,
            "the right display is 1 frame, 13.3 ms, behind the other",
        ),
        (
            1_048_575,
            1,
            2,
            "the left display is 2 frames, 26.7 ms, behind the other",
        ),
        (5, 5, 0, "both displays show the same frame"),
    ] {
        let path = folder.join("apart.jpg");
        two_frames(left, right, &folder)
            .save(&path)
            .expect("a JPEG");
        let read = frames_json(&path);
        assert_eq!(read["difference_frames"], json!(frames));
        let ms = read["difference_ms"].as_f64().expect("a number");
        assert!((ms - f64::from(frames) / 0.075).abs() < 1e-9, "{ms}");
        assert_eq!(read.get("differences"), None);
        let output = run(&["frames", path.to_str().expect("plain")]);
        let text = String::from_utf8(output.stdout).expect("plain");
        let expected =
            format!("seam 1, left: frame {left}\nseam 1, right: frame {right}\nseam 1: {words}\n");
        assert_eq!(text, expected);
    }
}

#[test]
fn a_camera_held_upright_may_note_that_in_the_file() {
    let folder = folder("frames-upright");
    let turned = imageops::rotate270(&two_frames(40, 42, &folder));
    let path = folder.join("upright.jpg");
    // EXIF in little-endian TIFF: one entry, tag 0x0112, a short: 6, a quarter clockwise.
    let exif: Vec<u8> = [
        &b"II*\0\x08\0\0\0\x01\0"[..],
        &b"\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0"[..],
    ]
    .concat();
    let mut file = std::fs::File::create(&path).expect("a file");
    let mut encoder = JpegEncoder::new_with_quality(&mut file, 90);
    encoder.set_exif_metadata(exif).expect("can be noted");
    DynamicImage::ImageLuma8(turned)
        .write_with_encoder(encoder)
        .expect("a JPEG");
    assert_eq!(frames_json(&path)["difference_frames"], json!(2));
}

#[test]
fn an_exposure_of_two_frames_is_no_number() {
    let folder = folder("frames-mixed");
    let [one, other] = [700, 701].map(|frame| grey(&screenshot("rally-loft", frame, &folder)));
    let tables = Tables::get();
    let mut mixed = one.clone();
    for (pixel, other) in mixed.iter_mut().zip(other.iter()) {
        *pixel = tables.code(f32::midpoint(tables.linear(*pixel), tables.linear(*other)));
    }
    let path = folder.join("mixed.png");
    mixed.save(&path).expect("a PNG");
    let text = refusal(&path);
    assert!(
        text.contains("the exposure held more than one frame"),
        "{text}"
    );
    // One side clear, the other one not.
    let part = imageops::crop_imm(&one, 0, 0, 2560, one.height()).to_image();
    imageops::replace(&mut mixed, &part, 0, 0);
    mixed.save(&path).expect("a PNG");
    let expected = json!({
        "strips": [{"seam": 1, "side": "left", "frame": 700}],
        "difference_frames": null,
        "difference_ms": null,
    });
    assert_eq!(frames_json(&path), expected);
    let output = run(&["frames", path.to_str().expect("plain")]);
    assert!(stderr(&output).contains("held more than one frame"));
}

#[test]
fn a_display_caught_while_it_is_redrawn_is_no_number() {
    let folder = folder("frames-torn");
    // The right display has the new frame down to the middle of its strip.
    let [above, mut below] =
        [700, 701].map(|frame| grey(&screenshot("rally-loft", frame, &folder)));
    let whole = below.clone();
    let mut torn = 0;
    for row in (0..above.height()).step_by(5) {
        below.clone_from(&whole);
        let part = imageops::crop_imm(&above, 0, 0, above.width(), row).to_image();
        imageops::replace(&mut below, &part, 0, 0);
        let codes = below.as_raw().clone();
        let size_px = [below.width(), below.height()];
        let grey = throughline::grey::Grey::new(size_px, codes).expect("as many");
        let frames = throughline::frames::read(&grey);
        for strip in &frames.strips {
            assert!([700, 701].contains(&strip.frame), "{strip:?}");
        }
        torn += frames.torn;
        assert_eq!(
            frames.strips.len() + frames.torn + frames.unclear + frames.mixed,
            2
        );
    }
    assert!(torn > 3, "{torn}");
}

#[test]
fn what_can_not_be_read_is_said_in_one_sentence() {
    let folder = folder("frames-not");
    let path = |name: &str| folder.join(name);
    GrayImage::new(90, 60)
        .save(path("black.png"))
        .expect("a PNG");
    assert!(refusal(&path("black.png")).contains("there is no frame strip in the picture"));
    std::fs::write(path("words.jpg"), "not a picture").expect("a file");
    assert!(refusal(&path("words.jpg")).contains("neither a JPEG nor a PNG picture"));
    assert!(refusal(&path("missing.jpg")).contains("missing.jpg"));
    let whole = folder.join("whole.jpg");
    two_frames(1, 1, &folder).save(&whole).expect("a JPEG");
    let bytes = std::fs::read(&whole).expect("was just written");
    for share in [2, 30, 400] {
        std::fs::write(path("cut.jpg"), &bytes[..bytes.len() / share]).expect("a file");
        let output = run(&["frames", path("cut.jpg").to_str().expect("plain")]);
        assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    }
    let mut png = std::fs::read(path("black.png")).expect("was just written");
    // 70,000 columns, whose checksum is wrong, too.
    png[16..20].copy_from_slice(&70_000_u32.to_be_bytes());
    std::fs::write(path("wide.png"), png).expect("a file");
    refusal(&path("wide.png"));
}

#[test]
fn speeds_are_bounded_and_frames_are_numbers() {
    for (option, value) in [("--speed", "0.5"), ("--speed", "inf"), ("--frame", "-1")] {
        let joined = format!("{option}={value}");
        let output = run(&["screenshot", "tram-cab", "--out", "x.png", &joined]);
        assert_eq!(output.status.code(), Some(2));
        assert!(stderr(&output).contains(value), "{}", stderr(&output));
    }
}
