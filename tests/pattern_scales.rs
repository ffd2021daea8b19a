//! Combs, millimetres, ticks, seam labels and what is drawn behind a seam, read
//! from the marks and held against the panels' own points.

mod reading;
mod rigs;

use proptest::prelude::*;
use reading::{LitBar, Text, lit_bars, pattern, texts};
use rigs::{along_mm, at, in_plan, level, ordinary, upright};
use throughline::geometry::{Surface, View, regions};
use throughline::pattern::{Guides, Layer, Layers, Mark, Pattern};
use throughline::rig::{PxRect, Rig};
use throughline::typeset::Typesetter;

/// Bars shorter than this are ticks, and longer ones a comb's spine.
const SPINE_PX: f64 = 60.0;
/// Farthest that letters are set from the middle that they are meant for.
const SET_PX: f64 = 5.0;

/// One side of a seam: its panel, which of its lit edges, and what is drawn there.
struct Side<'a> {
    surface: &'a Surface,
    right_edge: bool,
    bars: Vec<LitBar>,
    texts: Vec<Text>,
}

impl Side<'_> {
    fn of<'a>(
        rig: &'a Rig,
        panel: usize,
        right_edge: bool,
        bars: &[LitBar],
        texts: &[Text],
    ) -> Side<'a> {
        let surface = &rig.layout().surfaces()[panel];
        let half = surface.pixels[0] / 2.0;
        let is_here = |of: usize, [left, _, right, _]: [f64; 4]| {
            of == panel && ((left + right) / 2.0 > half) == right_edge
        };
        Side {
            surface,
            right_edge,
            bars: bars
                .iter()
                .copied()
                .filter(|bar| is_here(bar.panel, bar.edges))
                .collect(),
            texts: texts
                .iter()
                .filter(|text| is_here(text.panel, text.edges))
                .cloned()
                .collect(),
        }
    }

    /// Columns from the lit edge to the nearer and to the farther side.
    fn off_edge(&self, [left, _, right, _]: [f64; 4]) -> [f64; 2] {
        let width = self.surface.pixels[0];
        if self.right_edge {
            [width - right, width - left]
        } else {
            [left, right]
        }
    }

    /// Column of the lit edge.
    fn edge_px(&self) -> f64 {
        if self.right_edge {
            self.surface.pixels[0]
        } else {
            0.0
        }
    }

    /// Height and length of a bar.
    fn size([left, top, right, bottom]: [f64; 4]) -> [f64; 2] {
        [bottom - top, right - left]
    }

    /// Rows of the combs' spines.
    fn spines(&self) -> Vec<f64> {
        let spines = self.bars.iter().filter(|bar| {
            let [height, length] = Side::size(bar.edges);
            height == 2.0 && length > SPINE_PX
        });
        spines
            .map(|bar| (bar.edges[1] + bar.edges[3]) / 2.0)
            .collect()
    }

    /// The upright bars that belong to a comb, below its spine or above it.
    fn teeth(&self, spine: f64, is_below: bool) -> Vec<[f64; 4]> {
        let nearest = |row: f64| {
            let spines = self.spines().into_iter();
            spines.min_by(|a, b| (a - row).abs().total_cmp(&(b - row).abs()))
        };
        let teeth = self.bars.iter().map(|bar| bar.edges).filter(|edges| {
            let row = (edges[1] + edges[3]) / 2.0;
            (Side::size(*edges)[1] - 1.0).abs() < 1e-6
                && nearest(row) == Some(spine)
                && (row > spine) == is_below
        });
        teeth.collect()
    }

    /// Numbers beside a comb, and how far from the lit edge they stand: those
    /// with a unit by the end that is nearer to it.
    fn numbers(&self, spine: f64, is_below: bool, unit: &str) -> Vec<(u32, f64)> {
        let lowest = self.bars.iter().map(|bar| Side::size(bar.edges)[0]);
        let reach = 3.0 * lowest.fold(0.0, f64::max);
        let texts = self
            .texts
            .iter()
            .filter(|text| (text.row - spine).abs() < reach && (text.row > spine) == is_below);
        let numbers = texts.filter_map(|text| {
            let [near, far] = self.off_edge(text.edges);
            match text.text.strip_suffix(unit) {
                Some(number) => Some((number.parse().ok()?, near)),
                None => Some((text.text.parse().ok()?, (near + far) / 2.0)),
            }
        });
        numbers.collect()
    }
}

/// Of the teeth near where a number stands, the one that reaches farthest.
fn tooth_at(side: &Side, spine: f64, teeth: &[[f64; 4]], from_edge: f64) -> [f64; 4] {
    let middle = |edges: &[f64; 4]| side.off_edge(*edges).iter().sum::<f64>() / 2.0;
    let near = teeth
        .iter()
        .filter(|edges| (middle(edges) - from_edge).abs() < SET_PX);
    let reach = |edges: &[f64; 4]| (edges[1] - spine).abs().max((edges[3] - spine).abs());
    let farthest = near.max_by(|a, b| reach(a).total_cmp(&reach(b)));
    *farthest.expect("a number stands at a tooth")
}

fn check_comb(side: &Side, spine: f64) {
    // The n-th pixel from the lit edge has the n-th place: all odd ones are lit,
    // and every tenth.
    let teeth = side.teeth(spine, true);
    let mut places: Vec<u32> = Vec::new();
    for tooth in &teeth {
        let [near, far] = side.off_edge(*tooth);
        assert!(
            near.fract() == 0.0 && far == near + 1.0,
            "between pixels: {tooth:?}"
        );
        places.push(far as u32);
    }
    places.sort_unstable();
    let last = *places.last().expect("a comb has teeth");
    let wanted: Vec<u32> = (1..=last).filter(|n| n % 2 == 1 || n % 10 == 0).collect();
    assert_eq!(places, wanted);
    let numbers = side.numbers(spine, true, "px");
    assert!(numbers.iter().any(|(n, _)| *n == 10), "{numbers:?}");
    assert!(numbers.iter().any(|(n, _)| *n == 50), "{numbers:?}");
    for (number, from_edge) in numbers {
        let tooth = tooth_at(side, spine, &teeth, from_edge);
        assert_eq!(
            side.off_edge(tooth)[1],
            f64::from(number),
            "the tooth at {number}"
        );
    }

    // The m-th tick stands m millimetres along the glass from the lit edge.
    let ticks = side.teeth(spine, false);
    let mm_of = |tick: [f64; 4]| {
        let middle = (tick[0] + tick[2]) / 2.0;
        along_mm(side.surface, side.edge_px(), middle)
    };
    let mut all: Vec<f64> = ticks.iter().map(|tick| mm_of(*tick)).collect();
    all.sort_by(f64::total_cmp);
    for (index, mm) in all.iter().enumerate() {
        assert!(
            (mm - (index as f64 + 1.0)).abs() < 1e-3,
            "tick {} at {mm} mm",
            index + 1
        );
    }
    let numbers = side.numbers(spine, false, "mm");
    assert!(numbers.iter().any(|(n, _)| *n == 10), "{numbers:?}");
    for (number, from_edge) in numbers {
        let mm = mm_of(tooth_at(side, spine, &ticks, from_edge));
        assert!(
            (mm - f64::from(number)).abs() < 1e-3,
            "{number} stands at {mm} mm"
        );
    }
}

/// Checks the ticks along a lit edge, and gives how many there are.
fn check_ticks(side: &Side) -> usize {
    let ticks = side.bars.iter().map(|bar| bar.edges).filter(|edges| {
        let [height, length] = Side::size(*edges);
        height < 2.5 && length > 2.0 && length < SPINE_PX
    });
    let ticks: Vec<(f64, f64)> = ticks
        .map(|edges| {
            assert!(
                side.off_edge(edges)[0].abs() < 1e-9,
                "it begins at the lit edge"
            );
            let row = (edges[1] + edges[3]) / 2.0;
            let point = side.surface.point_px(side.edge_px(), row);
            (row, (point.y / point.length()).asin().to_degrees())
        })
        .collect();
    for (row, deg) in &ticks {
        assert!(
            (deg - deg.round()).abs() < 1e-6,
            "a tick at {deg}°, row {row}"
        );
    }
    for text in side.texts.iter().filter(|text| text.text.ends_with('°')) {
        let number: f64 = text.text.trim_end_matches('°').parse().expect(&text.text);
        let off = |tick: &&(f64, f64)| (tick.0 - text.row).abs();
        let nearest = ticks.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        let (row, deg) = nearest.expect("a number stands at a tick");
        assert!((row - text.row).abs() < SET_PX, "{text:?}");
        assert!((deg - number).abs() < 1e-6, "{text:?} at {deg}°");
    }
    ticks.len()
}

/// Turn in plan, in degrees, from the left panel of a seam to the right one: the
/// fold between the tangents at the lit edges, and the angle between the facings
/// of the views there. Positive where the right one turns towards the viewer.
fn turns_deg(rig: &Rig, seam: usize) -> [f64; 2] {
    let rig = upright(rig.parts().clone()).expect("its panels still face the eye");
    let views = rig.views();
    let heading = |surface: &Surface, from_px: f64, to_px: f64| {
        let row = surface.pixels[1] / 2.0;
        let along = in_plan(surface.point_px(to_px, row) - surface.point_px(from_px, row));
        (-along.z).atan2(along.x).to_degrees()
    };
    let [left, right] = rig.layout().seam(seam);
    let width = left.pixels[0];
    let fold = heading(left, width - 1e-3, width) - heading(right, 0.0, 1e-3);
    let across = |view: &View| {
        let columns = view.columns();
        let from = f64::from(view.id.view) * columns;
        heading(&view.surface, from, from + columns)
    };
    let last = views
        .iter()
        .rfind(|view| view.id.panel == seam)
        .expect("a view");
    let first = views
        .iter()
        .find(|view| view.id.panel == seam + 1)
        .expect("a view");
    [fold, across(last) - across(first)]
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(24)
    })]

    #[test]
    fn combs_and_ticks_stand_where_their_numbers_say(rig in ordinary()) {
        let pattern = pattern(&rig, Layer::Rulers);
        let (bars, texts) = (lit_bars(&rig, &pattern), texts(&rig, &pattern));
        for seam in 0..rig.seams().len() {
            for (panel, right_edge) in [(seam, true), (seam + 1, false)] {
                let side = Side::of(&rig, panel, right_edge, &bars, &texts);
                let spines = side.spines();
                for &spine in &spines {
                    check_comb(&side, spine);
                }
                let ticks = check_ticks(&side);
                prop_assert!(spines.len() == 2 && ticks >= 5, "{:?} {}", spines, ticks);
            }
        }
    }

    #[test]
    fn a_seams_numbers_stand_on_the_side_that_is_said(rig in level()) {
        let pattern = pattern(&rig, Layer::Labels);
        let texts = texts(&rig, &pattern);
        let mut read = 0;
        for panel in 0..rig.panels().len() {
            // A far narrow panel has smaller letters, which are not read here.
            if texts.iter().all(|text| text.panel != panel) {
                continue;
            }
            read += 1;
            let sides = [("left", panel.checked_sub(1)), ("right", Some(panel))];
            for (side, seam) in sides {
                let begin = format!("seamonthe{side}:");
                let mut said = texts.iter().filter(|text| text.panel == panel).filter_map(|text| {
                    text.text.strip_prefix(&begin)
                });
                let Some(seam) = seam.filter(|seam| *seam < rig.seams().len()) else {
                    prop_assert_eq!(said.next(), None);
                    continue;
                };
                let said = said.next().expect("each seam is told of on both its panels");
                let (turn, _) = said.split_once("°,gap").expect(said);
                let [fold, angle] = turns_deg(&rig, seam);
                let (told, measured) = match turn.strip_prefix("angle") {
                    Some(number) => (number, angle),
                    None => (turn.strip_prefix("fold").expect(said), fold),
                };
                let told: f64 = told.parse().expect(said);
                prop_assert!((told - measured).abs() < 0.02, "{} of {}: {}", measured, panel, said);
            }
        }
        prop_assert!(read > 0, "no panel can be read");
    }

    #[test]
    fn behind_a_seam_lines_run_over_the_chord_between_the_lit_edges(rig in ordinary()) {
        let layers = Layers::ALL.guides();
        let pattern = Pattern::new(&rig, &Guides::of(&rig), layers, &mut Typesetter::new());
        let strokes = pattern.marks().iter().map(|mark| match mark {
            Mark::Stroke(stroke) => stroke,
            other => panic!("a line is no {other:?}"),
        });
        let strokes: Vec<_> = strokes.collect();
        // Each line is drawn on every region of the canvas.
        let each = regions(rig.canvas(), rig.layout()).len();
        prop_assert_eq!(strokes.len(), each * pattern.lines().len());
        for (line, strokes) in pattern.lines().iter().zip(strokes.chunks(each)) {
            for seam in 0..rig.seams().len() {
                let [left, right] = [seam, seam + 1].map(|panel| rig.canvas().panels[panel]);
                let [on_left, on_right] = rig.layout().seam(seam);
                let dark = PxRect { x: left.right(), w: right.x - left.right(), y: 0, h: 1 };
                let mut behind = strokes.iter().filter(|stroke| stroke.clip.x == dark.x);
                let stroke = behind.next().expect("hidden columns carry the picture on");
                prop_assert_eq!(stroke.clip.w, dark.w);
                for column in [0, dark.w / 3, dark.w - 1] {
                    let row = stroke.curve.column(dark.x + column).row();
                    if row.is_nan() || row.abs() > 1e5 {
                        continue;
                    }
                    let share = (f64::from(column) + 0.5) / f64::from(dark.w);
                    let edges = [(on_left, 1.0, left), (on_right, 0.0, right)].map(
                        |(surface, across, lit)| {
                            let down = (row - f64::from(lit.y)) / surface.pixels[1];
                            at(surface, across, down)
                        },
                    );
                    let point = edges[0] * (1.0 - share) + edges[1] * share;
                    let off = line.plane.normal().dot(point) / point.length();
                    prop_assert!(off.abs() < 1e-9, "{}: {}", line.name, off);
                }
            }
        }
    }
}
