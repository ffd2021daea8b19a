//! The two fits against scipy's on the same objective.
//!
//! Source: `tests/data/fits.json`, made by `tests/reference/fit_reference.py`
//! with `scipy.optimize.least_squares` on an independent layout of the rigs.

use glam::DVec3;
use serde_json::Value;
use throughline::fit::{FlatViews, FlatViewsFit, Free, Improvement, SingleViewFit, Typed};
use throughline::rig::{self, Rig, Turn};

fn cases() -> Vec<(Rig, Value)> {
    let text = std::fs::read_to_string("tests/data/fits.json").unwrap();
    let document: Value = serde_json::from_str(&text).unwrap();
    let cases = document["cases"].as_array().unwrap();
    assert!(cases.len() >= 10, "{} cases", cases.len());
    cases
        .iter()
        .map(|case| {
            let rig = rig::read(case["rig"].as_str().unwrap(), "case", &[]).unwrap();
            (rig, case.clone())
        })
        .collect()
}

fn is_near(found: f64, expected: &Value, tolerance: f64) -> bool {
    (found - expected.as_f64().unwrap()).abs() <= tolerance
}

fn near(found: f64, expected: &Value, tolerance: f64, what: &str) {
    assert!(
        is_near(found, expected, tolerance),
        "{what}: {found}, expected {expected}"
    );
}

#[test]
fn flat_views_agree_with_scipy() {
    let (mut compared, mut held) = (0, 0);
    for (rig, case) in cases() {
        for expected in case["flat_views"].as_array().unwrap() {
            let names: Vec<&str> = (expected["free"].as_array().unwrap().iter())
                .map(|name| name.as_str().unwrap())
                .collect();
            let free = names.join(",").parse::<Free>().unwrap();
            let found = FlatViewsFit::of(&rig, free);
            let what = format!("{} {free}", rig.name());
            assert_eq!(found.model.count as u64, expected["count"], "{what}");
            let model = found.model;
            near(
                model.angle_rad.to_degrees(),
                &expected["angle_deg"],
                0.01,
                &what,
            );
            near(model.distance_mm, &expected["distance_mm"], 0.1, &what);
            near(model.width_mm, &expected["width_mm"], 0.1, &what);
            near(model.bezel_mm, &expected["bezel_mm"], 0.1, &what);
            near(
                found.rms_rad.to_degrees(),
                &expected["rms_deg"],
                1e-3,
                &what,
            );
            // The reference looks at a grid of pixels, not at each.
            let largest = found.worst.angle_rad().to_degrees();
            near(largest, &expected["max_deg"], 1e-3, &what);
            if expected["rms_deg"].as_f64().unwrap() > 1e-6 {
                let limits: Vec<&str> = found.at_limit.iter().map(|typed| typed.name()).collect();
                assert_eq!(serde_json::json!(limits), expected["at_limit"], "{what}");
                held += limits.len();
            }
            compared += 1;
        }
    }
    assert!(compared > 30, "{compared} fits");
    assert!(held > 10, "{held} bounds hold an answer");
}

#[test]
fn the_single_view_agrees_with_scipy() {
    for (rig, case) in cases() {
        let expected = &case["single_view"];
        if expected.is_null() {
            continue;
        }
        let found = SingleViewFit::of(&rig);
        let what = rig.name();
        let model = found.model;
        near(
            model.horizontal_rad.to_degrees(),
            &expected["horizontal_deg"],
            0.01,
            what,
        );
        near(
            model.vertical_rad().to_degrees(),
            &expected["vertical_deg"],
            0.01,
            what,
        );
        near(found.rms_rad.to_degrees(), &expected["rms_deg"], 1e-3, what);
        let largest = found.worst.angle_rad().to_degrees();
        near(largest, &expected["max_deg"], 1e-3, what);
    }
}

#[test]
fn a_wrong_rig_is_told_from_the_right_one() {
    let (rig, case) = &cases()[0];
    let expected = &case["flat_views"][0];
    let fit = |distance_mm: f64| {
        let mut parts = rig.clone().into_parts();
        parts.seat.distance_mm = distance_mm;
        let rig = Rig::new(parts).unwrap();
        let fit = FlatViewsFit::of(&rig, Free::default());
        let single = SingleViewFit::of(&rig).model.horizontal_rad.to_degrees();
        (fit.model.distance_mm, single)
    };
    let single = &case["single_view"]["horizontal_deg"];
    let (distance_mm, horizontal_deg) = fit(558.0);
    assert!(is_near(distance_mm, &expected["distance_mm"], 0.1));
    assert!(is_near(horizontal_deg, single, 0.01));
    let (distance_mm, horizontal_deg) = fit(559.0);
    assert!(!is_near(distance_mm, &expected["distance_mm"], 0.1));
    assert!(!is_near(horizontal_deg, single, 0.01));
}

/// Three alike, with all that the rig's maker could choose.
fn three(
    size_mm: [f64; 2],
    pixels: [u32; 2],
    radius_mm: Option<f64>,
    turn: Turn,
    distance_mm: f64,
    bezel: f64,
) -> Rig {
    let curve = radius_mm.map_or(String::new(), |radius| {
        format!("curve_radius_mm = {radius:?}\n")
    });
    let panel = |name: &str| {
        format!(
            "[[panel]]\nname = \"{name}\"\npixels = {pixels:?}\nsize_mm = {size_mm:?}\n\
             bezel_mm = {{ left = {bezel:?}, right = {bezel:?} }}\n{curve}"
        )
    };
    let turn = match turn {
        Turn::AngleDeg(angle) => format!("[[seam]]\nangle_deg = {angle:?}\n"),
        Turn::FoldDeg(fold) => format!("[[seam]]\nfold_deg = {fold:?}\n"),
    };
    let text = format!(
        "format = 1\nname = \"three\"\n[seat]\nview = \"b/1\"\ndistance_mm = {distance_mm:?}\n\
         {}{}{}{turn}{turn}",
        panel("a"),
        panel("b"),
        panel("c"),
    );
    rig::read(&text, "three", &[]).unwrap()
}

#[test]
fn equal_flat_panels_are_recovered() {
    for (angle_deg, distance_mm, bezel) in
        [(47.25, 640.0, 9.5), (20.0, 900.0, 0.0), (70.0, 420.0, 3.0)]
    {
        let turn = Turn::AngleDeg(angle_deg);
        let rig = three(
            [597.0, 335.8125],
            [2560, 1440],
            None,
            turn,
            distance_mm,
            bezel,
        );
        for free in [
            "angle",
            "angle,distance",
            "distance,width",
            "angle,distance,bezel",
            "angle,width,bezel",
        ] {
            let fit = FlatViewsFit::of(&rig, free.parse::<Free>().unwrap());
            let found = fit.model;
            let what = format!("{angle_deg} {free}: {fit:?}");
            assert!(
                (found.angle_rad.to_degrees() - angle_deg).abs() < 1e-6,
                "{what}"
            );
            assert!((found.distance_mm - distance_mm).abs() < 1e-6, "{what}");
            assert!((found.width_mm - 597.0).abs() < 1e-6, "{what}");
            assert!((found.bezel_mm - bezel).abs() < 1e-6, "{what}");
            assert!(fit.worst.angle_rad() < 1e-8, "{what}");
        }
        // Starting elsewhere, the model that is found is still the rig's.
        assert_eq!(FlatViews::of(&rig).count, 3);
    }
}

/// Common practice: three 597 mm views on panels curved at 1000 mm radius, seen
/// from 558 to 600 mm, are run at angles of about 34 to 37 degrees; flat panels of that
/// width stand at 2 atan(w / 2d), about 53 to 56 degrees, for the eye to be
/// square to all three.
#[test]
fn angles_are_those_of_common_practice() {
    for distance_mm in [558.0, 580.0, 600.0] {
        let curved = three(
            [597.0, 335.8125],
            [2560, 1440],
            Some(1000.0),
            Turn::FoldDeg(0.0),
            distance_mm,
            0.0,
        );
        let found = FlatViewsFit::of(&curved, Free::default())
            .model
            .angle_rad
            .to_degrees();
        assert!((34.0..37.0).contains(&found), "{distance_mm}: {found}");

        let square_deg = 2.0 * (597.0 / 2.0 / distance_mm).atan().to_degrees();
        assert!((52.5..56.5).contains(&square_deg));
        let flat = three(
            [597.0, 335.8125],
            [2560, 1440],
            None,
            Turn::AngleDeg(square_deg),
            distance_mm,
            0.0,
        );
        let found = FlatViewsFit::of(&flat, Free::default())
            .model
            .angle_rad
            .to_degrees();
        assert!((found - square_deg).abs() < 1e-6, "{distance_mm}: {found}");
        let view = flat.views()[2];
        // The eye is square to the outer panel: its nearest point is its middle.
        assert!((view.middle_mm().length() + view.normal().dot(view.middle_mm())).abs() < 1e-6);
    }
}

/// All pixels of all views, one by one: their rms and largest angle.
fn all_pixels(rig: &Rig, model: &FlatViews) -> [f64; 2] {
    let views = rig.views();
    let middle = views[model.facing].middle_mm();
    let shift = DVec3::new(-middle.x, -middle.y, 0.0);
    let (mut sum, mut most, mut count) = (0.0, 0.0_f64, 0.0);
    for (index, view) in views.iter().enumerate() {
        let (columns, rows) = (view.columns() as u32, view.rows() as u32);
        for x in 0..columns {
            for y in 0..rows {
                let u = (f64::from(x) + 0.5) / f64::from(columns);
                let v = (f64::from(y) + 0.5) / f64::from(rows);
                let angle =
                    (view.point_mm(u, v) + shift).angle_between(model.direction(index, u, v));
                sum += angle * angle;
                most = most.max(angle);
                count += 1.0;
            }
        }
    }
    [(sum / count).sqrt(), most]
}

#[test]
fn the_errors_are_those_of_all_pixels() {
    for demo in rig::demos() {
        let mut parts = rig::read(demo.text, demo.name, &[]).unwrap().into_parts();
        for panel in &mut parts.panels {
            // Sizes in millimetres stay, pixels grow.
            panel.size = rig::Size::LitMm(panel.size_mm());
            panel.pixels = panel.pixels.map(|side| side / 8);
            panel.desktop_px = None;
        }
        let rig = Rig::new(parts).unwrap();
        let fit = FlatViewsFit::of(&rig, Free::default());
        let [rms, most] = all_pixels(&rig, &fit.model).map(f64::to_degrees);
        let what = format!("{}: {rms} {most}", demo.name);
        assert!(
            (fit.rms_rad.to_degrees() - rms).abs() < 1e-4,
            "{what} {fit:?}"
        );
        assert!(
            (fit.worst.angle_rad().to_degrees() - most).abs() < 1e-5,
            "{what} {fit:?}"
        );
        // No other model nearby is better over all pixels.
        for (angle, distance) in [(1e-3, 0.0), (-1e-3, 0.0), (0.0, 2.0), (0.0, -2.0)] {
            let mut other = fit.model;
            other.angle_rad += angle;
            other.distance_mm += distance;
            if other.angle_rad < 0.0 {
                // No one could type it.
                continue;
            }
            let [worse, _] = all_pixels(&rig, &other).map(f64::to_degrees);
            assert!(worse > rms, "{what}: {angle} {distance} {worse}");
        }
    }
}

#[test]
fn a_spoilt_rig_is_mended_by_undoing_what_spoilt_it() {
    let sound = three(
        [597.0, 335.8125],
        [2560, 1440],
        None,
        Turn::AngleDeg(50.0),
        620.0,
        8.0,
    );
    assert_eq!(
        Improvement::of(&sound, &FlatViewsFit::of(&sound, Free::default())),
        None
    );
    for (path, value, mended) in [
        ("seam.2.rise_mm", "60", 0.0),
        ("panel.a.tilt_deg", "12", 0.0),
        ("seam.1.gap_mm", "90", 0.0),
    ] {
        let settings = [(path.to_owned(), value.to_owned())];
        let rig = rig::read(&rig::write(&sound), "spoilt", &settings).unwrap();
        let fit = FlatViewsFit::of(&rig, Free::default());
        let change = Improvement::of(&rig, &fit).expect("a change helps");
        let asked = path.replace("panel.a", "panel.1");
        assert_eq!(change.measure.subject().to_string(), asked, "{change:?}");
        assert_eq!(change.to, mended, "{change:?}");
        assert!(change.rms_rad < 1e-6 && fit.rms_rad > 1e-3, "{change:?}");
    }
}

#[test]
fn a_freer_fit_is_no_worse() {
    let mut compared = 0;
    let demos = rig::demos()
        .iter()
        .map(|demo| rig::read(demo.text, demo.name, &[]).unwrap());
    for rig in cases().into_iter().map(|(rig, _)| rig).chain(demos) {
        let own = FlatViews::of(&rig);
        let can_be_typed = Typed::ALL.iter().all(|typed| {
            let [least, most] = typed.bounds();
            (least..=most).contains(&typed.get(&own))
        });
        if !can_be_typed {
            // What is held may lie where what is free can't go.
            continue;
        }
        compared += 1;
        let rms = |free: &str| FlatViewsFit::of(&rig, free.parse::<Free>().unwrap()).rms_rad;
        let chains = [
            ["angle", "angle,distance", "angle,distance,bezel"],
            ["bezel", "angle,bezel", "angle,width,bezel"],
            ["distance", "distance,bezel", "angle,distance,bezel"],
        ];
        for chain in chains {
            let found = chain.map(rms);
            for pair in found.windows(2) {
                assert!(
                    pair[1] <= pair[0] * (1.0 + 1e-9) + 1e-12,
                    "{} {chain:?} {found:?}",
                    rig.name()
                );
            }
        }
    }
    assert!(compared > 10, "{compared} rigs");
}
