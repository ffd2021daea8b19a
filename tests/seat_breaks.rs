//! Breaks at the seams of rigs that are built otherwise than their files say.

use glam::DVec3;
use serde::Deserialize;
use throughline::geometry::{EyePlane, LitEdge, direction, edge_break, line_break};
use throughline::pattern::{Guides, Layers, Line, Pattern};
use throughline::rig::{Rig, demos, read};
use throughline::seat::{Causes, at_seams, likeliest, readings, worst};
use throughline::typeset::Typesetter;

fn demo(name: &str, settings: &[(String, String)]) -> Rig {
    let demo = demos()
        .iter()
        .find(|demo| demo.name == name)
        .expect("there is such a demo");
    read(demo.text, demo.name, settings).unwrap_or_else(|error| panic!("{error}"))
}

fn with(name: &str, settings: &[(&str, f64)]) -> Rig {
    let settings: Vec<_> = settings
        .iter()
        .map(|(path, value)| ((*path).to_owned(), format!("{value:?}")))
        .collect();
    demo(name, &settings)
}

fn lines(rig: &Rig) -> Vec<Line> {
    let mut typesetter = Typesetter::new();
    let pattern = Pattern::new(rig, &Guides::of(rig), Layers::ALL, &mut typesetter);
    pattern.lines().to_vec()
}

fn arcmin(radians: f64) -> f64 {
    radians.to_degrees() * 60.0
}

/// `tests/reference/seat_breaks.py` computes these from its own layout.
#[derive(Deserialize)]
struct Expected {
    rigs: Vec<WrongRig>,
}

#[derive(Deserialize)]
struct WrongRig {
    demo: String,
    mistake: String,
    changes: Vec<(String, String, f64)>,
    breaks: Vec<ExpectedBreak>,
}

#[derive(Deserialize)]
struct ExpectedBreak {
    normal: [f64; 3],
    seam: usize,
    break_arcmin: f64,
    break_px: f64,
    kink_deg: f64,
}

/// The rig with changes added to its values.
fn built(name: &str, changes: &[(String, String, f64)]) -> Rig {
    let mut parts = demo(name, &[]).into_parts();
    for (table, key, by) in changes {
        let (kind, number) = table.split_once('.').unwrap_or((table, "1"));
        let index = number.parse::<usize>().expect("a number") - 1;
        let value = match (kind, key.as_str()) {
            ("seat", "distance_mm") => &mut parts.seat.distance_mm,
            ("seat", "height_mm") => &mut parts.seat.height_mm,
            ("seat", "offset_mm") => &mut parts.seat.offset_mm,
            ("panel", "tilt_deg") => &mut parts.panels[index].tilt_deg,
            ("panel", "roll_deg") => &mut parts.panels[index].roll_deg,
            ("seam", "gap_mm") => &mut parts.seams[index].gap_mm,
            ("seam", "step_mm") => &mut parts.seams[index].step_mm,
            ("seam", "rise_mm") => &mut parts.seams[index].rise_mm,
            ("seam", "fold_deg" | "angle_deg") => match &mut parts.seams[index].turn {
                throughline::rig::Turn::AngleDeg(value)
                | throughline::rig::Turn::FoldDeg(value) => value,
            },
            _ => panic!("no such value: {table} {key}"),
        };
        *value += by;
    }
    Rig::new(parts).unwrap_or_else(|flaw| panic!("{flaw}"))
}

#[test]
fn breaks_and_kinks_are_those_of_the_second_layout() {
    let text = include_str!("data/seat_breaks.json");
    let expected: Expected = serde_json::from_str(text).expect("the data file is sound");
    let mut checked = 0;
    for rig in &expected.rigs {
        let (drawn, built) = (demo(&rig.demo, &[]), built(&rig.demo, &rig.changes));
        let (drawn, built) = (drawn.layout(), built.layout());
        for one in &rig.breaks {
            let plane = EyePlane::new(DVec3::from_array(one.normal)).expect("a plane");
            let found = line_break(drawn, built, one.seam - 1, plane, DVec3::ZERO)
                .unwrap_or_else(|| panic!("{} {}: no break", rig.demo, rig.mistake));
            let off = [
                arcmin(found.break_rad) - one.break_arcmin,
                found.break_px - one.break_px,
                found.kink_rad.to_degrees() - one.kink_deg,
            ];
            assert!(
                off.iter().all(|off| off.abs() < 1e-6),
                "{} {}: {off:?}",
                rig.demo,
                rig.mistake
            );
            checked += 1;
        }
    }
    assert!(checked > 200, "{checked}");
}

#[test]
fn no_line_breaks_on_a_true_demo() {
    for demo_of in demos() {
        let rig = demo(demo_of.name, &[]);
        let (layout, lines) = (rig.layout(), lines(&rig));
        let found = readings(&at_seams(layout), layout, &lines, DVec3::ZERO);
        assert!(found.len() > 20, "{}", demo_of.name);
        let worst = worst(&found).expect("some line reaches a seam");
        assert!(arcmin(worst.found.break_rad).abs() < 0.02, "{worst:?}");
        let kink = found
            .iter()
            .map(|r| r.found.kink_rad.abs())
            .fold(0.0, f64::max);
        assert!(kink.to_degrees() < 1e-6, "{kink}");
        assert_eq!(likeliest(&rig, &at_seams(layout), &lines, &found), None);
    }
}

/// Two flat panels side by side in one plane, `dark_mm` of dark between them.
fn wall(dark_mm: f64, rise_mm: f64) -> Rig {
    let panel = |name: &str| {
        format!("[[panel]]\nname = \"{name}\"\npixels = [1000, 800]\nsize_mm = [500.0, 400.0]\n")
    };
    let text = format!(
        "format = 1\nname = \"Wall\"\n[seat]\nview = \"left/1\"\ndistance_mm = 700.0\n\
         offset_mm = 250.0\n{}{}[[seam]]\nfold_deg = 0.0\ngap_mm = {dark_mm:?}\nrise_mm = {rise_mm:?}\n",
        panel("left"),
        panel("right"),
    );
    read(&text, "wall", &[]).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn a_rise_breaks_the_horizon_by_its_angle() {
    // The eye stands before the left panel's lit edge: the right one's begins
    // 12 mm farther right, at 700 mm.
    for rise in [5.0, -3.0, 0.1] {
        let (drawn, built) = (
            wall(12.0, 0.0).layout().clone(),
            wall(12.0, rise).layout().clone(),
        );
        let found = line_break(&drawn, &built, 0, EyePlane::HORIZON, DVec3::ZERO).expect("reaches");
        let distance = 700.0_f64.hypot(12.0);
        assert!((found.break_rad - (rise / distance).atan()).abs() < 1e-12);
        assert!((found.break_px - rise / 0.5).abs() < 1e-9);
        // Above its circle a level line turns by the angle to the side times that up.
        assert!(found.kink_rad.abs() < 1.01 * 12.0 * rise.abs() / (700.0 * 700.0));
    }
}

#[test]
fn a_wider_gap_breaks_a_slanting_line_by_its_slope() {
    // On one plane wall, a line of slope m drawn for a narrow gap starts on
    // the right panel where it would have passed, m·Δ lower than its straight
    // continuation reaches after a gap wider by Δ.
    let (narrow, wide, m) = (12.0, 17.0, 0.8_f64);
    let (drawn, built) = (
        wall(narrow, 0.0).layout().clone(),
        wall(wide, 0.0).layout().clone(),
    );
    // Through the point straight ahead, at the left panel's lit edge.
    let plane = EyePlane::at_slope(0.0, 0.0, m.atan());
    let found = line_break(&drawn, &built, 0, plane, DVec3::ZERO).expect("reaches");
    let line = DVec3::new(1.0, m, 0.0);
    let normal = line.cross(DVec3::new(0.0, 0.0, -700.0)).normalize();
    let normal = if normal.y < 0.0 { -normal } else { normal };
    let shown = DVec3::new(wide, m * narrow, -700.0);
    let expected = (normal.dot(shown) / shown.length()).asin();
    assert!(expected < 0.0 && (found.break_rad - expected).abs() < 1e-12);
    assert!((found.break_px - -m * (wide - narrow) / 0.5).abs() < 1e-9);
}

#[test]
fn moving_the_eye_is_moving_the_rig() {
    for (name, eye, settings) in [
        (
            "tram-cab",
            DVec3::new(0.0, 0.0, -60.0),
            [("seat.distance_mm", 560.0)],
        ),
        (
            "ferry-bridge",
            DVec3::new(0.0, 17.0, 0.0),
            [("seat.height_mm", 42.0)],
        ),
        (
            "rally-loft",
            DVec3::new(-21.0, 0.0, 0.0),
            [("seat.offset_mm", -21.0)],
        ),
    ] {
        let drawn = demo(name, &[]).layout().clone();
        let moved = with(name, &settings).layout().clone();
        let seams = at_seams(&drawn);
        let [left, right] = &seams[0];
        for slope in [-0.5, 0.0, 0.3] {
            let azimuth = (left.point_mm(left.edge_s_mm(LitEdge::Right), 0.0)).normalize();
            let azimuth = throughline::geometry::azimuth(azimuth);
            let plane = EyePlane::at_slope(azimuth, 0.02, slope);
            let by_eye = edge_break([left, right], drawn.seam(0), plane, eye);
            let by_rig = line_break(&drawn, &moved, 0, plane, DVec3::ZERO);
            let (one, other) = (by_eye.expect("reaches"), by_rig.expect("reaches"));
            assert!((one.break_rad - other.break_rad).abs() < 1e-12, "{name}");
            assert!((one.kink_rad - other.kink_rad).abs() < 1e-12, "{name}");
        }
        assert!(direction(0.0, 0.0).z < 0.0);
    }
}

#[test]
fn seams_seen_from_behind_have_no_breaks() {
    let rig = demo("tram-cab", &[]);
    let (layout, lines) = (rig.layout(), lines(&rig));
    let behind = DVec3::new(0.0, 0.0, -2000.0);
    assert_eq!(readings(&at_seams(layout), layout, &lines, behind), []);
}

fn causes_of(name: &str, settings: &[(&str, f64)]) -> Causes {
    let (drawn, built) = (demo(name, &[]), with(name, settings));
    let (seams, lines) = (at_seams(drawn.layout()), lines(&drawn));
    let seen = readings(&seams, built.layout(), &lines, DVec3::ZERO);
    likeliest(&drawn, &seams, &lines, &seen).expect("something breaks")
}

#[test]
fn a_single_wrong_value_is_found_with_its_size() {
    for (name, path, value, change) in [
        ("tram-cab", "seam.2.angle_deg", 48.6, 1.3),
        ("tram-cab", "seam.1.gap_mm", 4.0, 3.0),
        ("tram-cab", "seat.distance_mm", 560.0, -60.0),
        ("tram-cab", "panel.3.tilt_deg", -1.5, -1.5),
        ("ferry-bridge", "seam.1.fold_deg", 29.1, -2.0),
        ("ferry-bridge", "panel.2.curve_radius_mm", 1800.0, 300.0),
        ("ferry-bridge", "panel.1.roll_deg", 0.7, 0.7),
        ("rally-loft", "seam.1.step_mm", 8.0, 8.0),
        ("rally-loft", "seam.1.rise_mm", 1.0, -5.0),
        ("night-train", "seat.offset_mm", 5.0, 20.0),
        ("night-train", "panel.3.diagonal_in", 26.5, -0.5),
    ] {
        let causes = causes_of(name, &[(path, value)]);
        assert_eq!(causes.named.len(), 1, "{name}: {causes}");
        let cause = &causes.named[0];
        assert_eq!(cause.measure.path(), path, "{name}: {cause}");
        assert!((cause.change - change).abs() < 1e-3, "{name}: {cause}");
        assert!(cause.share > 0.9999, "{name}: {cause}");
    }
}

#[test]
fn two_mistakes_are_both_named_with_their_sizes() {
    let causes = causes_of(
        "ferry-bridge",
        &[("seam.1.fold_deg", 33.1), ("seam.2.rise_mm", 0.1)],
    );
    let named: Vec<_> = causes.named.iter().map(|c| c.measure.path()).collect();
    assert_eq!(named, ["seam.1.fold_deg", "seam.2.rise_mm"]);
    assert!((causes.named[0].change - 2.0).abs() < 1e-3, "{causes}");
    assert!((causes.named[1].change - 0.1).abs() < 1e-3, "{causes}");
    let [larger, smaller] = [0, 1].map(|i| causes.named[i].share);
    assert!(
        0.5 < larger && larger < 0.9999 && smaller < 0.5,
        "{causes:?}"
    );
    assert!(causes.are_all());
    assert_eq!(
        causes.to_string(),
        "a fold at seam 1 2.00° larger and a rise at seam 2 0.10 mm larger than the file says \
         explain 100 % of it together"
    );
}

/// A share is never rounded to what it isn't.
#[test]
fn what_three_mistakes_leave_open_is_not_called_all() {
    let causes = causes_of(
        "tram-cab",
        &[
            ("seam.1.angle_deg", 49.3),
            ("seam.2.rise_mm", 3.0),
            ("panel.3.roll_deg", 0.5),
        ],
    );
    assert_eq!(causes.named.len(), 2, "{causes}");
    assert!(!causes.are_all() && causes.share > 0.5, "{causes:?}");
    assert!(!causes.to_string().contains("100 %"), "{causes}");
}

/// A line that runs straight on has no kink and no break where a panel stands on
/// its head, for its columns are then counted to the left; a true break beside such
/// a panel has the same side as beside any other.
#[test]
fn lines_have_no_direction_where_a_panel_stands_on_its_head() {
    for panel in ["1", "2", "3"] {
        let turned = format!("panel.{panel}.roll_deg");
        let rig = with("tram-cab", &[(&turned, 180.0)]);
        let layout = rig.layout();
        let found = readings(&at_seams(layout), layout, &lines(&rig), DVec3::ZERO);
        assert!(found.len() > 20, "{turned}: {}", found.len());
        for reading in &found {
            let kink_deg = reading.found.kink_rad.to_degrees();
            assert!(kink_deg.abs() < 1e-6, "{turned}: {reading:?}");
            assert!(arcmin(reading.found.break_rad).abs() < 1e-6, "{reading:?}");
        }
        for rise_mm in [3.0, -3.0] {
            let built = with("tram-cab", &[(&turned, 180.0), ("seam.1.rise_mm", rise_mm)]);
            let built = built.layout();
            let found = line_break(layout, built, 0, EyePlane::HORIZON, DVec3::ZERO)
                .expect("the horizon reaches both edges");
            for value in [found.break_rad, found.break_px] {
                assert!(value * rise_mm > 0.0, "{turned}: {rise_mm} mm, {found:?}");
            }
        }
    }
}
