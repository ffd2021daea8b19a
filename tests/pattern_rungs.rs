//! A rung's label names the rig on which that rung runs straight: read from the
//! strokes and the letters that are drawn.

mod reading;
mod rigs;

use std::collections::BTreeSet;

use proptest::prelude::*;
use reading::{Drawn, Text, strokes, texts};
use rigs::{dark_in_plan_mm, ordinary};
use throughline::pattern::{
    Choices, Fineness, Guides, LadderKind, Ladders, Layer, Layers, Pattern, drawn_ladder,
};
use throughline::rig::{Parts, Rig, Turn};
use throughline::typeset::Typesetter;

/// Most that the rung of a true gap breaks, in arc-minutes: its label is rounded
/// to hundredths of a millimetre.
const GAP_ARCMIN: f64 = 0.1;
/// The same of a true fold, whose label is not rounded.
const FOLD_ARCMIN: f64 = 0.01;

/// Farthest that letters are set from the rung that they are meant for, in rows.
const SET_PX: f64 = 8.0;

/// A seam's two panels: the one nearer to the panel straight ahead, and the other.
#[derive(Clone, Copy)]
struct Sides {
    inner: usize,
    outer: usize,
}

impl Sides {
    fn of(rig: &Rig, seam: usize) -> Sides {
        if seam >= rig.seat().view.panel {
            Sides {
                inner: seam,
                outer: seam + 1,
            }
        } else {
            Sides {
                inner: seam + 1,
                outer: seam,
            }
        }
    }

    fn outer_is_right(self) -> bool {
        self.outer > self.inner
    }

    /// Column at the seam, or at the far end, of one of the two.
    fn column(self, rig: &Rig, panel: usize, is_far: bool) -> u32 {
        let last = rig.panels()[panel].pixels[0] - 1;
        let starts_at_seam = (panel == self.outer) == self.outer_is_right();
        if starts_at_seam == is_far { last } else { 0 }
    }
}

/// A rung as drawn: the strokes on the inner and on the outer panel.
type Rung<'a> = [Drawn<'a>; 2];

/// One ladder alone.
fn ladder(rig: &Rig, seam: usize, kind: LadderKind, fineness: Fineness) -> Pattern {
    let choices = Choices {
        ladders: Ladders {
            seam: Some(seam),
            kind: Some(kind),
            fineness,
            lit: None,
        },
        ..Choices::default()
    };
    let layers = Layers::NONE.with(Layer::Ladders);
    let guides = Guides::of(rig);
    Pattern::with_choices(rig, &guides, layers, choices, &mut Typesetter::new())
}

/// The rungs of a pattern of one ladder: each a stroke on either side of the seam.
fn rungs<'a>(rig: &Rig, pattern: &'a Pattern, sides: Sides) -> Vec<Rung<'a>> {
    let drawn = strokes(rig, pattern);
    let pairs = drawn.as_chunks::<2>().0.iter();
    pairs
        .map(|&[left, right]| {
            assert!(left.panel + 1 == right.panel && left.reaches()[1] && right.reaches()[0]);
            if sides.outer_is_right() {
                [left, right]
            } else {
                [right, left]
            }
        })
        .collect()
}

/// How far, in arc-minutes, a rung's outer part lies at a column off the great circle
/// that continues the inner one, on a rig that stands as `built`.
fn break_arcmin(built: &Rig, sides: Sides, [inner, outer]: &Rung, column: u32) -> f64 {
    let surfaces = built.layout().surfaces();
    let (on_inner, on_outer) = (&surfaces[sides.inner], &surfaces[sides.outer]);
    let edge = sides.column(built, sides.inner, false);
    let way = if edge == 0 { 1 } else { -1 };
    // Where the first columns' middles lie, far enough apart to tell a plane.
    let [a, b] = [0, 40].map(|back: i64| {
        let at = (i64::from(edge) + way * back) as u32;
        on_inner.point_px(f64::from(at) + 0.5, inner.row(at))
    });
    let normal = a.cross(b).normalize();
    let seen = on_outer.point_px(f64::from(column) + 0.5, outer.row(column));
    (normal.dot(seen) / seen.length()).asin().to_degrees() * 60.0
}

/// The rung that a label stands at: the nearest at the label's end.
fn labelled(rungs: &[Rung], label: &Text, column: f64) -> usize {
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

/// The number behind a word, in front of its unit, of a label without its spaces.
fn number(label: &str, word: &str, unit: &str) -> Option<f64> {
    let (_, rest) = label.split_once(word)?;
    rest.split_once(unit)?.0.parse().ok()
}

fn changed(rig: &Rig, change: impl FnOnce(&mut Parts)) -> Rig {
    let mut parts = rig.parts().clone();
    change(&mut parts);
    Rig::new(parts).expect("a little different")
}

/// The rig that a label names.
fn named(rig: &Rig, seam: usize, kind: LadderKind, label: &str) -> Rig {
    changed(rig, |parts| {
        let seam = &mut parts.seams[seam];
        match kind {
            LadderKind::Fold => match &mut seam.turn {
                Turn::AngleDeg(value) => *value = number(label, "angle", "°").expect(label),
                Turn::FoldDeg(value) => *value = number(label, "fold", "°").expect(label),
            },
            LadderKind::Gap => seam.gap_mm = number(label, "gap", "mm").expect(label),
            LadderKind::Rise => seam.rise_mm = number(label, "rise", "mm").expect(label),
        }
    })
}

/// Checks a ladder's drawn rungs and labels, and says how many rungs there are.
fn check(rig: &Rig, seam: usize, kind: LadderKind, fineness: Fineness) -> usize {
    let sides = Sides::of(rig, seam);
    let pattern = ladder(rig, seam, kind, fineness);
    let Some(line) = pattern.lines().first() else {
        return 0;
    };
    assert_eq!(pattern.lines().len(), 1);
    let rungs = rungs(rig, &pattern, sides);
    let column = sides.column(rig, sides.outer, kind == LadderKind::Fold);
    let texts = texts(rig, &pattern);
    let labels = texts.iter().filter(|text| !text.text.contains("atseam"));
    let mut told = BTreeSet::new();
    for label in labels {
        assert_eq!((label.panel, label.colour), (sides.outer, line.colour));
        // The end that is nearer to the rung's.
        let is_left = sides.outer_is_right() != (kind == LadderKind::Fold);
        let end = label.edges[if is_left { 0 } else { 2 }];
        let rung = labelled(&rungs, label, end);
        assert!(told.insert(rung), "{label:?} names a rung anew");
        let built = named(rig, seam, kind, &label.text);
        if kind == LadderKind::Gap {
            let dark = number(&label.text, "dark", "mm").expect("the dark");
            let (_, px) = label.text.split_once("mmdark").expect("the dark");
            let px = number(px, "mm", "px").expect("pixels");
            assert!(
                (dark - dark_in_plan_mm(&built, seam)).abs() < 0.011,
                "{label:?}"
            );
            let pitch = rig.panels()[sides.outer].pitch_mm()[0];
            assert!(
                (px - dark / pitch).abs() < 0.051 + 0.0051 / pitch,
                "{label:?}"
            );
        }
        if label.text.ends_with("asset") {
            assert_eq!(&built, &named(rig, seam, kind, &label.text));
            let most = if kind == LadderKind::Gap {
                0.0051
            } else {
                1e-9
            };
            let off = |rig: &Rig| match kind {
                LadderKind::Fold => rig.parts().fold_rad(seam),
                LadderKind::Gap => rig.seams()[seam].gap_mm,
                LadderKind::Rise => rig.seams()[seam].rise_mm,
            };
            assert!((off(&built) - off(rig)).abs() < most, "{label:?}");
        }
        // Labels of gaps are rounded to hundredths of a millimetre.
        let straight = if kind == LadderKind::Gap {
            GAP_ARCMIN
        } else {
            FOLD_ARCMIN
        };
        for (index, other) in rungs.iter().enumerate() {
            let off = break_arcmin(&built, sides, other, column);
            if index == rung {
                assert!(off.abs() < straight, "{label:?} breaks by {off}'");
            } else {
                assert!(off.abs() > straight, "{label:?}: another is off by {off}'");
            }
        }
        if kind == LadderKind::Fold {
            // A lane: an eye 20 mm too near leaves the named rung straight.
            let near = changed(&built, |parts| parts.seat.distance_mm -= 20.0);
            let off = break_arcmin(&near, sides, &rungs[rung], column);
            assert!(off.abs() < FOLD_ARCMIN, "{label:?} from too near: {off}'");
        }
    }
    assert_eq!(told.len(), rungs.len(), "{texts:?}");
    let listed = drawn_ladder(rig, seam, kind, fineness).rungs;
    let mut rows: Vec<(f64, &str)> = texts
        .iter()
        .filter(|text| !text.text.contains("atseam"))
        .map(|text| (text.row, text.text.trim_end_matches("asset")))
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let listed: Vec<String> = listed
        .iter()
        .map(|rung| rung.label.replace(' ', ""))
        .collect();
    let seen: Vec<&str> = rows.iter().map(|(_, text)| *text).collect();
    assert_eq!(listed, seen, "the list runs as on the glass");
    rungs.len()
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(12)
    })]

    #[test]
    fn the_rung_of_the_true_value_runs_straight(rig in ordinary()) {
        for seam in 0..rig.seams().len() {
            for kind in LadderKind::ALL {
                for fineness in [Fineness::Coarse, Fineness::Fine] {
                    check(&rig, seam, kind, fineness);
                }
            }
        }
    }

    /// All ladders at once: no rung of one seam's crosses another seam's, no label covers
    /// another, and none comes near a lit edge at a seam.
    #[test]
    fn ladders_of_all_seams_keep_apart(rig in ordinary()) {
        let layers = Layers::NONE.with(Layer::Ladders);
        let pattern = Pattern::new(&rig, &Guides::of(&rig), layers, &mut Typesetter::new());
        let texts = texts(&rig, &pattern);
        for (index, one) in texts.iter().enumerate() {
            let surface = &rig.layout().surfaces()[one.panel];
            let edge_px = 15.0 / surface.pitch_mm()[0];
            let last = rig.panels().len() - 1;
            prop_assert!(one.panel == 0 || one.edges[0] > edge_px, "{one:?}");
            prop_assert!(one.panel == last || one.edges[2] < surface.pixels[0] - edge_px);
            for other in &texts[..index] {
                let apart = one.panel != other.panel
                    || one.edges[0] > other.edges[2]
                    || one.edges[2] < other.edges[0]
                    || one.edges[1] > other.edges[3]
                    || one.edges[3] < other.edges[1];
                prop_assert!(apart, "{one:?} {other:?}");
            }
        }
        // A rung is two strokes, so that pairs tell their seam.
        let drawn = strokes(&rig, &pattern);
        let pieces: Vec<(usize, Drawn)> = (drawn.as_chunks::<2>().0.iter())
            .flat_map(|&[left, right]| [(left.panel, left), (left.panel, right)])
            .collect();
        for (index, (seam, one)) in pieces.iter().enumerate() {
            for (other_seam, other) in &pieces[..index] {
                if seam == other_seam || one.panel != other.panel {
                    continue;
                }
                let [one_columns, other_columns] = [one.columns(), other.columns()];
                let from = one_columns[0].max(other_columns[0]);
                let to = one_columns[1].min(other_columns[1]);
                let mut side = 0.0;
                for column in (from..to).step_by(5) {
                    let off = one.row(column) - other.row(column);
                    prop_assert!(off * side >= 0.0, "seams {seam} and {other_seam} cross");
                    side = off;
                }
            }
        }
    }
}

/// On the demos, and on panels of 15 inches, every ladder has rungs enough on the glass
/// to read errors of 4 degrees, 4 millimetres and 3 millimetres.
#[test]
fn one_ladder_at_a_time_has_all_its_rungs() {
    let small =
        "format = 1\nname = \"Small\"\n[seat]\nview = \"b\"\ndistance_mm = 520\nheight_mm = 30\n";
    let panel = |name: &str| {
        format!(
            "[[panel]]\nname = \"{name}\"\npixels = [1920, 1080]\ndiagonal_in = 15.6\nbezel_mm = {{ left = 6.0, right = 6.0 }}\n"
        )
    };
    let seam = "[[seam]]\nfold_deg = 40.0\ngap_mm = 2.0\n";
    let small = format!(
        "{small}{}{}{}{seam}{seam}",
        panel("a"),
        panel("b"),
        panel("c")
    );
    let small = throughline::rig::read(&small, "small", &[]).expect("sound");
    let demos = throughline::rig::demos().iter();
    let demos = demos.map(|demo| throughline::rig::read(demo.text, demo.name, &[]).expect("sound"));
    for rig in demos.chain([small]) {
        for seam in 0..rig.seams().len() {
            for kind in LadderKind::ALL {
                let count = check(&rig, seam, kind, Fineness::Coarse);
                assert!(
                    count >= 7,
                    "{}: {count} of seam {} {kind:?}",
                    rig.name(),
                    seam + 1
                );
            }
        }
    }
}
