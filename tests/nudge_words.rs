//! What is said of a nudge and of a place is what the geometry says: which panel
//! moved, which way and how far is read off the panels before and after.

mod rigs;

use glam::DVec3;
use proptest::prelude::*;
use rigs::{along_mm, at, in_plan, ordinary, upright};
use throughline::geometry::Surface;
use throughline::glass::BoxLine;
use throughline::nudging::{Act, Console, Effect, Hover, Nudging, main_box, meaning, values};
use throughline::pattern::Layers;
use throughline::rig::{Measure, PanelQuantity, Rig, SeamQuantity, SeatQuantity, demos, read};

fn middle(surface: &Surface) -> DVec3 {
    at(surface, 0.5, 0.5)
}

/// Unit normal at the middle, towards the side from which right is right.
fn facing(surface: &Surface) -> DVec3 {
    let right = at(surface, 1.0, 0.5) - at(surface, 0.0, 0.5);
    let up = at(surface, 0.5, 0.0) - at(surface, 0.5, 1.0);
    right.cross(up).normalize()
}

/// Radius of the circle through a panel's left edge, middle and right edge.
fn radius_mm(surface: &Surface) -> f64 {
    let [a, b, c] = [0.0, 0.5, 1.0].map(|across| at(surface, across, 0.5));
    let twice_area = (b - a).cross(c - a).length();
    a.distance(b) * b.distance(c) * c.distance(a) / (2.0 * twice_area)
}

/// Lit width along the surface, and height.
fn size_mm(surface: &Surface) -> [f64; 2] {
    let height = at(surface, 0.5, 0.0).distance(at(surface, 0.5, 1.0));
    [along_mm(surface, 0.0, surface.pixels[0]), height]
}

/// Which of two panels stands elsewhere, and how its middle moved.
fn moved(before: &Rig, after: &Rig, panels: [usize; 2]) -> usize {
    let [was, is] = [before, after].map(|rig| rig.layout().surfaces());
    let is_moved = |&panel: &usize| {
        let corners = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]];
        corners.into_iter().any(|[across, down]| {
            at(&was[panel], across, down).distance(at(&is[panel], across, down)) > 1e-6
        })
    };
    let movers: Vec<usize> = panels.into_iter().filter(is_moved).collect();
    assert_eq!(movers.len(), 1, "of {panels:?}");
    movers[0]
}

/// What a change of a value did, as the panels before and after tell it.
fn told_by_geometry(value: Measure, before: &Rig, after: &Rig) -> String {
    let show = |amount: f64| value.spec().show(amount);
    let pick = |yes: bool, [one, other]: [&'static str; 2]| if yes { one } else { other };
    let name = |panel: usize| format!("\"{}\"", before.panels()[panel].name);
    let [was, is] = [before, after].map(|rig| rig.layout().surfaces());
    match value {
        Measure::Seat(what) => {
            let eye = -(middle(&is[0]) - middle(&was[0]));
            for (was, is) in was.iter().zip(is) {
                assert!(
                    (middle(was) - eye).distance(middle(is)) < 1e-9,
                    "one move for all"
                );
            }
            let way = match what {
                SeatQuantity::Height => pick(eye.y > 0.0, ["higher", "lower"]),
                SeatQuantity::Offset => pick(eye.x > 0.0, ["further right", "further left"]),
                SeatQuantity::Distance => pick(
                    eye.z > 0.0,
                    ["further from the panels", "nearer to the panels"],
                ),
            };
            format!("the eye is {} {way}", show(eye.length()))
        }
        Measure::Panel(panel, what) => {
            let (was, is, panel) = (&was[panel], &is[panel], name(panel));
            match what {
                PanelQuantity::Roll => {
                    let [from, to] = [was, is].map(|s| at(s, 1.0, 0.5) - at(s, 0.0, 0.5));
                    let way = pick(to.y > from.y, ["counter-clockwise", "clockwise"]);
                    let amount = show(from.angle_between(to).to_degrees());
                    format!("{panel} turns {amount} {way}, as you see it")
                }
                PanelQuantity::Tilt => {
                    let top = at(is, 0.5, 0.0) - at(was, 0.5, 0.0);
                    let way = pick(top.dot(facing(was)) < 0.0, ["away from", "towards"]);
                    let amount = show(facing(was).angle_between(facing(is)).to_degrees());
                    format!("{panel} leans {amount}, its top {way} you")
                }
                PanelQuantity::Radius => {
                    let longer = radius_mm(is) - radius_mm(was);
                    let bent = pick(longer > 0.0, ["less", "more"]);
                    let way = pick(longer > 0.0, ["longer", "shorter"]);
                    format!(
                        "{panel} is bent {bent}: a radius {} {way}",
                        show(longer.abs())
                    )
                }
                _ => {
                    let measured = [was, is].map(|surface| {
                        let [width, height] = size_mm(surface);
                        match what {
                            PanelQuantity::Width => width,
                            PanelQuantity::Height => height,
                            _ => width.hypot(height) / 25.4,
                        }
                    });
                    let larger = measured[1] - measured[0];
                    let way = pick(larger > 0.0, ["larger", "smaller"]);
                    format!("the lit area of {panel} is {} {way}", show(larger.abs()))
                }
            }
        }
        Measure::Seam(seam, SeamQuantity::Hidden) => {
            let [was, is] = [before, after].map(|rig| {
                let panels = &rig.canvas().panels;
                f64::from(panels[seam + 1].x) - f64::from(panels[seam].right())
            });
            let way = pick(is > was, ["more", "fewer"]);
            format!("the driver hides {} {way} here", show((is - was).abs()))
        }
        Measure::Seam(seam, what) => {
            let mover = moved(before, after, [seam, seam + 1]);
            let other = 2 * seam + 1 - mover;
            // Columns of the edge at the seam and of the far one, as fractions.
            let [near, far] = if mover > seam { [0.0, 1.0] } else { [1.0, 0.0] };
            let shift = |across: f64| at(&is[mover], across, 0.5) - at(&was[mover], across, 0.5);
            let said = |words: String| format!("{} {words}", name(mover));
            match what {
                SeamQuantity::Angle | SeamQuantity::Fold => {
                    let [from, to] = [&was[mover], &is[mover]].map(|s| in_plan(facing(s)));
                    let way = pick(shift(far).dot(from) > 0.0, ["in", "out"]);
                    let amount = show(from.angle_between(to).to_degrees());
                    format!("turn {} {way} by {amount}", name(mover))
                }
                SeamQuantity::Gap => {
                    let apart = |surfaces: &[Surface]| {
                        in_plan(at(&surfaces[mover], near, 0.5) - at(&surfaces[other], far, 0.5))
                            .length()
                    };
                    let way = pick(apart(is) > apart(was), ["away from", "closer to"]);
                    let amount = show(along_cases_mm(before, seam, shift(near)));
                    format!("move {} {amount} {way} {}", name(mover), name(other))
                }
                SeamQuantity::Step => {
                    let from_eye =
                        |surfaces: &[Surface]| in_plan(at(&surfaces[mover], near, 0.5)).length();
                    let way = pick(from_eye(is) < from_eye(was), ["nearer to", "farther from"]);
                    let amount = show(shift(near).length());
                    said(format!("stands {amount} {way} you at this seam"))
                }
                _ => {
                    let up = shift(0.5).y;
                    let way = pick(up > 0.0, ["higher", "lower"]);
                    said(format!("stands {} {way}", show(up.abs())))
                }
            }
        }
    }
}

/// The gap that a shift along the cases of a seam takes: half of it lies along
/// either edge's tangent in plan.
fn along_cases_mm(rig: &Rig, seam: usize, shift: DVec3) -> f64 {
    let plain = upright(rig.parts().clone()).expect("its panels still face the eye");
    let [left, right] = plain.layout().seam(seam);
    let tangents = [(left, 1.0 - 1e-7, 1.0), (right, 0.0, 1e-7)]
        .map(|(surface, from, to)| (at(surface, to, 0.5) - at(surface, from, 0.5)).normalize());
    2.0 * shift.length() / (tangents[0] + tangents[1]).length()
}

/// The rig with a value changed; `None` where that is no rig, or the value can't
/// change so much.
fn changed(rig: &Rig, value: Measure, by: f64) -> Option<Rig> {
    let before = value.get(rig.parts())?;
    let mut parts = rig.parts().clone();
    value.put(&mut parts, before + by);
    let after = Rig::new(parts).ok()?;
    let got = value.get(after.parts())? - before;
    ((got - by).abs() < 1e-9).then_some(after)
}

#[test]
fn the_words_about_a_nudge_are_what_the_panels_did() {
    let mut told = std::collections::HashSet::new();
    let demos = demos()
        .iter()
        .map(|demo| read(demo.text, demo.name, &[]).expect("a sound demo"));
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let random: Vec<Rig> = (0..60)
        .map(|_| {
            let tree = ordinary().new_tree(&mut runner).expect("most are rigs");
            proptest::strategy::ValueTree::current(&tree)
        })
        .collect();
    for rig in demos.chain(random) {
        for value in values(rig.parts()) {
            let [fine, coarse] = value.spec().steps.expect("it can be nudged");
            for by in [fine, -fine, 3.0 * coarse, -2.0 * coarse] {
                let Some(after) = changed(&rig, value, by) else {
                    continue;
                };
                let said = meaning(value, rig.parts(), by);
                let truth = told_by_geometry(value, &rig, &after);
                assert_eq!(said, truth, "{} by {by}\n{:#?}", value.path(), rig.parts());
                told.insert((value.spec().key, value.spec().item, by > 0.0));
            }
        }
    }
    // Three of the seat, two turns, a curve and three sizes, six of a seam; both ways.
    assert_eq!(told.len(), 2 * (3 + 2 + 1 + 3 + 6), "{told:?}");
}

/// What the box says of the place that the mouse points at.
fn pointed(rig: &Rig, hover: Hover) -> String {
    let console = Console::new(Nudging::new(rig.clone(), Layers::ALL), Vec::new());
    let lines = main_box(&console, Some(hover), false, "");
    let texts = lines.iter().filter_map(|line| match line {
        BoxLine::Text(words) => Some(words.text.clone()),
        _ => None,
    });
    let mut texts = texts.filter(|text| text.starts_with("pixel "));
    texts.next().expect("it says where the mouse points")
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(60)
    })]

    #[test]
    fn the_nearer_lit_edge_is_named_where_the_mouse_points(
        rig in ordinary(),
        panel in any::<prop::sample::Index>(),
        place in [0.0..1.0f64, 0.0..1.0f64],
    ) {
        let panel = panel.index(rig.panels().len());
        let surface = &rig.layout().surfaces()[panel];
        let px = [0, 1].map(|axis| (place[axis] * surface.pixels[axis]) as u32);
        let [x, y] = px.map(|v| f64::from(v) + 0.5);
        let text = pointed(&rig, Hover { panel, px });

        let edges = [
            ("left", along_mm(surface, 0.0, x)),
            ("right", along_mm(surface, x, surface.pixels[0])),
        ];
        let (edge, mm) = if edges[0].1 < edges[1].1 { edges[0] } else { edges[1] };
        let begin = format!("pixel {}, {} of \"p{panel}\": ", px[0], px[1]);
        let rest = text.strip_prefix(&begin).expect(&text);
        prop_assert!(rest.contains(&format!(" mm from its {edge} lit edge, ")), "{}", text);
        let number = |from: &str, to: &str| -> f64 {
            let (_, after) = text.split_once(from).expect(&text);
            after.split(to).next().expect(&text).parse().expect(&text)
        };
        prop_assert!((number(&begin, " mm") - mm).abs() < 0.051, "{} of {}", mm, text);

        let point = surface.point_px(x, y);
        let turn = point.x.atan2(-point.z).to_degrees();
        let rise = (point.y / point.length()).asin().to_degrees();
        prop_assert!((number("azimuth ", "°") - turn).abs() < 0.0051, "{} of {}", turn, text);
        prop_assert!((number("elevation ", "°") - rise).abs() < 0.0051, "{} of {}", rise, text);
    }

    #[test]
    fn a_drag_is_undone_and_redone_as_a_whole(
        rig in ordinary(),
        before in 0..4,
        steps in proptest::collection::vec(1..4, 2..8),
    ) {
        let mut nudging = Nudging::new(rig, Layers::ALL);
        for _ in 0..before {
            nudging.act(Act::Fine(1.0));
        }
        let start = nudging.now().clone();
        nudging.begin_drag();
        for (index, count) in steps.iter().enumerate() {
            // A drag may take several values along.
            nudging.act(Act::Choose(index.cast_signed() % 2));
            nudging.act(Act::Fine(f64::from(*count)));
        }
        nudging.end_drag();
        let end = nudging.now().clone();
        prop_assume!(end != start);
        for _ in 0..2 {
            prop_assert_eq!(nudging.act(Act::Undo), Effect::Picture);
            prop_assert_eq!(nudging.now(), &start);
            prop_assert_eq!(nudging.act(Act::Redo), Effect::Picture);
            prop_assert_eq!(nudging.now(), &end);
        }
        prop_assert_eq!(nudging.act(Act::Redo), Effect::None);
    }
}
