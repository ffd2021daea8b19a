//! The moving layer: where the bars are, how little changes, and how little flashes.

mod photos;
mod rigs;
mod wild;

use glam::DVec3;
use photos::{Chance, at_seam, marks, point};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use throughline::geometry::{azimuth, elevation};
use throughline::glass::{Glass, Piece, Stale};
use throughline::light::{Colour, Tables};
use throughline::pattern::{
    Choices, Guides, Layer, Layers, Mark, Motion, Pattern, Wedge, WedgeEdge,
};
use throughline::raster::{Picture, draw, update};
use throughline::rig::{Panel, Parts, PxRect, Rig, Seam, Seat, Size, Turn, ViewId, demos, read};
use throughline::typeset::Typesetter;

fn demo_rigs() -> Vec<Rig> {
    let rigs = demos().iter();
    rigs.map(|demo| read(demo.text, demo.name, &[]).expect("a sound demo"))
        .collect()
}

fn frame_of(rig: &Rig, frame: u32, speed_deg_s: f64, typesetter: &mut Typesetter) -> Vec<Mark> {
    frame_with(Layers::NONE, rig, frame, speed_deg_s, typesetter)
}

/// A frame with other layers beside the moving one.
fn frame_with(
    layers: Layers,
    rig: &Rig,
    frame: u32,
    speed_deg_s: f64,
    typesetter: &mut Typesetter,
) -> Vec<Mark> {
    let motion = Motion { frame, speed_deg_s };
    let choices = Choices {
        motion,
        ..Choices::default()
    };
    let layers = layers.with(Layer::Motion);
    Pattern::with_choices(rig, &Guides::of(rig), layers, choices, typesetter).into_marks()
}

fn wedges(marks: &[Mark]) -> impl Iterator<Item = &Wedge> {
    marks.iter().filter_map(|mark| match mark {
        Mark::Wedge(wedge) => Some(wedge),
        _ => None,
    })
}

/// Value of an edge at a pixel coordinate, positive to the right of it.
fn value(edge: &WedgeEdge, column: u32, y: f64) -> f64 {
    let column = edge.curve.column(column);
    (column.at_top + column.per_row * y) * edge.factor
}

/// Degrees of azimuth from the rig's leftmost lit point to its rightmost, counted on
/// from panel to panel, and the leftmost one.
fn range_deg(rig: &Rig) -> [f64; 2] {
    let mut all = Vec::new();
    let mut last = 0.0_f64;
    for surface in rig.layout().surfaces() {
        for across in 0..=200 {
            for down in [0.5, 0.0, 0.25, 0.75, 1.0] {
                let at = rigs::at(surface, f64::from(across) / 200.0, down);
                let here = azimuth(at).to_degrees();
                last += (here - last + 180.0).rem_euclid(360.0) - 180.0;
                all.push(last);
            }
        }
    }
    let first = all.iter().copied().fold(f64::INFINITY, f64::min);
    let last = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    [first, last - first]
}

/// Whether a wedge covers the middle of a pixel.
fn is_swept(marks: &[Mark], [column, row]: [u32; 2]) -> bool {
    wedges(marks).any(|wedge| {
        let PxRect { x, y, .. } = wedge.clip;
        let is_near =
            (x..wedge.clip.right()).contains(&column) && (y..wedge.clip.bottom()).contains(&row);
        is_near && {
            let y = f64::from(row) + 0.5;
            let [from, to] = wedge
                .edges
                .each_ref()
                .map(|edge| value(edge, column, y) > 0.0);
            from && !to
        }
    })
}

/// A row of the canvas at about eye level on a panel, for its middle column.
fn eye_level(rig: &Rig, panel: usize) -> u32 {
    let (surface, lit) = (&rig.layout().surfaces()[panel], rig.canvas().panels[panel]);
    let row = surface
        .t_at_elevation(0.0, 0.0)
        .map_or(0.0, |t| surface.py_at_t(t));
    lit.y + row.clamp(2.0, surface.pixels[1] - 3.0) as u32
}

fn random_rigs(count: usize) -> Vec<Rig> {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut one = || {
        rigs::ordinary()
            .new_tree(&mut runner)
            .expect("a rig")
            .current()
    };
    (0..count).map(|_| one()).collect()
}

/// Both bars cover what lies within their width of one azimuth, which grows by the speed
/// over the clock's rate with every frame, on all panels alike.
#[test]
fn bars_move_by_the_same_angle_over_all_panels() {
    let mut chance = Chance(17);
    let mut covered = [0; 2];
    for rig in demo_rigs().into_iter().chain(random_rigs(40)) {
        let [first_deg, lit_deg] = range_deg(&rig);
        let range_deg = lit_deg + 2.0;
        let rate_hz = Motion::clock_hz(&rig);
        let mut typesetter = Typesetter::new();
        for _ in 0..8 {
            let (frame, asked) = (chance.below(20_000) as u32, chance.within(1.0, 90.0));
            let speed = Motion {
                frame,
                speed_deg_s: asked,
            }
            .speed_on(&rig);
            let slowest = asked.min(range_deg / 1.05);
            assert!((speed - slowest).abs() < 0.05, "{speed} {slowest}");
            // How far it went is counted by the speed that is held, which is measured
            // on other points here than there.
            if asked > slowest - 0.1 && speed != asked {
                continue;
            }
            let marks = frame_of(&rig, frame, asked, &mut typesetter);
            let way = speed * f64::from(frame) / rate_hz;
            let sweeps = (way / range_deg).ceil();
            let middles =
                [way, way + range_deg / 2.0].map(|way| first_deg - 1.0 + way.rem_euclid(range_deg));
            // Each sweep adds what the two ranges differ by.
            let room_deg = 0.02 + 0.002 * sweeps;
            if room_deg > 0.1 {
                continue;
            }
            for panel in 0..rig.panels().len() {
                let lit = rig.canvas().panels[panel];
                let row = eye_level(&rig, panel);
                for column in (lit.x..lit.right()).step_by(3) {
                    let at = [f64::from(column) + 0.5, f64::from(row) + 0.5];
                    let here = azimuth(point(&rig, panel, at)).to_degrees();
                    let off = middles
                        .map(|middle| ((here - middle + 180.0).rem_euclid(360.0) - 180.0).abs());
                    let is_within = |room: f64| off[0] < 1.0 + room || off[1] < 0.15 + room;
                    let is_lit = is_swept(&marks, [column, row]);
                    assert!(!is_lit || is_within(room_deg), "{here} {middles:?}");
                    assert!(is_lit || !is_within(-room_deg), "{here} {middles:?}");
                    for bar in 0..2 {
                        covered[bar] += usize::from(off[bar] < [1.0, 0.15][bar] - room_deg);
                    }
                }
            }
        }
    }
    assert!(covered[0] > 1000 && covered[1] > 50, "{covered:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any rig that is one can be drawn, and nudged and a frame later over that.
    #[test]
    fn any_rig_moves(case in wild::case(), frame in any::<u32>(), speed_deg_s in any::<f64>()) {
        let Some(case) = case else {
            return Err(TestCaseError::reject("no rig"));
        };
        let [w, h] = case.before.canvas().size_px;
        let mut typesetter = Typesetter::new();
        let [before, after] = [(&case.before, frame), (&case.after, frame.wrapping_add(1))]
            .map(|(rig, frame)| frame_with(case.layers, rig, frame, speed_deg_s, &mut typesetter));
        let [mut picture, mut anew] = [(); 2].map(|()| Picture::new([w, h]));
        let whole = PxRect { x: 0, y: 0, w, h };
        draw(&before, &mut picture, whole);
        update(&before, &after, &mut picture);
        draw(&after, &mut anew, whole);
        prop_assert!(anew == picture);
    }

    /// A wedge's pixels are covered by the share that lies between its planes.
    #[test]
    fn wedges_are_covered_exactly(rig in rigs::ordinary(), frame in 0u32..5000) {
        let marks = frame_of(&rig, frame, 30.0, &mut Typesetter::new());
        let tables = Tables::get();
        for wedge in wedges(&marks) {
            let mut picture = Picture::new(rig.canvas().size_px);
            let mark = Mark::Wedge(wedge.clone());
            draw(std::slice::from_ref(&mark), &mut picture, wedge.clip);
            let full = Colour(mark.colour().0).linear()[1];
            let row = wedge.clip.y + wedge.clip.h / 3;
            for column in wedge.clip.x..wedge.clip.right() {
                let at = PxRect { x: column, y: row, w: 1, h: 1 };
                let share = f64::from(tables.linear(picture.row(at, row)[1]) / full);
                // 40 × 40 places in the pixel.
                let places = (0..1600).filter(|place| {
                    let [dx, dy] = [place % 40, place / 40].map(|n| (f64::from(n) + 0.5) / 40.0 - 0.5);
                    let [from, to] = wedge.edges.each_ref().map(|edge| {
                        let [across, per_down] = edge.curve.across(column);
                        let slope = (across + per_down * (f64::from(row) + 0.5)) * edge.factor;
                        value(edge, column, f64::from(row) + 0.5 + dy) + slope * dx
                    });
                    from > 0.0 && to <= 0.0
                });
                let counted = places.count() as f64 / 1600.0;
                prop_assert!((share - counted).abs() < 0.03, "{share} {counted}");
            }
        }
    }
}

#[test]
fn a_frame_changes_at_most_a_megabyte_and_only_what_moved() {
    let fastest = Motion::SPEEDS_DEG_S[1];
    let mut typesetter = Typesetter::new();
    let mut most = 0;
    for rig in demo_rigs() {
        let [w, h] = rig.canvas().size_px;
        let whole = PxRect { x: 0, y: 0, w, h };
        for frame in (0..400).step_by(9).chain([(1 << 19) - 1, (1 << 20) - 1]) {
            let before = frame_of(&rig, frame, fastest, &mut typesetter);
            let after = frame_of(&rig, frame + 1, fastest, &mut typesetter);
            let mut picture = Picture::new([w, h]);
            draw(&before, &mut picture, whole);
            // What a window over the whole canvas sends: pixels, and where runs of them go.
            let piece = Piece {
                source: whole,
                at_px: [0, 0],
            };
            let mut glass = Glass::new([w, h], vec![piece], Vec::new());
            assert_eq!(glass.take_stale(), Stale::Whole);
            glass.take(&update(&before, &after, &mut picture));
            let Stale::Runs(runs) = glass.take_stale() else {
                panic!("{}, frame {frame}: all of it", rig.name());
            };
            let bytes: u64 = runs.iter().map(|run| u64::from(run.w) * 4 + 8).sum();
            assert!(bytes <= 1_000_000, "{}, frame {frame}: {bytes}", rig.name());
            most = most.max(bytes);
            if frame % 45 == 0 {
                let mut anew = Picture::new([w, h]);
                draw(&after, &mut anew, whole);
                assert!(anew == picture, "{}, frame {frame}", rig.name());
            }
        }
    }
    assert!(most > 100_000, "{most}: nothing moved");
}

/// Steradians of a part of the canvas inside a panel, as two triangles: A. van
/// Oosterom and J. Strackee, *The Solid Angle of a Plane Triangle* (1983).
fn solid_angle(rig: &Rig, panel: usize, [left, top, right, bottom]: [f64; 4]) -> f64 {
    let corner = |x, y| point(rig, panel, [x, y]).normalize();
    let [a, b] = [corner(left, top), corner(right, top)];
    let [c, d] = [corner(right, bottom), corner(left, bottom)];
    let triangle = |a: DVec3, b: DVec3, c: DVec3| {
        let volume = a.dot(b.cross(c)).abs();
        2.0 * volume.atan2(1.0 + a.dot(b) + b.dot(c) + c.dot(a))
    };
    triangle(a, b, c) + triangle(a, c, d)
}

/// Flashes, which are pairs of changes, in the second that has most.
fn most_flashes(states: &[bool], rate_hz: f64) -> f64 {
    let second = rate_hz.ceil() as usize;
    let changes: Vec<usize> = (1..states.len())
        .filter(|&frame| states[frame] != states[frame - 1])
        .collect();
    let within = |from: usize| {
        changes
            .iter()
            .filter(|&&at| (from..from + second).contains(&at))
            .count()
    };
    changes.iter().map(|&from| within(from)).max().unwrap_or(0) as f64 / 2.0
}

/// The panel that holds a mark of the canvas.
fn panel_of(rig: &Rig, clip: PxRect) -> Option<usize> {
    rig.canvas().panels.iter().position(|lit| lit.holds(clip))
}

fn check_flashes(rig: &Rig, speed_deg_s: f64, first: u32) {
    let rate_hz = Motion::clock_hz(rig);
    let mut typesetter = Typesetter::new();
    let frames: Vec<Vec<Mark>> = (0..(2.2 * rate_hz) as u32)
        .map(|frame| frame_of(rig, first + frame, speed_deg_s, &mut typesetter))
        .collect();
    let still = &frames[0];
    // Marks but wedges pair up from frame to frame.
    let rest: Vec<Vec<&Mark>> = frames
        .iter()
        .map(|marks| {
            marks
                .iter()
                .filter(|mark| !matches!(mark, Mark::Wedge(_)))
                .collect()
        })
        .collect();
    assert!(rest.iter().all(|marks| marks.len() == rest[0].len()));
    // Where they are, and their area.
    let mut spots: Vec<(DVec3, f64)> = Vec::new();
    for (index, mark) in rest[0].iter().enumerate() {
        let states: Vec<bool> = match mark {
            Mark::Bar(_) => {
                let lit = |mark: &Mark| mark.colour() != Colour::BLACK;
                rest.iter().map(|marks| lit(marks[index])).collect()
            }
            // A digit that becomes another changes its state.
            _ => {
                let mut state = false;
                let pairs = rest.windows(2).map(|pair| pair[0][index] != pair[1][index]);
                pairs
                    .map(|has_changed| {
                        state ^= has_changed;
                        state
                    })
                    .collect()
            }
        };
        if most_flashes(&states, rate_hz) > 3.0 {
            let bounds = mark.bounds().expect("is seen");
            let edges = [bounds.x, bounds.y, bounds.right(), bounds.bottom()].map(f64::from);
            let panel = panel_of(rig, bounds).expect("on a panel");
            let [left, top, right, bottom] = edges;
            let middle = point(rig, panel, [left.midpoint(right), top.midpoint(bottom)]);
            spots.push((middle.normalize(), solid_angle(rig, panel, edges)));
        }
    }
    let has_strips = still
        .iter()
        .filter(|mark| matches!(mark, Mark::Bar(_)))
        .count()
        > 20;
    assert_eq!(
        spots.is_empty(),
        !has_strips,
        "cells flash where there are any"
    );
    // Fields around each spot, and between each two.
    for (one, _) in &spots {
        for (other, _) in &spots {
            let field = (*one + *other).normalize();
            let inside = spots
                .iter()
                .filter(|(at, _)| at.angle_between(field) < 5_f64.to_radians());
            let area: f64 = inside.map(|(_, area)| area).sum();
            assert!(area < 0.006, "{area} sr");
        }
    }
    // The bars: any place at eye level.
    for (panel, lit) in rig.canvas().panels.iter().enumerate() {
        for across in [0.02, 0.3, 0.5, 0.8, 0.98] {
            let column = lit.x + (f64::from(lit.w) * across) as u32;
            let at = [column, eye_level(rig, panel)];
            let states: Vec<bool> = frames.iter().map(|marks| is_swept(marks, at)).collect();
            assert!(
                most_flashes(&states, rate_hz) <= 3.0,
                "panel {panel}, {across}"
            );
        }
    }
}

#[test]
fn nothing_flashes_more_than_the_limits_allow() {
    for rig in demo_rigs() {
        check_flashes(&rig, 90.0, 1000);
    }
    let mut chance = Chance(11);
    for rig in random_rigs(12) {
        let mut parts = rig.into_parts();
        // From nearer and from farther than anybody sits, at any rate.
        parts.seat.distance_mm *= [0.4, 1.0, 3.0][chance.below(3)];
        let facing = parts.seat.view.panel;
        parts.panels[facing].refresh_hz =
            [None, Some(30.0), Some(144.0), Some(240.0)][chance.below(4)];
        if let Ok(rig) = Rig::new(parts) {
            check_flashes(&rig, chance.within(1.0, 90.0), chance.below(900_000) as u32);
        }
    }
}

/// An eye right before a seam, as near as a rig may have it: strips of the usual size
/// would flash too large. And narrow panels far away, over which the fastest bars would
/// sweep more than once a second.
#[test]
fn rigs_at_the_limits_flash_no_more() {
    let panel = |name: &str| Panel {
        refresh_hz: Some(240.0),
        ..Panel::new(name, [1920, 1280], Size::LitMm([300.0, 200.0]))
    };
    let rig = |distance_mm, height_mm, offset_mm| {
        let seat = Seat {
            view: ViewId { panel: 0, view: 0 },
            distance_mm,
            height_mm,
            offset_mm,
        };
        Rig::new(Parts {
            window: None,
            name: "limit".to_owned(),
            seat,
            panels: vec![panel("one"), panel("other")],
            seams: vec![Seam::new(Turn::FoldDeg(10.0))],
        })
        .expect("a rig")
    };
    for height_mm in [-50.0, 0.0, 50.0] {
        check_flashes(&rig(150.0, height_mm, 150.0), 30.0, 77);
    }
    check_flashes(&rig(1500.0, 0.0, 0.0), 90.0, 0);
}

#[test]
fn strips_stand_at_the_edges_at_equal_elevations() {
    for rig in demo_rigs() {
        let marks = marks(&rig, Layers::NONE, 7);
        for seam in 0..rig.seams().len() {
            let borders = at_seam(&rig, &marks, seam).expect("has room");
            let mut seen = Vec::new();
            for (side, [left, top, right, bottom]) in borders.into_iter().enumerate() {
                let panel = seam + side;
                let lit = rig.canvas().panels[panel];
                let surface = &rig.layout().surfaces()[panel];
                let [pitch, pitch_y] = surface.pitch_mm();
                let (edge, from_edge) = match side {
                    0 => (lit.right(), f64::from(lit.right()) - right),
                    _ => (lit.x, left - f64::from(lit.x)),
                };
                assert!((3.0..8.0).contains(&(from_edge * pitch)), "{}", rig.name());
                let cell_mm = (bottom - top) * pitch_y / 7.6;
                assert!((4.0..6.0).contains(&cell_mm), "{}: {cell_mm}", rig.name());
                let at = |row: f64| elevation(point(&rig, panel, [f64::from(edge), row]));
                seen.push(([at(top), at(bottom)], pitch_y / surface.middle.length()));
            }
            let [(one, px), (other, other_px)] = [seen[0], seen[1]];
            for end in 0..2 {
                // Each cell is a whole number of rows, seven and a half of them high.
                assert!(
                    (one[end] - other[end]).abs() < 3.0 * px.max(other_px),
                    "{}",
                    rig.name()
                );
            }
        }
    }
}

#[test]
fn the_clock_is_the_facing_panels_and_odd_speeds_are_held() {
    for rig in demo_rigs() {
        let facing = &rig.panels()[rig.seat().view.panel];
        assert_eq!(Motion::clock_hz(&rig), facing.refresh_hz.unwrap_or(60.0));
        let speed_on = |speed_deg_s| {
            Motion {
                frame: 0,
                speed_deg_s,
            }
            .speed_on(&rig)
        };
        assert_eq!(speed_on(45.0), 45.0);
        assert_eq!(speed_on(f64::NAN), 30.0);
        assert_eq!(speed_on(f64::INFINITY), 90.0);
        assert_eq!(speed_on(-3.0), 1.0);
        let mut parts = rig.clone().into_parts();
        parts.panels[rig.seat().view.panel].refresh_hz = None;
        assert_eq!(Motion::clock_hz(&Rig::new(parts).expect("as sound")), 60.0);
    }
}
