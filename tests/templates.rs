//! What stands on the templates is what hands at the rig find.

mod rigs;

use glam::{DVec2, DVec3};
use proptest::prelude::*;
use rigs::{along_mm, at, in_plan};
use throughline::geometry::Surface;
use throughline::plan::Leaf;
use throughline::rig::{Rig, Turn};
use throughline::template::{self, Wedge};

/// All texts of a sheet, in the order in which they were written.
fn text(leaf: &Leaf) -> String {
    let lines = leaf.drawing.labels.iter().flat_map(|label| &label.lines);
    lines.map(String::as_str).collect::<Vec<_>>().join(" ")
}

/// The sheet of a rig that says this; the first one, which lists the others, comes last.
fn sheet_with(rig: &Rig, words: &str) -> Option<String> {
    let leaves = template::leaves(rig);
    leaves
        .iter()
        .rev()
        .map(text)
        .find(|text| text.contains(words))
}

/// What stands between two texts.
fn between<'t>(text: &'t str, before: &str, after: &str) -> Option<&'t str> {
    text.split_once(before)?.1.split(after).next()
}

fn plan(point: DVec3) -> DVec2 {
    DVec2::new(point.x, point.z)
}

/// The middle rows of a seam's two panels, from the lit edges inwards, seen from
/// above: x along the seam, y towards the viewer, from the middle of the dark.
fn seen_from_above(rig: &Rig, seam: usize, reach_mm: f64) -> [Vec<DVec2>; 2] {
    let [left, right] = rig.layout().seam(seam);
    let row = |surface: &Surface, from: f64, inwards: f64| -> Vec<DVec2> {
        let share = reach_mm / along_mm(surface, 0.0, surface.pixels[0]);
        let across = |step: i32| from + inwards * share.min(1.0) * f64::from(step) / 2000.0;
        (0..=2000)
            .map(|step| plan(at(surface, across(step), 0.5)))
            .collect()
    };
    let rows = [row(left, 1.0, -1.0), row(right, 0.0, 1.0)];
    // Each surface's direction at its lit edge, from left to right.
    let ways = [
        (rows[0][0] - rows[0][1]).normalize(),
        (rows[1][1] - rows[1][0]).normalize(),
    ];
    let along = (ways[0] + ways[1]).normalize();
    let towards = along.perp();
    let middle = (rows[0][0] + rows[1][0]) / 2.0;
    rows.map(|row| {
        let turned =
            |point: DVec2| DVec2::new((point - middle).dot(along), (point - middle).dot(towards));
        row.into_iter().map(turned).collect()
    })
}

/// How far a card's point stands in front of the glass; `None` beside it.
fn clear_mm(point: DVec2, glass: &[DVec2]) -> Option<f64> {
    let pair = glass.windows(2).find(|pair| {
        let [low, high] = [pair[0].x.min(pair[1].x), pair[0].x.max(pair[1].x)];
        (low..=high).contains(&point.x)
    })?;
    let share = (point.x - pair[0].x) / (pair[1].x - pair[0].x);
    Some(point.y - pair[0].lerp(pair[1], share).y)
}

const ROOM_MM: DVec2 = DVec2::new(277.0, 110.0);

/// A rig with a seam's turn changed.
fn folded(rig: &Rig, seam: usize, by_deg: f64) -> Option<Rig> {
    let mut parts = rig.parts().clone();
    let turn = &mut parts.seams[seam].turn;
    *turn = match *turn {
        Turn::AngleDeg(deg) => Turn::AngleDeg(deg + by_deg),
        Turn::FoldDeg(deg) => Turn::FoldDeg(deg + by_deg),
    };
    Rig::new(parts).ok()
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(40)
    })]

    /// A wedge lies on the glass of its own rig, and touches another where its sheet says.
    #[test]
    fn a_wedge_fits_and_its_misfits_say_which_way(rig in rigs::level(), by_deg in 1.0..3.0f64) {
        for seam in 0..rig.seams().len() {
            let Some(wedge) = Wedge::of(&rig, seam, ROOM_MM) else {
                continue;
            };
            let glass = seen_from_above(&rig, seam, 170.0);
            for (contact, glass) in wedge.contact_mm.iter().zip(&glass) {
                for pair in contact.windows(2) {
                    for point in [0.3, 0.6, 1.0].map(|share| pair[0].lerp(pair[1], share)) {
                        let clear = clear_mm(point, glass).expect("beside the glass");
                        prop_assert!(clear.abs() < 0.01, "{point}: {clear}");
                    }
                }
                prop_assert!(contact[0].distance(glass[0]) < 1e-3);
            }
            let page = sheet_with(&rig, &format!("Wedge for seam {}:", seam + 1)).expect("a sheet");
            for by_deg in [by_deg, -by_deg] {
                let Some(built) = folded(&rig, seam, by_deg) else {
                    continue;
                };
                let glass = seen_from_above(&built, seam, 200.0);
                let outer_touch = [0, 1].map(|side| {
                    let contact = &wedge.contact_mm[side];
                    let clear = |point: DVec2| clear_mm(point, &glass[side]);
                    // A corner may stand a little beside the lit edge of the other rig.
                    let within = [0.01, 0.2].map(|share| contact[0].lerp(contact[1], share));
                    let inner = within.into_iter().chain(contact[1..].iter().copied()).find_map(clear);
                    let outer = contact.iter().rev().copied().find_map(clear);
                    inner.zip(outer).map(|(inner, outer)| outer < inner)
                });
                for touches in outer_touch.into_iter().flatten() {
                    let what = if touches { "outer ends" } else { "inner corners" };
                    let says = between(&page, &format!("only its {what} touch, "), ".");
                    let further = if by_deg > 0.0 { "in further" } else { "in less far" };
                    prop_assert!(says.is_some_and(|says| says.contains(further)), "{says:?} {by_deg}");
                }
            }
        }
    }

    /// The height at which a leaning panel's wedge is held is the middle of what both
    /// edges reach.
    #[test]
    fn a_wedge_is_held_where_both_panels_are_lit(rig in rigs::ordinary()) {
        for seam in 0..rig.seams().len() {
            if Wedge::of(&rig, seam, ROOM_MM).is_none() {
                continue;
            }
            let page = sheet_with(&rig, &format!("Wedge for seam {}:", seam + 1)).expect("a sheet");
            let name = &rig.panels()[seam].name;
            let says = between(&page, "hold it level, ", ", from your side").expect("a place");
            let Some((mm, way)) = says.split_once(" mm ") else {
                prop_assert!(false, "{says}");
                continue;
            };
            let sign = if way.starts_with("above") { 1.0 } else { -1.0 };
            let place = format!("the middle of the right lit edge of {name}");
            prop_assert!(way.ends_with(&place), "{}", way);
            let [left, right] = rig.layout().seam(seam);
            let ends = [(left, 1.0), (right, 0.0)]
                .map(|(surface, across)| [1.0, 0.0].map(|down| at(surface, across, down).y));
            let height = (ends[0][0].max(ends[1][0]) + ends[0][1].min(ends[1][1])) / 2.0;
            let share = 0.5 - sign * mm.parse::<f64>().expect("a number") / left.size_mm[1];
            let off = at(left, 1.0, share).y - height;
            prop_assert!(off.abs() < 0.51, "{says}: {off}");
        }
    }

    /// The panel that a strip calls nearer comes nearer with the step.
    #[test]
    fn the_step_brings_the_named_panel_nearer(rig in rigs::level()) {
        let strips: Vec<String> = (template::leaves(&rig).iter().map(text))
            .filter(|text| text.starts_with("Strips") || text.contains("Strips for the dark"))
            .collect();
        for seam in 0..rig.seams().len() {
            let mut parts = rig.parts().clone();
            let step = std::mem::replace(&mut parts.seams[seam].step_mm, 0.0);
            let Ok(flush) = Rig::new(parts) else {
                continue;
            };
            if step == 0.0 {
                continue;
            }
            // Towards the viewer, how far the right lit edge stands in front of the left.
            let ahead = |rig: &Rig| {
                let [left, right] = rig.layout().seam(seam);
                let apart = in_plan(at(right, 0.0, 0.5) - at(left, 1.0, 0.5));
                let towards = left.normal(left.size_mm[0] / 2.0) + right.normal(-right.size_mm[0] / 2.0);
                apart.dot(towards.normalize())
            };
            let nearer = ahead(&rig) - ahead(&flush);
            prop_assert!((nearer.abs() - step.abs()).abs() < 1e-6);
            let name = &rig.panels()[if nearer > 0.0 { seam + 1 } else { seam }].name;
            let words = format!("step {:.2} mm: {name} is nearer to you", step.abs());
            prop_assert!(strips.iter().any(|text| text.contains(&words)), "{words}: {strips:?}");
        }
    }

    /// The eye stands where the first sheet says.
    #[test]
    fn the_eye_is_where_the_words_say(rig in rigs::ordinary()) {
        let page = sheet_with(&rig, "The seat").expect("a cover");
        let says = between(&page, "The eye is ", " its middle.").expect("a sentence");
        let facing = rig.seat().view;
        let middle = rig.views().iter().find(|view| view.id == facing).expect("there").middle_mm();
        for (off, words) in [(-middle.y, ["above", "below"]), (-middle.x, ["to the right of", "to the left of"])] {
            let way = words[usize::from(off < 0.0)];
            let words = format!("{:.1} mm {way}", off.abs());
            prop_assert!(off.abs() < 0.06 || says.contains(&words), "{says}: {words}");
        }
        prop_assert!(says.contains(&format!("{:.1} mm from the glass", -middle.z)), "{says}");
    }
}
