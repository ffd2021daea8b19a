//! A redraw of what changed, and a redraw in parts, equal a full redraw on every rig
//! that the reader accepts.

mod wild;

use proptest::prelude::*;
use throughline::pattern::{Guides, Layers, Mark, Pattern};
use throughline::raster::{Picture, draw, update};
use throughline::rig::{PxRect, Rig, read};
use throughline::typeset::Typesetter;

fn whole(picture: &Picture) -> PxRect {
    let [w, h] = picture.size_px();
    PxRect { x: 0, y: 0, w, h }
}

/// How many pixels of two pictures of one size differ.
fn differing(one: &Picture, other: &Picture) -> usize {
    let [one, other] = [one, other].map(|picture| picture.bytes().as_chunks::<4>().0);
    one.iter().zip(other).filter(|(a, b)| a != b).count()
}

fn drawn(marks: &[Mark], size_px: [u32; 2]) -> Picture {
    let mut picture = Picture::new(size_px);
    let all = whole(&picture);
    draw(marks, &mut picture, all);
    picture
}

/// The same in rectangles of `across` columns and `down` rows.
fn drawn_in_parts(marks: &[Mark], size_px: [u32; 2], [across, down]: [u32; 2]) -> Picture {
    let mut picture = Picture::new(size_px);
    let all = whole(&picture);
    for y in (0..all.h).step_by(down as usize) {
        for x in (0..all.w).step_by(across as usize) {
            let part = PxRect {
                x,
                y,
                w: across,
                h: down,
            };
            if let Some(part) = part.intersection(all) {
                draw(marks, &mut picture, part);
            }
        }
    }
    picture
}

/// How many pixels a picture of `before` that was updated to `after` differs from
/// one of `after`, and how many one that was drawn in parts.
fn check(before: &Rig, after: &Rig, layers: Layers, part_px: [u32; 2]) -> [usize; 2] {
    let (guides, mut typesetter) = (Guides::of(before), Typesetter::new());
    let [old, new] = [before, after].map(|rig| Pattern::new(rig, &guides, layers, &mut typesetter));
    let size_px = before.canvas().size_px;
    let full = drawn(new.marks(), size_px);
    let mut updated = drawn(old.marks(), size_px);
    update(old.marks(), new.marks(), &mut updated);
    let in_parts = drawn_in_parts(new.marks(), size_px, part_px);
    [differing(&updated, &full), differing(&in_parts, &full)]
}

proptest! {
    #![proptest_config(ProptestConfig {
        max_global_rejects: 1_000_000,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_nudge_of_any_rig_is_redrawn_as_a_full_redraw_draws_it(
        case in wild::case(),
        part_px in [5u32..90, 5u32..90],
    ) {
        let Some(case) = case else {
            return Err(TestCaseError::reject("no rig"));
        };
        let differing = check(&case.before, &case.after, case.layers, part_px);
        prop_assert_eq!(differing, [0, 0], "pixels updated and in parts");
    }
}

/// Rigs and nudges found by the property above, and the parts to draw them in: each
/// showed a flaw once.
#[test]
fn what_was_once_redrawn_otherwise_is_redrawn_as_a_full_redraw_draws_it() {
    let five = include_str!("data/redraw/five-panels.toml");
    let half = include_str!("data/redraw/half-width-radius.toml");
    let four = include_str!("data/redraw/four-columns.toml");
    let six = include_str!("data/redraw/six-columns.toml");
    let cases: [(&str, &[[&str; 2]]); 4] = [
        (
            five,
            &[
                ["panel.1.tilt_deg", "4.27381473691442"],
                ["panel.4.name", "p3'"],
                ["panel.4.size_mm", "[1.0, 27.977586576663718]"],
            ],
        ),
        (half, &[["panel.2.tilt_deg", "0.4"]]),
        (four, &[["panel.1.tilt_deg", "-30.379983190500536"]]),
        (six, &[["panel.1.tilt_deg", "-0.06"]]),
    ];
    for (text, nudge) in cases {
        let nudge: Vec<_> = nudge
            .iter()
            .map(|pair| pair.map(str::to_owned).into())
            .collect();
        let [before, after] = [&[], nudge.as_slice()]
            .map(|settings| read(text, "rig.toml", settings).expect("a sound rig"));
        for part_px in [[1, 60], [3, 16], [10, 7]] {
            let differing = check(&before, &after, Layers::ALL, part_px);
            assert_eq!(differing, [0, 0], "updated and in parts, {text}");
        }
    }
}
