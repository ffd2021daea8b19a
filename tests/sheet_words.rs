//! What the sheet says of a fit's worst pixel and of level lines is what the
//! directions of the rig's own points and of the model's say.

mod rigs;

use glam::DVec3;
use proptest::prelude::*;
use rigs::ordinary;
use throughline::fit::{FlatViews, Free, SingleView, Worst};
use throughline::geometry::View;
use throughline::rig::Rig;
use throughline::sheet::{Sheet, Units};

/// A direction's height above eye level and its turn to the right, in degrees.
fn seen_deg(v: DVec3) -> [f64; 2] {
    [(v.y / v.length()).asin(), v.x.atan2(-v.z)].map(f64::to_degrees)
}

/// A point of a screen of the flat model, found by walking from the middle of the
/// facing screen from case to case.
fn on_screen(model: &FlatViews, view: usize, u: f64, v: f64) -> DVec3 {
    let half = model.width_mm / 2.0 + model.bezel_mm;
    let side = if view < model.facing { -1.0 } else { 1.0 };
    // Heading along a screen, outwards; it turns towards the viewer, who is at +z.
    let heading = |turns: f64| {
        let (sin, cos) = (turns * model.angle_rad).sin_cos();
        DVec3::new(side * cos, 0.0, sin)
    };
    let mut middle = DVec3::new(0.0, 0.0, -model.distance_mm);
    let away = view.abs_diff(model.facing);
    for turns in 0..away {
        middle += heading(turns as f64) * half;
        middle += heading(turns as f64 + 1.0) * half;
    }
    let right = heading(away as f64) * side;
    middle + right * ((u - 0.5) * model.width_mm) + DVec3::Y * ((0.5 - v) * model.height_mm)
}

/// The direction of a canvas pixel in a pinhole camera over the whole canvas.
fn in_one_picture(rig: &Rig, model: &SingleView, view: &View, u: f64, v: f64) -> DVec3 {
    let [width, height] = rig.canvas().size_px.map(f64::from);
    let lit = rig.canvas().panels[view.id.panel];
    let share = f64::from(lit.w) / f64::from(view.shares);
    let x = f64::from(lit.x) + (f64::from(view.id.view) + u) * share;
    let y = f64::from(lit.y) + v * f64::from(lit.h);
    let focal = width / 2.0 / (model.horizontal_rad / 2.0).tan();
    DVec3::new(x - width / 2.0, height / 2.0 - y, -focal)
}

/// The text between two words.
fn between<'a>(text: &'a str, from: &str, to: &str) -> Option<&'a str> {
    let (_, rest) = text.split_once(from)?;
    Some(rest.split_once(to)?.0)
}

fn view_named(rig: &Rig, views: &[View], name: &str) -> usize {
    let named = |view: &View| {
        let panel = &rig.panels()[view.id.panel];
        let alone = panel.views == 1;
        name == if alone {
            panel.name.clone()
        } else {
            format!("{}/{}", panel.name, view.id.view + 1)
        }
    };
    views.iter().position(named).expect(name)
}

/// Holds a section's words on its worst pixel against the directions of that
/// pixel: as seen, and in the model.
fn check_worst(
    text: &str,
    rig: &Rig,
    worst: &Worst,
    seen: impl Fn(usize, f64, f64) -> DVec3,
    modelled: impl Fn(usize, f64, f64) -> DVec3,
) {
    let views = rig.views();
    let view = view_named(rig, &views, between(text, " of ", ":").expect(text));
    assert_eq!(view, worst.view, "{text}");
    let place = between(text, " at the ", " of ").expect(text);
    for (word, is_there) in [
        ("left", worst.u < 0.2),
        ("right", worst.u > 0.8),
        ("top", worst.v < 0.2),
        ("bottom", worst.v > 0.8),
    ] {
        assert_eq!(place.contains(word), is_there, "{place}: {worst:?}");
    }

    let (seen, modelled) = (
        seen(view, worst.u, worst.v),
        modelled(view, worst.u, worst.v),
    );
    let told_deg: f64 = between(text, "by ", " degrees")
        .expect(text)
        .parse()
        .expect(text);
    let apart_deg = seen.angle_between(modelled).to_degrees();
    assert!((apart_deg - told_deg).abs() < 0.006, "{apart_deg}: {text}");

    let [[up, turn], [model_up, model_turn]] = [seen, modelled].map(seen_deg);
    let higher = up - model_up;
    let turned = (turn - model_turn + 540.0).rem_euclid(360.0) - 180.0;
    let right = turned * up.to_radians().cos();
    let mut named = 0;
    for (words, by) in [
        ("too high", higher),
        ("too low", -higher),
        ("too far right", right),
        ("too far left", -right),
    ] {
        let Some(before) = text.split_once(words).map(|(before, _)| before.trim_end()) else {
            continue;
        };
        let number = before.trim_end_matches(" degrees").rsplit(' ').next();
        let number: f64 = number.and_then(|n| n.parse().ok()).expect(text);
        assert!((number - by).abs() < 0.006, "{words} by {by}: {text}");
        named += 1;
    }
    assert!(named >= 1, "{text}");
    if higher.abs().min(right.abs()) > 0.06_f64.max(0.06 * higher.abs().max(right.abs())) {
        assert_eq!(named, 2, "{text}");
    }
}

/// Holds a section's words on level lines against how much higher the eye sees
/// each view's ends than the model has them.
fn check_level(
    section: &str,
    rig: &Rig,
    seen: impl Fn(usize, f64) -> DVec3,
    modelled: impl Fn(usize, f64) -> DVec3,
) -> bool {
    let views = rig.views();
    let off = |view: usize, u: f64| seen_deg(seen(view, u))[0] - seen_deg(modelled(view, u))[0];
    let step = |right: usize| off(right, 0.0) - off(right - 1, 1.0);
    let largest = (1..views.len())
        .map(|right| step(right).abs())
        .fold(0.0, f64::max);
    let Some(text) = between(section, "Level lines step ", ". ") else {
        assert!(
            largest < 0.1001,
            "a step of {largest} goes unsaid: {section}"
        );
        return false;
    };
    let (from, to) = (
        between(text, " from ", " to ").expect(text),
        text.rsplit(' ').next(),
    );
    let [from, to] = [from, to.expect(text)].map(|name| view_named(rig, &views, name));
    assert_eq!(from + 1, to, "{text}");
    let told: f64 = between(text, " by ", " degrees")
        .expect(text)
        .parse()
        .expect(text);
    let told = if text.starts_with("up ") { told } else { -told };
    assert!(
        text.starts_with("up ") || text.starts_with("down "),
        "{text}"
    );
    assert!((told - step(to)).abs() < 0.006, "{}: {text}", step(to));
    assert!((told.abs() - largest).abs() < 0.006, "{largest}: {text}");
    true
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(16)
    })]

    #[test]
    fn what_is_said_of_a_fit_is_what_the_eye_sees(rig in ordinary()) {
        let views = rig.views();
        let sheet = Sheet::of(&rig, Free::default());
        let page = sheet.page(Units::Millimetres, false);
        // One line, whatever the page's width.
        let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
        let (_, fits) = page.split_once("ONE CAMERA A SCREEN").expect("a section");
        let (flat, rest) = fits.split_once("ONE CAMERA FOR ALL").expect("a section");
        let worst = |section: &str| {
            between(section, "Worst, ", ". ").map(|text| format!("{text}."))
        };

        // A program with one camera a screen is fitted with the facing view's
        // middle straight ahead at eye level.
        let facing = views.iter().find(|view| view.id == rig.seat().view).expect("there");
        let shift = DVec3::new(facing.middle_mm().x, facing.middle_mm().y, 0.0);
        let fit = &sheet.flat_views;
        if fit.rms_rad.to_degrees() > 0.011 {
            check_worst(
                &worst(flat).expect("said"),
                &rig,
                &fit.worst,
                |view, u, v| views[view].point_mm(u, v) - shift,
                |view, u, v| on_screen(&fit.model, view, u, v),
            );
            check_level(
                flat,
                &rig,
                |view, u| views[view].point_mm(u, 0.5) - shift,
                |view, u| on_screen(&fit.model, view, u, 0.5),
            );
        }
        let fit = &sheet.single_view;
        let is_impossible = sheet.fov.whole_rad >= std::f64::consts::PI || fit.at_limit;
        prop_assert_eq!(is_impossible, rest.contains("One flat picture can't show this rig"));
        if !is_impossible && fit.rms_rad.to_degrees() > 0.011 {
            let model = |view: usize, u: f64, v: f64| {
                in_one_picture(&rig, &fit.model, &views[view], u, v)
            };
            let seen = |view: usize, u: f64, v: f64| views[view].point_mm(u, v);
            check_worst(&worst(rest).expect("said"), &rig, &fit.worst, seen, model);
            check_level(rest, &rig, |view, u| seen(view, u, 0.5), |view, u| model(view, u, 0.5));
        }
    }
}
