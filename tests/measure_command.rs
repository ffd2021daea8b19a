//! `measure` as its user runs it, on photographs made by `seat`'s rendering.

mod commands;
mod eyes;

use std::fs;
use std::path::Path;

use commands::{folder, run, stderr};
use eyes::Chance;
use glam::DVec3;
use serde_json::Value;
use throughline::raster::Picture;
use throughline::rig::{Measure, Rig, demos, read};
use throughline::seat::{Camera, Projection, Scene, render};

const DEMO: &str = "tram-cab";

fn rig(settings: &[(&str, &str)]) -> Rig {
    let demo = demos()
        .iter()
        .find(|demo| demo.name == DEMO)
        .expect("a demo");
    let settings: Vec<_> = (settings.iter())
        .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
        .collect();
    read(demo.text, demo.name, &settings).expect("a sound rig")
}

/// How the photographed rig stands.
fn built() -> Rig {
    rig(&[
        ("seam.2.angle_deg", "49.1"),
        ("seam.1.gap_mm", "2.2"),
        ("panel.1.roll_deg", "0.4"),
    ])
}

/// The marks as `screenshot` draws them.
fn canvas(folder: &Path) -> Picture {
    let path = folder.join("marks.png");
    let out = path.to_str().expect("a path");
    let output = run(&["screenshot", DEMO, "--layers", "marks", "--out", out]);
    assert!(output.status.success(), "{}", stderr(&output));
    let image = image::open(&path).expect("a picture").into_rgba8();
    let mut picture = Picture::new([image.width(), image.height()]);
    for (pixel, from) in picture.pixels_mut().iter_mut().zip(image.pixels()) {
        *pixel = from.0;
    }
    picture
}

/// A photograph from a place, in millimetres beside the eye.
fn photograph(canvas: &Picture, built: &Rig, place: [f64; 3], to: &Path) {
    let camera = Camera::new(Projection::Rectilinear, [0.0, 0.0], 1.45, [2400, 1700]);
    let camera = camera.expect("can be shown");
    let scene = Scene::new(&rig(&[]), built, DVec3::from_array(place));
    let view = render(scene, &camera, canvas);
    let [w, h] = view.size_px();
    let mut chance = Chance::new(place[0].to_bits());
    let codes: Vec<u8> = (view.bytes().as_chunks::<4>().0.iter())
        .map(|pixel| (f64::from(pixel[1]) + 1.5 * chance.normal()).clamp(0.0, 255.0) as u8)
        .collect();
    let file = fs::File::create(to).expect("a file");
    let mut packed = image::codecs::jpeg::JpegEncoder::new_with_quality(file, 92);
    packed
        .encode(&codes, w, h, image::ExtendedColorType::L8)
        .expect("can be packed");
}

fn text(folder: &Path, name: &str) -> String {
    folder.join(name).to_string_lossy().into_owned()
}

#[test]
fn photographs_tell_how_the_rig_stands() {
    let folder = folder("measure");
    let (canvas, built) = (canvas(&folder), built());
    let places = [
        [0.0, 0.0, 0.0],
        [-350.0, 20.0, 250.0],
        [350.0, -10.0, 250.0],
    ];
    let names = ["eye.jpg", "left.jpg", "right.jpg"].map(|name| text(&folder, name));
    for (place, name) in places.into_iter().zip(&names) {
        photograph(&canvas, &built, place, Path::new(name));
    }
    let [eye, left, right] = &names;
    let marks = text(&folder, "marks.png");
    let out = text(&folder, "measured.toml");
    let output = run(&[
        "measure", DEMO, eye, left, right, &marks, left, "--json", "--out", &out,
    ]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(stderr(&output).contains("reading photograph 2 of 5"));
    let json = String::from_utf8(output.stdout).expect("text");
    let found: Value = serde_json::from_str(&json).expect("one JSON document");
    let values = found["values"].as_array().expect("a list");
    let covariance = found["covariance"].as_array().expect("rows");
    assert_eq!(covariance.len(), values.len());
    for (index, value) in values.iter().enumerate() {
        let path = value["path"].as_str().expect("a path");
        let measure = Measure::from_plain_path(path).expect("a number of a rig");
        let truth = measure.plain(built.parts()).expect("it is there");
        let file = measure.plain(rig(&[]).parts()).expect("it is there");
        let [said, measured, sigma] =
            ["file", "measured", "sigma"].map(|key| value[key].as_f64().expect("a number"));
        assert!((said - file).abs() < 1e-9, "{path}");
        assert!(
            (measured - truth).abs() < 4.0 * sigma,
            "{path}: {measured} {truth} {sigma}"
        );
        let variance = covariance[index][index].as_f64().expect("a number");
        assert!((variance.sqrt() / sigma - 1.0).abs() < 1e-9);
        assert!(value["determined"].is_boolean());
        if path.starts_with("seam") {
            assert!(
                (measured - truth).abs() < 0.3 && value["determined"] == true,
                "{value} {truth} {}",
                found["photos"]
            );
        }
    }
    let photos = found["photos"].as_array().expect("a list");
    assert_eq!(photos.len(), 5);
    for (photo, place) in photos.iter().zip(places) {
        assert!(photo["used"] == true && photo["reason"].is_null());
        assert!(photo["rms_px"].as_f64() < Some(0.3) && photo["marks"].as_u64() > Some(300));
        for (at, place) in photo["eye_mm"]
            .as_array()
            .expect("a place")
            .iter()
            .zip(place)
        {
            assert!(
                (at.as_f64().expect("a number") - place).abs() < 5.0,
                "{photo}"
            );
        }
    }
    for photo in &photos[3..] {
        assert!(photo["used"] == false && photo["eye_mm"].is_null() && photo["rms_px"].is_null());
    }
    assert!(
        photos[3]["reason"]
            .as_str()
            .expect("words")
            .contains("screen picture")
    );
    assert!(
        photos[4]["reason"]
            .as_str()
            .expect("words")
            .contains("left.jpg again")
    );
    assert!(found["rms_px"].as_f64() < Some(0.3));

    // What it writes is a rig that stands so, comments kept.
    let written = fs::read_to_string(&out).expect("written");
    assert!(written.contains("seam.2.fold_deg = 49.") && written.contains("+-"));
    let again = read(&written, "measured", &[]).expect("a sound rig");
    assert!((again.parts().fold_rad(1).to_degrees() - 49.1).abs() < 0.2);
    let original = demos()
        .iter()
        .find(|demo| demo.name == DEMO)
        .expect("a demo")
        .text;
    let kept = original.lines().filter(|line| line.starts_with('#'));
    assert!(kept.into_iter().all(|line| written.contains(line)));

    // `solve` takes it.
    let measured = folder.join("measured.json");
    fs::write(&measured, &json).expect("written");
    let measured = measured.to_string_lossy();
    let readings = concat!(env!("CARGO_MANIFEST_DIR"), "/rigs/tram-cab.readings.json");
    let solved = run(&["solve", DEMO, readings, "--measured", &measured, "--json"]);
    assert!(solved.status.success(), "{}", stderr(&solved));

    // Without the eye's photograph the seat's numbers stay; in words for people.
    let seatless = run(&["measure", DEMO, left, right, "--eye-photo", "none"]);
    assert!(seatless.status.success(), "{}", stderr(&seatless));
    let words = String::from_utf8(seatless.stdout).expect("text");
    assert!(words.contains("the seat's numbers: no photograph is taken from where the eye is"));
    assert!(!words.contains("distance from the eye"), "{words}");
    let places = words.lines().filter(|line| line.contains("marks, to"));
    for (line, way) in places.zip(["mm left, ", "mm right, "]) {
        assert!(
            line.contains(way) && line.contains("mm behind of the eye"),
            "{line}"
        );
    }
    let alone = run(&["measure", DEMO, eye]);
    assert!(alone.status.success(), "{}", stderr(&alone));
    let words = String::from_utf8(alone.stdout).expect("text");
    assert!(
        words.contains("take one more photograph, from 300 mm further"),
        "{words}"
    );
}

#[test]
fn what_is_wrong_is_said_in_one_sentence_with_a_remedy() {
    let folder = folder("measure-errors");
    let heic = folder.join("a.heic");
    fs::write(&heic, b"\0\0\0\x18ftypheic\0\0\0\0mif1heic").expect("written");
    let heic = heic.to_string_lossy();
    let broken = folder.join("b.jpg");
    fs::write(&broken, b"\xff\xd8\xff\xe0nothing").expect("written");
    let broken = broken.to_string_lossy();
    let out = text(&folder, "out.toml");
    let dark = folder.join("dark.png");
    image::GrayImage::new(400, 300)
        .save(&dark)
        .expect("written");
    let dark = dark.to_string_lossy();
    let many: Vec<&str> = ["measure", DEMO].into_iter().chain(["x.jpg"; 13]).collect();
    let cases: [(&[&str], &str); 6] = [
        (
            &["measure", DEMO, &heic],
            "choose the most compatible format (JPEG) in the camera's settings",
        ),
        (&["measure", DEMO, &broken, "--out", &out], "save it anew"),
        (
            &["measure", DEMO, &dark, "--out", &out],
            "no photograph can serve",
        ),
        (&["measure", DEMO, "none.jpg"], "cannot read none.jpg"),
        (
            &["measure", DEMO, "x.jpg", "--eye-photo", "2"],
            "count them from 1",
        ),
        (&many, "13 photographs are too many"),
    ];
    for (arguments, words) in cases {
        let output = run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(
            stderr(&output).contains(words),
            "{arguments:?}: {}",
            stderr(&output)
        );
        assert!(output.stdout.is_empty());
    }
    assert!(!Path::new(&out).exists());
    assert_eq!(run(&["measure", DEMO]).status.code(), Some(2));
    let zero = run(&["measure", DEMO, "x.jpg", "--eye-photo", "0"]);
    assert!(
        stderr(&zero).contains("expected a photograph's number"),
        "{}",
        stderr(&zero)
    );
}
