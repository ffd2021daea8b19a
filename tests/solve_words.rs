//! What `solve` tells people to do, held against where points of the panels go on
//! random rigs; and that an estimate never fails.

mod eyes;
mod rigs;

use eyes::{Chance, Person};
use glam::DVec3;
use proptest::prelude::*;
use rigs::{at, in_plan, ordinary};
use throughline::geometry::EyePlane;
use throughline::readings::{DrawnLine, Eye, Line, Prior, Reading, Readings};
use throughline::rig::{Measure, Parts, Rig, Turn};
use throughline::solve::{Course, Move, Priors, further, solve};

/// The rig with every turn as a fold, so that each value moves one thing.
fn folds(rig: &Rig) -> Parts {
    let mut parts = rig.parts().clone();
    for seam in 0..parts.seams.len() {
        parts.seams[seam].turn = Turn::FoldDeg(parts.fold_rad(seam).to_degrees());
    }
    parts
}

/// The rig that stands otherwise than its file says in one value.
fn stands(file: &Rig, measure: Measure, change: f64) -> Option<Rig> {
    let mut parts = folds(file);
    let now = measure.get(&parts)?;
    measure.put(&mut parts, now + change);
    Rig::new(parts).ok()
}

/// Millimetres in a sentence: the number before " mm".
fn mm(words: &str) -> f64 {
    let before = words.split(" mm").next().expect("a length");
    let number = before.split(' ').next_back().expect("a number");
    number.parse().unwrap_or_else(|_| panic!("{words}"))
}

/// Panels named in a sentence, in its order.
fn named(words: &str, rig: &Rig) -> Vec<usize> {
    let quoted = words.split('"').skip(1).step_by(2);
    let place = |name: &str| rig.panels().iter().position(|panel| panel.name == name);
    quoted.filter_map(place).collect()
}

fn values(rig: &Rig) -> Vec<Measure> {
    Priors::new(rig, &[]).measures().to_vec()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Whoever does what the sentence says takes the rig from how it stands to how its
    /// file has it.
    #[test]
    fn a_move_leads_from_the_rig_to_its_file(
        file in ordinary(),
        which in any::<prop::sample::Index>(),
        size in 0.6..3.0f64,
        is_more in any::<bool>(),
    ) {
        let all = values(&file);
        let measure = all[which.index(all.len())];
        let change = if is_more { size } else { -size };
        let Some(stands) = stands(&file, measure, change) else { return Ok(()) };
        let words = Move::back(measure, &folds(&file), change).expect("it can be moved").words;
        let has = |piece: &str| words.contains(piece);
        let panels = named(&words, &file);
        let amount = mm_or_deg(&words);
        prop_assert!((amount - size).abs() < 0.051, "{}: {}", words, size);
        let [now, then] = [&stands, &file].map(|rig| rig.layout().surfaces());
        let facing = file.seat().view.panel;
        match measure.spec().key {
            // The seat moves, the panels seem to move the other way.
            "distance_mm" => {
                let nearer = now[facing].middle.z < then[facing].middle.z;
                prop_assert_eq!(has("nearer to"), nearer, "{}", words);
                prop_assert_ne!(has("nearer to"), has("away from"));
            }
            "height_mm" => {
                prop_assert_eq!(has("Lower"), now[facing].middle.y < then[facing].middle.y);
                prop_assert_ne!(has("Lower"), has("Raise"));
            }
            "offset_mm" => {
                prop_assert_eq!(has("left"), now[facing].middle.x < then[facing].middle.x);
                prop_assert_ne!(has("left"), has("right"));
            }
            "roll_deg" => {
                let (now, then) = (&now[panels[0]], &then[panels[0]]);
                let fall = |s: &throughline::geometry::Surface| (at(s, 0.0, 0.5) - at(s, 1.0, 0.5)).dot(now.y);
                // Against its left end, the right one goes down: the fall grows.
                let down = fall(then) - fall(now);
                prop_assert_eq!(has("goes down"), down > 0.0, "{}", words);
                prop_assert_eq!(has(" clockwise"), has("goes down"));
                prop_assert!((down.abs() - mm(&words)).abs() < 0.3, "{}: {}", words, down);
            }
            "tilt_deg" => {
                let lean = |s: &throughline::geometry::Surface| {
                    let [low, high] = [1.0, 0.0].map(|down| at(s, 0.5, down).length());
                    high - low
                };
                let to_you = lean(&then[panels[0]]) < lean(&now[panels[0]]);
                prop_assert_eq!(has("towards you"), to_you, "{}", words);
                prop_assert_ne!(has("towards you"), has("away from you"));
                let top = |s: &throughline::geometry::Surface| at(s, 0.5, 0.0) - at(s, 0.5, 1.0);
                let way = (top(&then[panels[0]]) - top(&now[panels[0]])).length();
                prop_assert!((way - mm(&words)).abs() < 0.2, "{}: {}", words, way);
            }
            "fold_deg" => {
                let panel = panels[0];
                let (edge, hinge) = if has("right edge") { (1.0, 0.0) } else { (0.0, 1.0) };
                prop_assert_ne!(has("right edge"), has("left edge"));
                // The outer edge, against the one beside the seam, seen from above.
                let arm = |s: &throughline::geometry::Surface| at(s, edge, 0.5) - at(s, hinge, 0.5);
                let way = in_plan(arm(&then[panel]) - arm(&now[panel]));
                prop_assert!((way.length() - mm(&words)).abs() < 0.25, "{}: {}", words, way);
                let is_outer = if has("right edge") { panel > facing } else { panel < facing };
                prop_assert!(is_outer, "{}", words);
                let to_you = way.dot(in_plan(now[panel].z)) > 0.0;
                prop_assert_eq!(has("towards you"), to_you, "{}", words);
                prop_assert_ne!(has("towards you"), has("away from you"));
            }
            "gap_mm" => {
                let [mover, other] = panels[..] else { panic!("{words}") };
                let apart = |rig: &Rig| {
                    let [left, right] = rig.layout().seam(mover.min(other));
                    in_plan(at(left, 1.0, 0.5) - at(right, 0.0, 0.5)).length()
                };
                let closer = apart(&file) < apart(&stands);
                prop_assert_eq!(has("closer to"), closer, "{}", words);
                prop_assert_ne!(has("closer to"), has("away from"));
                prop_assert!(mover.abs_diff(facing) > other.abs_diff(facing), "{}", words);
                prop_assert!((now[other].middle - then[other].middle).length() < 1e-9);
            }
            "step_mm" => {
                let mover = panels[0];
                let edge = if mover > facing { 0.0 } else { 1.0 };
                let way = at(&then[mover], edge, 0.5) - at(&now[mover], edge, 0.5);
                let to_you = way.dot(now[mover].z) > 0.0;
                prop_assert_eq!(has("towards you"), to_you, "{}", words);
                prop_assert_ne!(has("towards you"), has("away from you"));
                prop_assert!((way.length() - mm(&words)).abs() < 0.06, "{}: {}", words, way);
            }
            "rise_mm" => {
                let way = then[panels[0]].middle.y - now[panels[0]].middle.y;
                prop_assert_eq!(has("Raise"), way > 0.0, "{}", words);
                prop_assert_ne!(has("Raise"), has("Lower"));
                prop_assert!((way.abs() - mm(&words)).abs() < 0.06, "{}", words);
            }
            other => prop_assert!(false, "{} is not tried", other),
        }
        // What stands beyond comes along, and is said to where there is something.
        if matches!(measure, Measure::Seam(..)) {
            let is_last = panels[0] == 0 || panels[0] + 1 == file.panels().len();
            prop_assert_eq!(has("what stands beyond"), !is_last, "{}", words);
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// Whatever was read: finite values within their limits, a finite covariance, and
    /// an uncertainty that readings only lower.
    #[test]
    fn an_estimate_never_fails(
        file in ordinary(),
        lines in prop::collection::vec(
            (any::<prop::sample::Index>(), prop::array::uniform3(-1.0..1.0f64), 0.0..1.0f64, 0.0..1.0f64, 0.0..1.0f64),
            0..9,
        ),
        slide in prop_oneof![-30.0..30.0f64, -1000.0..1000.0f64],
        sigma_px in prop_oneof![0.1..1.0f64, Just(1e-6), Just(1e6)],
        prior in prop_oneof![0.5..3.0f64, Just(1e-6), Just(1e6)],
    ) {
        let seams = file.seams().len();
        let reading = |(seam, normal, from, to, at): (prop::sample::Index, [f64; 3], f64, f64, f64)| {
            let seam = seam.index(seams);
            let [left, right] = [seam, seam + 1].map(|panel| f64::from(file.panels()[panel].pixels[0]));
            Some(Reading {
                line: Line {
                    seam,
                    plane: EyePlane::new(DVec3::from_array(normal))?,
                    left_px: [from * left, to * left],
                    right_px: at * right,
                },
                slide_px: slide,
                sigma_px,
                slides_px: None,
            })
        };
        let readings: Vec<Reading> = lines.into_iter().filter_map(reading).collect();
        let named = [Prior { measure: values(&file)[0], sigma: prior }];
        let priors = Priors::new(&file, &named);
        let found = solve(&file, &readings, &priors);
        for value in found.values() {
            prop_assert!(value.solved.is_finite() && value.sigma.is_finite(), "{:?}", value);
            prop_assert!(value.sigma > 0.0 && value.sigma <= value.before * (1.0 + 1e-3), "{:?}", value);
            prop_assert_eq!(value.measure.spec().limit.broken_by(value.solved), None);
        }
        prop_assert!(found.covariance().iter().flatten().all(|entry| entry.is_finite()));
        prop_assert!(found.fits().iter().all(|fit| fit.residual_px.is_finite() || fit.repeat));
        prop_assert!(found.left_rad().is_finite());
        let _ = (found.known(), found.together(), further(&found), found.breaks(file.layout()));
    }

    /// Read without error, a rig's own numbers come back; and what is written is read.
    #[test]
    fn a_sound_course_ends_at_the_rig_that_was_read(file in ordinary(), seed in 0u64..1000) {
        let mut chance = Chance::new(seed);
        let truth = eyes::wrong(&file, &mut chance);
        let mut course = Course::new(file.clone(), Eye::PEEP_CARD);
        let still = Eye { pointing_rad: 0.0, sway_mm: 0.0 };
        let person = Person { eye: still, blunders: 0.0 };
        let slides = person.run(&mut course, &truth, &mut chance);
        prop_assert!(slides <= 2 * 9 * file.seams().len());
        prop_assert_eq!(course.left() + course.readings().readings.len(), 8 * file.seams().len());
        prop_assert!(course.estimate().fits().iter().all(|fit| !fit.repeat));
        // No noise: what priors draw away is no more than what they foresee.
        let foreseen = course.estimate().left_rad().to_degrees() * 60.0;
        let worst = eyes::worst_near(course.estimate().rig(), &truth);
        prop_assert!(worst < 0.5 + 3.0 * foreseen, "{}' of {}'", worst, foreseen);
        for reading in &course.readings().readings {
            let line = DrawnLine::new(reading.line, file.layout()).expect("drawn");
            prop_assert!(line.is_lit(file.layout(), 0.0));
        }
        let kept = course.readings();
        let back = Readings::read(&kept.write(), "x").expect("its own");
        prop_assert_eq!(back.readings.len(), kept.readings.len());
        for (back, kept) in back.readings.iter().zip(&kept.readings) {
            let off = back.line.plane.normal() - kept.line.plane.normal();
            prop_assert!(off.length() < 1e-12 && back.line.seam == kept.line.seam);
            let pairs = [(back.slide_px, kept.slide_px), (back.sigma_px, kept.sigma_px)];
            prop_assert!(pairs.iter().all(|(a, b)| (a - b).abs() < 1e-9));
            prop_assert!(back.slides_px.is_some());
        }
        prop_assert_eq!(back.difference(&file), None);
        prop_assert_eq!(&back.rig_toml, &kept.rig_toml);
        prop_assert_eq!(kept.difference(&file), None);
        prop_assert!(kept.fit(&file, "x").is_ok());
    }
}

/// The amount of a move, in its value's own unit.
fn mm_or_deg(words: &str) -> f64 {
    let degrees = words.split('°').next().filter(|_| words.contains('°'));
    match degrees {
        Some(before) => {
            let number = before.split([' ', '(']).next_back().expect("a number");
            number.parse().unwrap_or_else(|_| panic!("{words}"))
        }
        None => mm(words),
    }
}
