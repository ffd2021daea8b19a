//! What is said of a nudge and of a place is what the geometry says: which panel
//! moved, which way and how far is read off the panels before and after.

mod rigs;

use glam::DVec3;
use proptest::prelude::*;
use rigs::{along_mm, at, in_plan, ordinary, upright};
use throughline::geometry::Surface;
use throughline::glass::BoxLine;
use throughline::nudging::{Act, Console, Effect, Hover, Meaning, Nudging, main_box, values};
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

/// Where a change of a value leads, as the panels before and after tell it.
struct Told {
    amount: f64,
    /// The way that the test's sentences name first.
    first_way: bool,
    /// The panel that moves across a seam.
    mover: usize,
}

fn told_by_geometry(value: Measure, before: &Rig, after: &Rig) -> Told {
    let [was, is] = [before, after].map(|rig| rig.layout().surfaces());
    let told = |amount: f64, first_way: bool| Told {
        amount,
        first_way,
        mover: 0,
    };
    match value {
        Measure::Seat(what) => {
            let eye = -(middle(&is[0]) - middle(&was[0]));
            for (was, is) in was.iter().zip(is) {
                assert!(
                    (middle(was) - eye).distance(middle(is)) < 1e-9,
                    "one move for all"
                );
            }
            let along = match what {
                SeatQuantity::Height => eye.y,
                SeatQuantity::Offset => eye.x,
                SeatQuantity::Distance => eye.z,
            };
            told(eye.length(), along > 0.0)
        }
        Measure::Panel(panel, what) => {
            let (was, is) = (&was[panel], &is[panel]);
            match what {
                PanelQuantity::Roll => {
                    let [from, to] = [was, is].map(|s| at(s, 1.0, 0.5) - at(s, 0.0, 0.5));
                    told(from.angle_between(to).to_degrees(), to.y > from.y)
                }
                PanelQuantity::Tilt => {
                    let top = at(is, 0.5, 0.0) - at(was, 0.5, 0.0);
                    let angle = facing(was).angle_between(facing(is)).to_degrees();
                    told(angle, top.dot(facing(was)) < 0.0)
                }
                PanelQuantity::Radius => {
                    let longer = radius_mm(is) - radius_mm(was);
                    told(longer.abs(), longer > 0.0)
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
                    told(larger.abs(), larger > 0.0)
                }
            }
        }
        Measure::Seam(seam, SeamQuantity::Hidden) => {
            let [was, is] = [before, after].map(|rig| {
                let panels = &rig.canvas().panels;
                f64::from(panels[seam + 1].x) - f64::from(panels[seam].right())
            });
            told((is - was).abs(), is > was)
        }
        Measure::Seam(seam, what) => {
            let mover = moved(before, after, [seam, seam + 1]);
            let other = 2 * seam + 1 - mover;
            // Columns of the edge at the seam and of the far one, as fractions.
            let [near, far] = if mover > seam { [0.0, 1.0] } else { [1.0, 0.0] };
            let shift = |across: f64| at(&is[mover], across, 0.5) - at(&was[mover], across, 0.5);
            let (amount, first_way) = match what {
                SeamQuantity::Angle | SeamQuantity::Fold => {
                    let [from, to] = [&was[mover], &is[mover]].map(|s| in_plan(facing(s)));
                    let angle = from.angle_between(to).to_degrees();
                    (angle, shift(far).dot(from) > 0.0)
                }
                SeamQuantity::Gap => {
                    let apart = |surfaces: &[Surface]| {
                        in_plan(at(&surfaces[mover], near, 0.5) - at(&surfaces[other], far, 0.5))
                            .length()
                    };
                    let along = along_cases_mm(before, seam, shift(near));
                    (along, apart(is) > apart(was))
                }
                SeamQuantity::Step => {
                    let from_eye =
                        |surfaces: &[Surface]| in_plan(at(&surfaces[mover], near, 0.5)).length();
                    (shift(near).length(), from_eye(is) < from_eye(was))
                }
                _ => {
                    let up = shift(0.5).y;
                    (up.abs(), up > 0.0)
                }
            };
            Told {
                amount,
                first_way,
                mover,
            }
        }
    }
}

/// How it stands on the desk that `moved` is drawn for, against `file`.
fn stands(value: Measure, file: &Rig, moved: &Rig) -> String {
    let told = told_by_geometry(value, file, moved);
    let way = |first: &'static str, second| if told.first_way { first } else { second };
    let name = |panel: usize| format!("\"{}\"", file.panels()[panel].name);
    let amount = value.spec().show(told.amount);
    match value {
        Measure::Seat(SeatQuantity::Height) => {
            format!("the eye is {amount} {}", way("higher", "lower"))
        }
        Measure::Seat(SeatQuantity::Offset) => {
            format!("the eye is {amount} further {}", way("right", "left"))
        }
        Measure::Seat(SeatQuantity::Distance) => format!(
            "the eye is {amount} {} the panels",
            way("further from", "nearer to")
        ),
        Measure::Panel(panel, what) => {
            let panel = name(panel);
            match what {
                PanelQuantity::Roll => format!(
                    "{panel}, as you see it, stands turned {amount} further {}",
                    way("counter-clockwise", "clockwise")
                ),
                PanelQuantity::Tilt => format!(
                    "{panel} leans with its top {amount} further {} you",
                    way("away from", "towards")
                ),
                PanelQuantity::Radius => format!(
                    "{panel} is bent {}, its radius {amount} {}",
                    way("less", "more"),
                    way("longer", "shorter")
                ),
                PanelQuantity::Width => {
                    format!(
                        "the lit area of {panel} is {amount} {}",
                        way("wider", "narrower")
                    )
                }
                PanelQuantity::Height => {
                    format!(
                        "the lit area of {panel} is {amount} {}",
                        way("taller", "shorter")
                    )
                }
                _ => format!(
                    "the lit area of {panel} is {amount} {}",
                    way("larger", "smaller")
                ),
            }
        }
        Measure::Seam(seam, what) => {
            let mover = name(told.mover);
            match what {
                SeamQuantity::Angle | SeamQuantity::Fold => {
                    format!("{mover} stands {amount} further {}", way("in", "out"))
                }
                SeamQuantity::Gap => format!(
                    "{mover} stands {amount} {} {}",
                    way("farther from", "closer to"),
                    name(2 * seam + 1 - told.mover)
                ),
                SeamQuantity::Step => format!(
                    "at this seam {mover} stands {amount} {} you",
                    way("nearer to", "farther from")
                ),
                SeamQuantity::Rise => {
                    format!("{mover} stands {amount} {}", way("higher", "lower"))
                }
                SeamQuantity::Hidden => {
                    format!("the driver hides {amount} {} here", way("more", "fewer"))
                }
            }
        }
    }
}

/// The way from the desk that `moved` is drawn for back to that of `file`.
fn way_back(value: Measure, file: &Rig, moved: &Rig) -> Option<String> {
    let told = told_by_geometry(value, moved, file);
    let way = |first: &'static str, second| if told.first_way { first } else { second };
    let name = |panel: usize| format!("\"{}\"", file.panels()[panel].name);
    Some(match value {
        Measure::Seat(SeatQuantity::Height) => format!("take the eye {}", way("UP", "DOWN")),
        Measure::Seat(SeatQuantity::Offset) => format!("move the eye {}", way("RIGHT", "LEFT")),
        Measure::Seat(SeatQuantity::Distance) => {
            format!("move the eye {} the panels", way("AWAY FROM", "NEARER TO"))
        }
        Measure::Panel(_, PanelQuantity::Roll) => {
            format!("turn it {}", way("COUNTER-CLOCKWISE", "CLOCKWISE"))
        }
        Measure::Panel(_, PanelQuantity::Tilt) => {
            format!("lean its top {} you", way("AWAY FROM", "TOWARDS"))
        }
        Measure::Panel(..) => return None,
        Measure::Seam(_, SeamQuantity::Angle | SeamQuantity::Fold) => {
            format!("turn it {}", way("IN", "OUT"))
        }
        Measure::Seam(seam, SeamQuantity::Gap) => {
            let other = name(2 * seam + 1 - told.mover);
            format!("move it {} {other}", way("AWAY FROM", "CLOSER TO"))
        }
        Measure::Seam(_, SeamQuantity::Step) => {
            format!("at this seam move it {} you", way("TOWARDS", "AWAY FROM"))
        }
        Measure::Seam(_, SeamQuantity::Rise) => format!("{} it", way("RAISE", "LOWER")),
        Measure::Seam(_, SeamQuantity::Hidden) => format!(
            "set the driver to hide {} columns here",
            way("MORE", "FEWER")
        ),
    })
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
                let said = Meaning::of(value, rig.parts(), by);
                let truth = Meaning {
                    stands: stands(value, &rig, &after),
                    undo: way_back(value, &rig, &after),
                };
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
    let lines = main_box(&console, Some(hover), false, "", &[]);
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
