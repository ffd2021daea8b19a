//! A rung's label names the rig on which that rung runs straight: read from the
//! strokes and the letters that are drawn.

mod reading;
mod rigs;

use std::collections::BTreeSet;

use proptest::prelude::*;
use reading::{Drawn, Text, pattern, strokes, texts};
use rigs::{dark_in_plan_mm, ordinary};
use throughline::light::Colour;
use throughline::pattern::{Layer, Pattern};
use throughline::rig::{Rig, Turn};

/// Most that the rung of a true gap breaks, in arc-minutes: its label is rounded
/// to hundredths of a millimetre.
const GAP_ARCMIN: f64 = 0.1;
/// The same of a true fold, whose label is not rounded.
const FOLD_ARCMIN: f64 = 0.01;

/// Farthest that letters are set from the rung that they are meant for, in rows.
const SET_PX: f64 = 8.0;

/// A rung as drawn: the strokes on the left and on the right panel of a seam.
type Rung<'a> = [Drawn<'a>; 2];

/// The rungs of a seam in a colour: a stroke up to the left panel's right edge,
/// and the one from the right panel's left edge that is drawn next.
fn rungs<'a>(rig: &Rig, pattern: &'a Pattern, seam: usize, colour: Colour) -> Vec<Rung<'a>> {
    let drawn = strokes(rig, pattern);
    let pairs = drawn.windows(2).filter_map(|pair| {
        let [left, right] = [pair[0], pair[1]];
        let is_rung = (left.panel, right.panel) == (seam, seam + 1)
            && left.reaches()[1]
            && right.reaches()[0]
            && left.colour() == colour
            && right.colour() == colour;
        is_rung.then_some([left, right])
    });
    pairs.collect()
}

/// How far, in arc-minutes, a rung's right part lies at a column off the great
/// circle that continues the left one, on a rig that stands as `built`.
fn break_arcmin(built: &Rig, seam: usize, [left, right]: &Rung, column: u32) -> f64 {
    let [on_left, on_right] = built.layout().seam(seam);
    let last = on_left.pixels[0] as u32 - 1;
    // The last three columns' middles, continued to the lit edge.
    let [a, b, c] = [0, 1, 2].map(|back| {
        let at = last - back;
        on_left.point_px(f64::from(at) + 0.5, left.row(at))
    });
    let (step, bend) = (a - b, a - 2.0 * b + c);
    let point = a + 0.5 * step + 0.375 * bend;
    let normal = point.cross(step + bend).normalize();
    let seen = on_right.point_px(f64::from(column) + 0.5, right.row(column));
    (normal.dot(seen) / seen.length()).asin().to_degrees() * 60.0
}

/// The same of all rungs.
fn breaks_arcmin(built: &Rig, seam: usize, rungs: &[Rung], column: u32) -> Vec<f64> {
    let breaks = rungs.iter();
    breaks
        .map(|rung| break_arcmin(built, seam, rung, column))
        .collect()
}

/// The rung that a label stands at: the nearest at the label's end.
fn labelled<'a, 'b>(rungs: &'b [Rung<'a>], label: &Text, column: f64) -> usize {
    let off = |rung: &Rung| (rung[1].row(column.max(0.0) as u32) - label.row).abs();
    let nearest = (0..rungs.len()).min_by(|&a, &b| off(&rungs[a]).total_cmp(&off(&rungs[b])));
    let nearest = nearest.expect("a ladder has rungs");
    assert!(
        off(&rungs[nearest]) < SET_PX,
        "{label:?} is {} off",
        off(&rungs[nearest])
    );
    nearest
}

/// The rig with a seam's gap such that so much is dark there; by the secant.
fn with_dark_mm(rig: &Rig, seam: usize, dark_mm: f64) -> Rig {
    let with = |gap_mm: f64| {
        let mut parts = rig.parts().clone();
        parts.seams[seam].gap_mm = gap_mm;
        Rig::new(parts).expect("a little wider or narrower")
    };
    let mut gaps = [rig.seams()[seam].gap_mm, rig.seams()[seam].gap_mm + 1.0];
    for _ in 0..30 {
        let off = gaps.map(|gap| dark_in_plan_mm(&with(gap), seam) - dark_mm);
        if off[1].abs() < 1e-10 || off[0] == off[1] {
            break;
        }
        gaps = [
            gaps[1],
            gaps[1] - off[1] * (gaps[1] - gaps[0]) / (off[1] - off[0]),
        ];
    }
    with(gaps[1])
}

/// Asserts of the rungs' breaks that the labelled one alone is straight.
fn assert_straight(breaks_arcmin: &[f64], named: usize, most_arcmin: f64, label: &Text) {
    for (index, off) in breaks_arcmin.iter().enumerate() {
        if index == named {
            assert!(off.abs() < most_arcmin, "{label:?} breaks by {off}'");
        } else {
            assert!(
                off.abs() > 2.0 * most_arcmin,
                "{label:?}: another is off by {off}'"
            );
        }
    }
}

/// The colours of a seam's two ladders.
fn colours(pattern: &Pattern, seam: usize) -> Option<[Colour; 2]> {
    let of = |kind: &str| {
        let name = format!("ladder-{kind}-{}", seam + 1);
        let mut lines = pattern.lines().iter();
        Some(lines.find(|line| line.name == name)?.colour)
    };
    Some([of("bezel")?, of("fold")?])
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(24)
    })]

    #[test]
    fn a_gaps_rung_runs_straight_where_so_much_is_dark(rig in ordinary()) {
        let pattern = pattern(&rig, Layer::Ladders);
        let texts = texts(&rig, &pattern);
        for seam in 0..rig.seams().len() {
            let Some([colour, _]) = colours(&pattern, seam) else {
                continue;
            };
            let rungs = rungs(&rig, &pattern, seam, colour);
            prop_assert!(rungs.len() >= 5, "{} rungs", rungs.len());
            let pitch_mm = rig.panels()[seam + 1].pitch_mm()[0];
            let mut named = BTreeSet::new();
            let labels = texts.iter().filter(|text| {
                text.panel == seam + 1 && text.colour == colour
            });
            for label in labels {
                let after = |word: &str| {
                    let (_, rest) = label.text.split_once(word).expect(&label.text);
                    rest.trim_start().to_owned()
                };
                let number = |text: String, unit: &str| -> f64 {
                    text.split(unit).next().expect(&label.text).parse().expect(&label.text)
                };
                let gap = number(after("gap"), "mm");
                let mm = number(after("dark"), "mm");
                let px = number(after("dark").split_once("mm").expect(&label.text).1.to_owned(), "px");
                prop_assert!((px * pitch_mm - mm).abs() < 0.051 * pitch_mm + 0.0051, "{:?}", label);
                let rung = labelled(&rungs, label, label.edges[0]);
                prop_assert!(named.insert(rung), "{:?} names a rung anew", label);
                let built = with_dark_mm(&rig, seam, mm);
                let built_gap = built.seams()[seam].gap_mm;
                prop_assert!((gap - built_gap).abs() < 0.011, "{:?}: {}", label, built_gap);
                let breaks = breaks_arcmin(&built, seam, &rungs, 0);
                assert_straight(&breaks, rung, GAP_ARCMIN, label);
                if label.text.ends_with("asset") {
                    prop_assert!((mm - dark_in_plan_mm(&rig, seam)).abs() < 0.0051, "{:?}", label);
                }
            }
            prop_assert_eq!(named.len(), rungs.len());
        }
    }

    #[test]
    fn a_folds_rung_runs_straight_where_the_seam_is_so_folded(rig in ordinary()) {
        let pattern = pattern(&rig, Layer::Ladders);
        let texts = texts(&rig, &pattern);
        for seam in 0..rig.seams().len() {
            let Some([_, colour]) = colours(&pattern, seam) else {
                continue;
            };
            let rungs = rungs(&rig, &pattern, seam, colour);
            prop_assert!(rungs.len() >= 5, "{} rungs", rungs.len());
            let far = rig.panels()[seam + 1].pixels[0] - 1;
            let mut named = BTreeSet::new();
            let labels = texts.iter().filter(|text| {
                text.panel == seam + 1 && text.colour == colour
            });
            for label in labels {
                let text = label.text.trim_end_matches("asset").trim_end_matches('°');
                let at = text.find(|c: char| c.is_ascii_digit() || c == '-').expect(text);
                let (kind, number) = text.split_at(at);
                let number: f64 = number.parse().expect(text);
                let mut parts = rig.parts().clone();
                let turn = &mut parts.seams[seam].turn;
                let (word, own) = match turn {
                    Turn::AngleDeg(own) => ("angle", own),
                    Turn::FoldDeg(own) => ("fold", own),
                };
                prop_assert_eq!(kind, word);
                if label.text.ends_with("asset") {
                    prop_assert_eq!(number, *own);
                }
                *own = number;
                let built = Rig::new(parts).expect("a little more or less folded");
                let rung = labelled(&rungs, label, label.edges[2]);
                prop_assert!(named.insert(rung), "{:?} names a rung anew", label);
                let breaks = breaks_arcmin(&built, seam, &rungs, far);
                assert_straight(&breaks, rung, FOLD_ARCMIN, label);
            }
            prop_assert!(named.len() >= 5, "{} labels at seam {}", named.len(), seam + 1);
        }
    }
}
