//! What the sheet says of eye level and of changes, against the geometry: points of
//! panels, looked at from the eye.

mod rigs;

use glam::DVec3;
use proptest::prelude::*;
use rigs::{at, in_plan, ordinary};
use throughline::fit::{FlatViewsFit, Free, Improvement, eye_level_row};
use throughline::geometry::{View, elevation};
use throughline::rig::{self, Rig};
use throughline::sheet::{Sheet, Units};

fn demo(name: &str, settings: &[(&str, &str)]) -> Rig {
    let mut demos = rig::demos().iter();
    let demo = demos.find(|demo| demo.name == name).expect("built in");
    let settings: Vec<(String, String)> = (settings.iter())
        .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
        .collect();
    rig::read(demo.text, demo.name, &settings).expect("a sound demo")
}

/// The section on one camera a screen, on one line.
fn section(rig: &Rig, units: Units) -> String {
    let page = Sheet::of(rig, Free::default()).page(units, false);
    let (_, section) = page.split_once("ONE CAMERA A SCREEN").expect("its section");
    let (section, _) = section.split_once("ONE CAMERA FOR ALL").expect("the next");
    section.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The number that follows some words.
fn after(text: &str, words: &str) -> Option<f64> {
    let (_, rest) = text.split_once(words)?;
    rest.trim_start()
        .split(' ')
        .next()?
        .trim_end_matches([',', '.'])
        .parse()
        .ok()
}

/// A view's middle row at a fraction of its width, and one a hair further right.
fn on_middle_row(view: &View, u: f64) -> [DVec3; 2] {
    let shares = f64::from(view.shares);
    [u, u + 1e-6].map(|u| {
        let across = (f64::from(view.id.view) + u) / shares;
        at(&view.surface, across, 0.5)
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(60)
    })]

    /// The row at which eye level is seen holds a point at the eye's height.
    #[test]
    fn eye_levels_row_is_at_the_eyes_height(rig in ordinary()) {
        for view in rig.views() {
            let row = eye_level_row(&view).expect("upright panels");
            let across = (f64::from(view.id.view) + 0.5) / f64::from(view.shares);
            let point = at(&view.surface, across, row / view.surface.pixels[1]);
            prop_assert!(point.y.abs() < 1e-9, "{point}");
        }
    }

    #[test]
    fn the_words_about_eye_level_are_what_the_eye_sees(rig in ordinary()) {
        let text = section(&rig, Units::Millimetres);
        let views = rig.views();
        let fit = FlatViewsFit::of(&rig, Free::default());
        let [middle, _] = on_middle_row(&views[fit.model.facing], 0.5);
        // Which lies below the eye where the eye is above it.
        let way = if middle.y < -0.05 { " mm above the middle of" } else { " mm below the middle of" };
        if middle.y.abs() > 0.05 {
            prop_assert!(text.contains(&format!("{:.1}{way}", middle.y.abs())), "{text}");
        }
        let off_deg = elevation(middle).to_degrees();
        // Advice that would make the picture worse is none.
        let helps = fit.eye_level.rms_rad > fit.rms_rad;
        prop_assert!(helps || !text.contains(" the panels by "), "{text}");
        if let Some(said) = after(&text, "its horizon lies") {
            prop_assert!((said - off_deg.abs()).abs() < 0.0051, "{said} of {off_deg}");
            let words: [&str; 3] = if off_deg < 0.0 {
                ["too low straight ahead", "Raise the panels", "lower the seat"]
            } else {
                ["too high straight ahead", "Lower the panels", "raise the seat"]
            };
            let told = if helps { 3 } else { 1 };
            for word in &words[..told] {
                prop_assert!(text.contains(word), "{word}: {text}");
            }
            // As the eye sees it: planes through two points of the row each.
            let mut most = 0.0_f64;
            for pair in views.windows(2) {
                let plane = |view: &View, u: f64| {
                    let [one, next] = on_middle_row(view, u);
                    next.cross(one).normalize()
                };
                let bend = plane(&pair[0], 1.0).angle_between(plane(&pair[1], 0.0));
                most = most.max(bend.to_degrees());
            }
            match after(&text, "and bends by") {
                Some(bend) => prop_assert!((bend - most).abs() < 0.0051, "{bend} of {most}"),
                None => prop_assert!(most < 0.1, "{most}"),
            }
            // Obeyed, nothing is left to say of it.
            let mut parts = rig.parts().clone();
            parts.seat.height_mm += middle.y;
            let level = FlatViewsFit::of(&Rig::new(parts).expect("faces the eye"), Free::default());
            prop_assert!((level.eye_level.rms_rad - level.rms_rad).abs() < 1e-7);
        } else {
            prop_assert!(off_deg.abs() < 0.1, "{off_deg}: {text}");
        }
    }

    /// What is advised keeps the span and is usable, and nothing is advised where
    /// nothing is wrong.
    #[test]
    fn a_change_that_is_advised_is_usable(rig in ordinary()) {
        let fit = FlatViewsFit::of(&rig, Free::default());
        let Some(change) = Improvement::of(&rig, &fit) else {
            return Ok(());
        };
        let mut parts = rig.parts().clone();
        change.measure.put(&mut parts, change.to);
        let changed = Rig::new(parts).expect("it can stand so");
        let after = FlatViewsFit::of(&changed, Free::default());
        prop_assert!(fit.rms_rad.to_degrees() >= 0.3);
        prop_assert!(after.rms_rad.to_degrees() < 1.0);
        let span = |rig: &Rig| {
            let last = rig.panels().len() - 1;
            let [from, to] = [(0, 0.0), (last, 1.0)].map(|(panel, across)| {
                in_plan(at(&rig.layout().surfaces()[panel], across, 0.5))
            });
            // All the way round would need more care, which these rigs don't.
            let angle = from.angle_between(to);
            if from.cross(to).y > 0.0 { std::f64::consts::TAU - angle } else { angle }
        };
        prop_assert!(span(&changed) >= 0.949 * span(&rig), "{} {}", span(&changed), span(&rig));
    }
}

/// The horizon that such a program draws over a cab whose eye is 60 mm high.
#[test]
fn eye_level_counts_in_the_verdict() {
    let rig = demo("tram-cab", &[]);
    let text = section(&rig, Units::Millimetres);
    assert!(
        text.contains("The screens fit, but not their height."),
        "{text}"
    );
    assert!(!text.contains("A good fit"), "{text}");
    // In closed form: a fold of 47.3°, seen 60 mm above from 620 mm.
    let slope = (60.0_f64 / 620.0).atan();
    let bend = 2.0 * (slope.sin() * (47.3_f64 / 2.0).to_radians().sin()).asin();
    let said = after(&text, "bends by").expect("a bend");
    assert!((said - bend.to_degrees()).abs() < 0.0051, "{said}");
    assert!((after(&text, "lies").unwrap() - slope.to_degrees()).abs() < 0.0051);
    let level = section(
        &demo("tram-cab", &[("seat.height_mm", "0")]),
        Units::Millimetres,
    );
    assert!(level.contains("A good fit"), "{level}");
    assert!(!level.contains("Raise"), "{level}");
}

#[test]
fn no_useless_change_is_advised_and_units_are_those_chosen() {
    for name in ["tram-cab", "rally-loft"] {
        let text = section(&demo(name, &[]), Units::Millimetres);
        assert!(!text.contains("The one change"), "{text}");
    }
    let spoilt = demo("tram-cab", &[("seam.1.rise_mm", "90")]);
    let inches = section(&spoilt, Units::Inches);
    let said = after(&inches, "the rise from left window to ahead").expect("the rise");
    assert!(said.abs() < 0.05, "{inches}");
    assert!(
        inches.contains(" in instead of 3.54 (seam.1.rise_mm="),
        "{inches}"
    );
}

#[test]
fn bounds_hold_answers_and_are_named() {
    let rig = demo("ferry-bridge", &[]);
    for free in [
        "angle,distance",
        "angle,distance,width",
        "angle,distance,bezel",
    ] {
        let free = free.parse().expect("can be freed");
        let sheet = Sheet::of(&rig, free);
        let model = sheet.flat_views.model;
        assert!(
            (0.0..=85.0).contains(&model.angle_rad.to_degrees()),
            "{model:?}"
        );
        assert!((149.9..=3000.1).contains(&model.distance_mm), "{model:?}");
        assert!((49.9..=3000.1).contains(&model.width_mm), "{model:?}");
        assert!((0.0..=300.0).contains(&model.bezel_mm), "{model:?}");
        let page = sheet.page(Units::Millimetres, false);
        let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
        for typed in &sheet.flat_views.at_limit {
            assert!(
                page.contains(&format!("the {} at ", typed.name())),
                "{page}"
            );
        }
        assert!(
            page.contains("hold this answer: the angle at 0 degrees"),
            "{page}"
        );
    }
}

#[test]
fn a_rig_that_no_flat_picture_shows_is_told() {
    let near = demo("tram-cab", &[("seat.distance_mm", "320")]);
    let page = Sheet::of(&near, Free::default()).page(Units::Millimetres, false);
    assert!(
        page.contains("One flat picture can't show this rig"),
        "{page}"
    );
    let page = Sheet::of(&demo("tram-cab", &[]), Free::default()).page(Units::Millimetres, false);
    assert!(!page.contains("can't show this rig"), "{page}");
}

/// A panel that stands on its side has columns that run level: no row is eye level.
#[test]
fn a_panel_on_its_side_has_no_row_of_eye_level() {
    let text = "format = 1\nname = \"One\"\n[seat]\nview = \"a\"\ndistance_mm = 600\n\
                height_mm = 20\n[[panel]]\nname = \"a\"\npixels = [1920, 1080]\n\
                diagonal_in = 24\nroll_deg = 90\n";
    let rig = rig::read(text, "one", &[]).expect("sound");
    assert_eq!(eye_level_row(&rig.views()[0]), None);
    let page = Sheet::of(&rig, Free::default()).page(Units::Millimetres, false);
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("above the middle of a A BAD fit"), "{page}");
    assert!(
        page.contains("don't lie on the canvas as the eye"),
        "{page}"
    );
}
