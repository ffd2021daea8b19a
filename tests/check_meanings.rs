//! What `check` takes common mistakes for, and that following it ends the finding;
//! rigs as people build them are taken for none.

mod rigs;
#[allow(dead_code, reason = "what is drawn of a rig is not checked here")]
mod wild;

use std::fs;

use proptest::prelude::*;
use throughline::check::{CODES, Finding, findings};
use throughline::rig::{self, Bezel, Panel, Parts, Rig, Seam, Seat, Size, Turn, ViewId};

/// The codes of what is meant otherwise, or has to be told.
const MEANINGS: [&str; 8] = [
    "bezel-in-other-unit",
    "curve-too-tight",
    "desktop-order",
    "height-from-floor",
    "no-bezels",
    "size-in-other-unit",
    "turn-inside",
    "turn-outward",
];

fn broken(name: &str) -> Rig {
    let text = fs::read_to_string(format!("tests/data/check/broken/{name}.toml")).expect(name);
    rig::read(&text, name, &[]).unwrap_or_else(|error| panic!("{error}"))
}

fn of_code(rig: &Rig, code: &str) -> Vec<Finding> {
    let found = findings(rig, None).into_iter();
    found.filter(|finding| finding.code == code).collect()
}

/// The number behind some words.
fn after(text: &str, words: &str) -> f64 {
    let (_, rest) = text.split_once(words).unwrap_or_else(|| panic!("{text}"));
    let end = rest.find(|c: char| !(c.is_ascii_digit() || ".-".contains(c)));
    let number = rest[..end.unwrap_or(rest.len())].trim_end_matches('.');
    number.parse().unwrap_or_else(|_| panic!("{text}"))
}

#[test]
fn every_meaning_is_a_code() {
    for code in MEANINGS {
        assert!(CODES.contains(&code), "{code}");
    }
}

#[test]
fn each_says_what_is_meant_where() {
    let cases: &[(&str, &str, &[&str])] = &[
        // 23.5 in x 25.4 and 13.2 in x 25.4.
        (
            "size-in-inches",
            "panel.1.size_mm",
            &["23.5 x 13.2 inches are `size_mm` = [596.9, 335.3]."],
        ),
        (
            "size-in-centimetres",
            "panel.1.size_mm",
            &["59.8 x 33.6 centimetres are `size_mm` = [598.0, 336.0]."],
        ),
        ("size-too-fine", "panel.1.size_mm", &["measure the lit"]),
        // 686 / 25.4.
        (
            "diagonal-in-millimetres",
            "panel.1.diagonal_in",
            &["686 millimetres are `diagonal_in` = 27.0."],
        ),
        (
            "diagonal-in-centimetres",
            "panel.1.diagonal_in",
            &["centimetres, give inches, `diagonal_in` = 27.0;"],
        ),
        (
            "distance-in-feet",
            "seat.distance_mm",
            &["2 metres are 2000.0 mm and 2 feet are 609.6 mm."],
        ),
        (
            "bezel-in-centimetres",
            "panel.1.bezel_mm",
            &["0.75 centimetres are 7.5 mm"],
        ),
        (
            "desktop-order",
            "panel.1.desktop_px",
            &[
                "panel \"quay\" lies to the right of \"jib\"",
                "`desktop_px` = [-1920, 0] for \"quay\"",
                "`desktop_px` = [1920, 0] for \"hold\"",
            ],
        ),
        ("no-bezels", "panel.1.bezel_mm", &["edge of the case"]),
        // atan(1180 / 620) is 62.3 degrees.
        (
            "height-from-floor",
            "seat.height_mm",
            &["above the floor", "62 degrees", "counts from that view's"],
        ),
        (
            "turns-outward",
            "seam.1.angle_deg",
            &["panel \"quay\"", "write angle_deg = 47.3,"],
        ),
        (
            "turn-inside",
            "seam.1.angle_deg",
            &["angle_deg = 180 - 125 = 55."],
        ),
        (
            "radius-is-diagonal",
            "panel.1.curve_radius_mm",
            &["its diagonal in millimetres", "1500 for \"1500R\""],
        ),
        (
            "refresh-twice",
            "panel.1.refresh_hz",
            &["stands for 2 of the faster", "steady"],
        ),
    ];
    for (name, subject, words) in cases {
        let found = findings(&broken(name), None).remove(0);
        assert_eq!(found.subject.to_string(), *subject, "{name}");
        for word in *words {
            assert!(
                found.text.contains(word),
                "{name}: {word} in {}",
                found.text
            );
        }
    }
}

/// The rates of two panels, and what is said of them.
fn rates(one: f64, other: f64) -> String {
    let mut parts = broken("refresh-twice").into_parts();
    parts.panels.truncate(2);
    parts.seams.truncate(1);
    parts.panels[0].refresh_hz = Some(one);
    parts.panels[1].refresh_hz = Some(other);
    let rig = Rig::new(parts).expect("a rig");
    of_code(&rig, "refresh-differs").remove(0).text
}

#[test]
fn a_multiple_is_steady_and_nearly_one_slips() {
    for (one, other) in [
        (120.0, 60.0),
        (60.0, 120.0),
        (59.951, 119.903),
        (48.0, 144.0),
    ] {
        let text = rates(one, other);
        assert!(text.contains("steady"), "{text}");
        assert!(
            !text.contains("stutters") && !text.contains("slip"),
            "{text}"
        );
    }
    assert!(rates(48.0, 144.0).contains("stands for 3 of"));
    // 120 - 2 x 59.94 is 0.12: a frame in 8.3 s.
    let text = rates(59.94, 120.0);
    assert!(text.contains("slip by a frame every 8.3 s"), "{text}");
    let text = rates(60.0, 144.0);
    assert!(
        text.contains("84 frames a second") && !text.contains("steady"),
        "{text}"
    );
}

#[test]
fn the_order_told_ends_the_finding() {
    let corners = [[3840, 40], [0, 0], [1920, -20], [-5000, 7], [-3080, 0]];
    let text = |corners: &[[i32; 2]]| {
        let mut text =
            "format = 1\nname = \"x\"\n[seat]\nview = \"p2/1\"\ndistance_mm = 900\n".to_owned();
        for (index, [x, y]) in corners.iter().enumerate() {
            text += &format!(
                "[[panel]]\nname = \"p{index}\"\npixels = [1920, 1080]\ndiagonal_in = 24\n\
                 desktop_px = [{x}, {y}]\n"
            );
        }
        text + &"[[seam]]\nangle_deg = 30\ngap_mm = 5\n".repeat(corners.len() - 1)
    };
    let read = |corners: &[[i32; 2]]| rig::read(&text(corners), "order", &[]).expect("a rig");
    let told = of_code(&read(&corners), "desktop-order").remove(0).text;
    let mut followed = corners;
    for (index, corner) in followed.iter_mut().enumerate() {
        let mut lines = told.split("`desktop_px` = [").skip(1);
        let line = lines.find(|line| {
            line.split(']')
                .nth(1)
                .is_some_and(|rest| rest.starts_with(&format!(" for \"p{index}\"")))
        });
        if let Some(line) = line {
            let (x, y) = line.split_once(']').unwrap().0.split_once(", ").unwrap();
            *corner = [x.parse().unwrap(), y.parse().unwrap()];
        }
    }
    assert_ne!(followed, corners);
    assert_eq!(of_code(&read(&followed), "desktop-order"), []);
    // Two rows of two are an order, too.
    let two_rows = read(&[[0, 0], [1920, 0], [0, 1080], [1920, 1080]]);
    assert_eq!(of_code(&two_rows, "desktop-order"), []);
}

#[test]
fn one_bezel_one_gap_or_one_panel_is_enough() {
    let none = |change: fn(&mut Parts)| {
        let mut parts = broken("no-bezels").into_parts();
        change(&mut parts);
        of_code(&Rig::new(parts).expect("a rig"), "no-bezels").len()
    };
    assert_eq!(none(|_| ()), 1);
    assert_eq!(none(|parts| parts.panels[2].bezel_mm.right = 6.0), 0);
    assert_eq!(none(|parts| parts.seams[0].gap_mm = 3.0), 0);
    assert_eq!(none(|parts| parts.seams[0].gap_mm = -3.0), 0);
    let alone = none(|parts| {
        parts.panels.truncate(1);
        parts.seams.clear();
        parts.seat.view.panel = 0;
    });
    assert_eq!(alone, 0);
    // Projected pictures touch.
    let projected = none(|parts| {
        parts.seat.distance_mm = 2500.0;
        for panel in &mut parts.panels {
            panel.size = Size::DiagonalIn(90.0);
        }
    });
    assert_eq!(projected, 0);
}

/// A panel of 27 inches at a seat that faces it squarely.
fn one_panel(distance_mm: f64, tilt_deg: f64) -> Rig {
    let mut panel = Panel::new("one", [2560, 1440], Size::DiagonalIn(27.0));
    panel.tilt_deg = tilt_deg;
    panel.bezel_mm = Bezel {
        left: 8.0,
        right: 8.0,
        top: 8.0,
        bottom: 20.0,
    };
    let view = ViewId { panel: 0, view: 0 };
    Rig::new(Parts {
        window: None,
        name: "one".to_owned(),
        seat: Seat {
            view,
            distance_mm,
            height_mm: 0.0,
            offset_mm: 0.0,
        },
        panels: vec![panel],
        seams: Vec::new(),
    })
    .expect("a rig")
}

/// Three panels of one kind, the sides turned to the eye, in a unit's numbers.
fn three(size: Size, pixels: [u32; 2], distance_mm: f64) -> Rig {
    let panel = |name: &str| {
        let mut panel = Panel::new(name, pixels, size);
        panel.bezel_mm = Bezel {
            left: 7.0,
            right: 7.0,
            top: 7.0,
            bottom: 12.0,
        };
        panel
    };
    let panels = vec![panel("a"), panel("b"), panel("c")];
    let half = panels[0].size_mm()[0] / 2.0;
    let turn = Turn::AngleDeg((2.0 * (half / distance_mm).atan().to_degrees()).min(80.0));
    let view = ViewId { panel: 1, view: 0 };
    Rig::new(Parts {
        window: None,
        name: "three".to_owned(),
        seat: Seat {
            view,
            distance_mm,
            height_mm: 0.0,
            offset_mm: 0.0,
        },
        panels,
        seams: vec![Seam::new(turn), Seam::new(turn)],
    })
    .expect("a rig")
}

fn kind() -> impl Strategy<Value = (f64, [u32; 2], f64)> {
    let pixels = proptest::sample::select(
        &[
            [1920, 1080],
            [2560, 1440],
            [3840, 2160],
            [1200, 1920],
            [3440, 1440],
            [5120, 1440],
        ][..],
    );
    (15.0..49.0f64, pixels, 0.0..1.0f64).prop_map(|(diagonal, pixels, far)| {
        // Nobody sits nearer than a half to the width of a wide panel.
        let panel = Panel::new("", pixels, Size::DiagonalIn(diagonal));
        let [w, h] = panel.size_mm();
        let near = 500f64.max(0.6 * w).max(0.9 * w.min(h));
        (diagonal, pixels, near + far * 600.0)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn ordinary_rigs_are_not_misread(rig in rigs::ordinary()) {
        let found = findings(&rig, None);
        prop_assert!(
            found.iter().all(|finding| !MEANINGS.contains(&finding.code)),
            "{found:?}"
        );
    }

    #[test]
    fn displays_of_any_usual_size_are_not_misread((diagonal, pixels, distance) in kind()) {
        let given = three(Size::DiagonalIn(diagonal), pixels, distance);
        let [w, h] = given.panels()[0].size_mm();
        for size in [Size::DiagonalIn(diagonal), Size::LitMm([w, h])] {
            let found = findings(&three(size, pixels, distance), None);
            prop_assert!(
                found.iter().all(|finding| !MEANINGS.contains(&finding.code)),
                "{found:?}"
            );
        }
    }

    #[test]
    fn sizes_in_another_unit_are_told_in_theirs((diagonal, pixels, distance) in kind()) {
        let given = three(Size::DiagonalIn(diagonal), pixels, distance);
        let [w, h] = given.panels()[0].size_mm();
        for (unit, mm) in [("inches", 25.4), ("centimetres", 10.0)] {
            let size = [w, h].map(|side| (side / mm * 100.0).round() / 100.0);
            let found = of_code(&three(Size::LitMm(size), pixels, distance), "size-in-other-unit");
            // In centimetres the coarsest are as fine as a tablet's in millimetres.
            if w / mm / f64::from(pixels[0]) > 0.059 {
                continue;
            }
            prop_assert_eq!(found.len(), 3);
            let told = after(&found[0].text, &format!("{unit} are `size_mm` = ["));
            prop_assert!((told - w).abs() < 0.2, "{}: {} for {}", found[0].text, told, w);
        }
        // From 1000 on they are refused before.
        let typed = (diagonal * 25.4).round().min(999.0);
        let diagonal = typed / 25.4;
        let typed = three(Size::DiagonalIn(typed), pixels, distance);
        let found = of_code(&typed, "size-in-other-unit");
        prop_assert_eq!(found.len(), 3);
        let told = after(&found[0].text, "`diagonal_in` = ");
        prop_assert!((told - diagonal).abs() < 0.08, "{told} for {diagonal}");
    }

    /// Whatever the rig, what is said is said in whole sentences of finite numbers.
    #[test]
    fn any_rig_can_be_checked(case in wild::case()) {
        let Some(case) = case else { return Ok(()) };
        for rig in [&case.before, &case.after] {
            for finding in findings(rig, None) {
                let text = &finding.text;
                prop_assert!(!text.contains("NaN") && !text.contains("inf "), "{text}");
                prop_assert!(text.ends_with('.'), "{text}");
            }
        }
    }

    /// Numbers beside a limit are told on their side of it.
    #[test]
    fn what_is_outside_is_told_outside(power in -9.0..1.0f64) {
        let by = 10f64.powf(power);
        let told = |rig: &Rig, code: &str, words: &str| {
            after(&of_code(rig, code).remove(0).text, words)
        };
        let near = told(&one_panel(500.0 - by, 0.0), "viewing-distance", "The eye is ");
        prop_assert!(near < 500.0, "{near}");
        let far = told(&one_panel(1000.0 + by, 0.0), "viewing-distance", "The eye is ");
        prop_assert!(far > 1000.0, "{far}");
        let oblique = told(&one_panel(700.0, 45.0 + by), "view-oblique", "view \"one\" ");
        prop_assert!(oblique > 45.0, "{oblique}");
    }

    /// A radius that is refused is below the one that is asked for.
    #[test]
    fn a_refused_radius_is_below_the_least(width in 300.0..900.0f64, power in -9.0..1.0f64) {
        let mut parts = one_panel(700.0, 0.0).into_parts();
        let radius = width / 2.0 - 10f64.powf(power);
        parts.panels[0].size = Size::LitMm([width, 300.0]);
        parts.panels[0].curve_radius_mm = Some(radius);
        let flaw = Rig::new(parts).expect_err("too tight").text;
        let [found, least] = ["is ", "width, "].map(|words| after(&flaw, words));
        prop_assert!(found < least, "{flaw}");
    }
}
