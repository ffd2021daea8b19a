//! Off-axis frusta and the warps that bend their pictures.

mod commands;
mod rigs;

use std::fs;
use std::path::Path;

use commands::{folder, run, stderr};
use glam::DVec3;
use proptest::prelude::*;
use throughline::geometry::Frustum;
use throughline::numbers::{Warp, frusta};
use throughline::rig::{Rig, read};

fn angle_rad(one: DVec3, other: DVec3) -> f64 {
    one.cross(other).length().atan2(one.dot(other))
}

/// One curved panel that reaches round the eye.
const ROUND: &str = "format = 1\nname = \"Round\"\n[seat]\nview = \"dome\"\ndistance_mm = 300\n\
    [[panel]]\nname = \"dome\"\npixels = [1400, 300]\nsize_mm = [1400, 300]\ncurve_radius_mm = 700\n";

fn one_panel(text: &str) -> Rig {
    read(text, "one", &[]).expect("a sound rig")
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(100)
    })]

    /// Corners lie in the corners, right and up are the viewer's, and no pixel strays
    /// farther from the flat screen than is said.
    #[test]
    fn a_frustum_holds_its_view(rig in rigs::ordinary()) {
        let all = frusta(&rig);
        prop_assert_eq!(all.len(), rig.views().len());
        for (view, said) in rig.views().iter().zip(all) {
            prop_assert_eq!(view.id, said.id);
            let through = said.through.expect("in front of the eye");
            let frustum = through.frustum;
            for (corner, expected) in [([0.0, 1.0], [0.0, 0.0]), ([1.0, 1.0], [1.0, 0.0]),
                ([0.0, 0.0], [0.0, 1.0]), ([1.0, 0.0], [1.0, 1.0])] {
                let place = frustum.place(view.point_mm(corner[0], corner[1]));
                prop_assert!((place[0] - expected[0]).abs() < 1e-9, "{place:?}");
                prop_assert!((place[1] - expected[1]).abs() < 1e-9, "{place:?}");
            }
            prop_assert!(frustum.normal.dot(-view.middle_mm()) > 0.0);
            let mut most: f64 = 0.0;
            for row in 0..=60 {
                for column in 0..=90 {
                    let [u, v] = [f64::from(column) / 90.0, f64::from(row) / 60.0];
                    let [a, b, c] = [(0.0, 1.0), (1.0, 1.0), (0.0, 0.0)].map(|(u, v)| view.point_mm(u, v));
                    let flat = a + (b - a) * u + (c - a) * (1.0 - v);
                    most = most.max(angle_rad(view.point_mm(u, v), flat));
                }
            }
            // acos-free angles of parallel vectors are exact to a few digits in 1e-16.
            prop_assert!(most <= through.max_rad + 1e-12, "{most} {}", through.max_rad);
            prop_assert!(through.max_rad <= most * 1.003 + 1e-12, "{most} {}", through.max_rad);
            prop_assert_eq!(through.max_rad == 0.0, view.surface.radius_mm.is_none());
        }
    }

    /// Every pixel of a panel belongs to one view's warp, and lies where the flat
    /// camera's ray to that place meets the panel at the pixel's middle.
    #[test]
    fn a_warps_places_lead_back_to_their_pixels(rig in rigs::ordinary(), row in 0.0..1.0f64) {
        let mut next = vec![0; rig.panels().len()];
        for view in rig.views() {
            let warp = Warp::of(&view).expect("in front of the eye");
            let columns = warp.columns();
            prop_assert_eq!(columns.start, next[view.id.panel]);
            next[view.id.panel] = columns.end;
            let [wide, high] = warp.size_px();
            prop_assert_eq!(wide as usize, columns.len());
            let row = (row * f64::from(high)) as u32;
            let frustum = Frustum::of(&view).expect("in front of the eye");
            for (place, column) in warp.row(row).zip(columns).step_by(37) {
                let seen = view.surface.px_seen(frustum.ray(place)).expect("ahead");
                prop_assert!((seen[0] - f64::from(column) - 0.5).abs() < 1e-6, "{seen:?} {column}");
                prop_assert!((seen[1] - f64::from(row) - 0.5).abs() < 1e-6, "{seen:?} {row}");
            }
        }
        for (panel, end) in rig.panels().iter().zip(next) {
            prop_assert_eq!(panel.pixels[0], end);
        }
    }
}

#[test]
fn a_view_round_the_eye_has_no_frustum_and_says_so() {
    let rig = one_panel(ROUND);
    assert_eq!(frusta(&rig)[0].through, None);
    let folder = folder("frusta-round");
    let file = folder.join("round.toml");
    fs::write(&file, ROUND).expect("written");
    let name = file.to_str().expect("text");
    let json = run(&["sheet", name, "--json"]);
    let document: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    let frustum = &document["frusta"][0];
    assert_eq!(
        (&frustum["panel"], &frustum["view"]),
        (&"dome".into(), &1.into())
    );
    for key in ["near_1", "right", "up", "normal", "max_deg"] {
        assert!(
            frustum[key].is_null() && frustum.get(key).is_some(),
            "{key}"
        );
    }
    let out = folder.join("dome.pfm");
    let warp = run(&[
        "sheet",
        name,
        "--warp",
        "dome",
        "--out",
        out.to_str().expect("text"),
    ]);
    assert_eq!(warp.status.code(), Some(2));
    assert_eq!(
        stderr(&warp),
        "throughline: --warp: the view \"dome\" reaches round the eye, so that its corners lie \
         behind it and no flat picture covers it: give its panel more views\n"
    );
    assert!(!out.exists());
}

#[test]
fn an_unknown_view_is_answered_with_those_there_are() {
    let folder = folder("frusta-names");
    let out = folder.join("view.pfm");
    let out = out.to_str().expect("text");
    for name in ["wide", "wide/3", "door/2", "", "wide/"] {
        let warp = run(&["sheet", "rally-loft", "--warp", name, "--out", out]);
        assert_eq!(warp.status.code(), Some(2), "{name}");
        assert_eq!(
            stderr(&warp),
            format!(
                "throughline: --warp: the rig has no view \"{name}\": name one of \"door\", \
                 \"wide/1\", \"wide/2\"\n"
            )
        );
        assert!(!Path::new(out).exists());
    }
    for one_alone in [["--warp", "door"], ["--out", out]] {
        let output = run(&["sheet", "rally-loft", one_alone[0], one_alone[1]]);
        assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    }
    // Bare and numbered names of a panel's only view are the same.
    let files = ["door", "door/1"].map(|name| {
        let output = run(&["sheet", "rally-loft", "--warp", name, "--out", out]);
        assert!(output.status.success(), "{}", stderr(&output));
        fs::read(out).expect("written")
    });
    assert!(files[0] == files[1]);
}

/// Columns that views can't share evenly go to the view that holds their middle.
#[test]
fn a_warp_file_has_a_pixel_for_each_column_and_row() {
    let folder = folder("frusta-file");
    let rig = folder.join("three.toml");
    let text = ROUND
        .replace("[1400, 300]\nsize", "[100, 7]\nviews = 3\nsize")
        .replace("view = \"dome\"", "view = \"dome/2\"");
    fs::write(&rig, text).expect("written");
    let out = folder.join("view.pfm");
    let mut columns = 0;
    for (name, expected) in [("dome/1", 33), ("dome/2", 34), ("dome/3", 33)] {
        let arguments = [
            "sheet",
            rig.to_str().expect("text"),
            "--warp",
            name,
            "--out",
        ];
        let output = run(&[&arguments[..], &[out.to_str().expect("text")]].concat());
        assert!(output.status.success(), "{}", stderr(&output));
        let bytes = fs::read(&out).expect("written");
        let header = format!("PF\n{expected} 7\n-1.0\n");
        assert!(bytes.starts_with(header.as_bytes()), "{name}");
        assert_eq!(bytes.len(), header.len() + expected * 7 * 12);
        columns += expected;
    }
    assert_eq!(columns, 100);
}

#[test]
fn what_a_flat_picture_cannot_hold_is_told() {
    let folder = folder("frusta-beyond");
    let out = folder.join("view.pfm");
    let out = out.to_str().expect("text");
    let high = [
        "sheet",
        "ferry-bridge",
        "--set",
        "seat.height_mm=300",
        "--warp",
        "bow",
        "--out",
        out,
    ];
    let output = run(&high);
    assert!(output.status.success());
    assert!(
        stderr(&output).contains("the eye is above or below \"bow\""),
        "{}",
        stderr(&output)
    );
    let level = run(&["sheet", "ferry-bridge", "--warp", "bow", "--out", out]);
    assert_eq!(stderr(&level), "");
}
