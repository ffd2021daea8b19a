//! Made-up photographs of rigs that stand otherwise than their files say: what `measure`
//! makes of them against how they stand.

mod eyes;
mod rigs;
mod shots;

use eyes::Chance;
use glam::{DVec2, DVec3};
use proptest::prelude::*;
use rigs::ordinary;
use shots::{Glass, Phone, stands_otherwise, with_folds};
use throughline::photo::{Measurement, Photograph, Reason, measure, moves};
use throughline::rig::{Measure, Rig, SeamQuantity, demos, read};

fn demo(name: &str) -> Rig {
    let demo = demos()
        .iter()
        .find(|demo| demo.name == name)
        .expect("a demo");
    read(demo.text, demo.name, &[]).expect("a sound rig")
}

/// A file, how the rig stands, and what it is photographed by.
struct Case {
    file: Rig,
    built: Rig,
    glass: Glass,
    phones: Vec<Phone>,
    chance: Chance,
}

impl Case {
    fn new(name: &str, seed: u64) -> Case {
        let file = demo(name);
        let mut chance = Chance::new(seed);
        let mut built = (0..20).filter_map(|_| stands_otherwise(&file, 1.0, &mut chance));
        let built = built.next().expect("a rig");
        Case {
            glass: Glass::usual(&built, &mut chance),
            phones: Phone::three(&mut chance),
            file,
            built,
            chance,
        }
    }

    fn photos(&mut self) -> Vec<Photograph> {
        let phones = self.phones.clone();
        let shoot = |phone: &Phone| phone.shoot(&self.built, &self.glass, &mut self.chance);
        phones.iter().map(shoot).collect()
    }

    /// Of what is determined: its path, its error, and its sigma.
    fn off(&self, found: &Measurement) -> Vec<(String, f64, f64)> {
        let told = found.values().iter().filter(|value| value.is_determined());
        told.map(|value| {
            let truth = value
                .measure
                .plain(self.built.parts())
                .expect("it is there");
            (
                value.measure.plain_path(),
                value.solved - truth,
                value.sigma,
            )
        })
        .collect()
    }

    /// Errors in sigmas of what is determined, and a check of what is promised of it.
    fn errors(&self, found: &Measurement) -> Vec<f64> {
        let off = self.off(found).into_iter();
        off.map(|(path, error, sigma)| {
            assert!(
                error.abs() < promised(&path),
                "{}: {path} is off by {error}",
                self.file.name()
            );
            error / sigma
        })
        .collect()
    }
}

/// What is promised, by the end of a path.
fn promised(path: &str) -> f64 {
    match path.rsplit('.').next().expect("a key") {
        "fold_deg" => 0.2,
        "gap_mm" | "step_mm" | "rise_mm" => 0.5,
        "roll_deg" | "tilt_deg" => 0.1,
        _ if path.starts_with("seat") => 3.0,
        _ => f64::INFINITY,
    }
}

fn demo_names() -> impl Iterator<Item = &'static str> {
    demos().iter().map(|demo| demo.name)
}

#[test]
fn wrong_rigs_are_measured_as_they_stand() {
    let mut all = Vec::new();
    for name in demo_names() {
        for seed in 0..6 {
            let mut case = Case::new(name, seed);
            let photos = case.photos();
            let found = measure(&case.file, &photos, Some(0)).expect("it is told");
            all.extend(case.off(&found));
        }
    }
    let count = all.len() as f64;
    assert!(count > 300.0, "{count}");
    let promised = all
        .iter()
        .filter(|(path, error, _)| error.abs() < promised(path))
        .count() as f64;
    assert!(promised >= 0.97 * count, "{promised} of {count}");
    // Values of one rig go together, so that chance alone makes a few per cent.
    let within = all
        .iter()
        .filter(|(_, error, sigma)| error.abs() <= 2.0 * sigma)
        .count() as f64;
    assert!(
        (0.92..0.98).contains(&(within / count)),
        "{within} of {count}"
    );
}

#[test]
fn no_wrong_mark_survives() {
    let mut case = Case::new("tram-cab", 3);
    let mut photos = case.photos();
    for photo in &mut photos {
        for sighting in photo.sightings.iter_mut().step_by(40) {
            let turn = 6.3 * case.chance.share();
            sighting.photo_px += DVec2::from_angle(turn) * (3.0 + 60.0 * case.chance.share());
        }
    }
    let found = measure(&case.file, &photos, Some(0)).expect("it is told");
    case.errors(&found);
    for (photo, taken) in photos.iter().zip(found.photos()) {
        let sound = photo.sightings.len() - photo.sightings.len().div_ceil(40);
        assert!(
            taken.marks <= sound && taken.marks > sound * 98 / 100,
            "{}",
            taken.marks
        );
    }
}

#[test]
fn photographs_that_cannot_serve_are_left_out_with_the_reason() {
    let mut case = Case::new("tram-cab", 5);
    let sound = case.photos();
    let [w, h] = sound[0].size_px.map(f64::from);
    let lens = case.phones[1];
    // Turned by half a turn, cropped, and less noisy by no means.
    let mut turned = sound[1].clone();
    for sighting in &mut turned.sightings {
        sighting.photo_px = DVec2::new(w, h) - sighting.photo_px;
    }
    let mut cropped = sound[1].clone();
    cropped.size_px = [3000, 2000];
    cropped.sightings.retain_mut(|sighting| {
        sighting.photo_px = sighting.photo_px * 1.2 - DVec2::new(700.0, 500.0);
        let at = sighting.photo_px;
        (0.0..3000.0).contains(&at.x) && (0.0..2000.0).contains(&at.y)
    });
    let smaller = Phone {
        size_px: [3000, 2250],
        focal_px: lens.focal_px * 0.75,
        centre_px: lens.centre_px * 0.75,
        ..lens.at([-250.0, 40.0, 230.0], [0.0; 3])
    };
    let zoomed = Phone {
        focal_px: lens.focal_px * 1.3,
        ..lens.at([200.0, 40.0, 330.0], [0.02, 0.0, 0.0])
    };
    let mut one_panel = sound[2].clone();
    one_panel.sightings.retain(|sighting| sighting.panel == 1);
    let mut few = sound[2].clone();
    few.sightings.truncate(8);
    let [smaller, zoomed] =
        [smaller, zoomed].map(|phone| phone.shoot(&case.built, &case.glass, &mut case.chance));
    let with = |odd: Photograph| {
        let photos = [&sound[..], &[odd]].concat();
        let found = measure(&case.file, &photos, Some(0)).expect("three are sound");
        case.errors(&found);
        let reasons: Vec<_> = found.photos().iter().map(|taken| taken.left_out).collect();
        assert_eq!(reasons[..3], [None; 3]);
        reasons[3].expect("a reason")
    };
    assert_eq!(with(turned), Reason::CopyOf(1));
    assert_eq!(with(cropped), Reason::CopyOf(1));
    assert_eq!(with(one_panel), Reason::OnePanel(1));
    assert_eq!(with(few), Reason::FewMarks);
    assert!(matches!(
        with(smaller),
        Reason::OtherSize {
            most_px: [4000, 3000],
            ..
        }
    ));
    let Reason::Zoomed(times) = with(zoomed) else {
        panic!("zoomed");
    };
    assert!((times - 1.3).abs() < 0.1, "{times}");

    // A panel was turned between the third photograph and a fourth.
    let mut parts = with_folds(case.built.parts());
    let fold = Measure::Seam(1, SeamQuantity::Fold);
    let now = fold.get(&parts).expect("a fold");
    fold.put(&mut parts, now + 1.5);
    let moved = Rig::new(parts).expect("a rig");
    let later = lens.at([-200.0, 60.0, 330.0], [0.02, 0.0, 0.0]);
    let later = later.shoot(&moved, &case.glass, &mut Chance::new(9));
    assert_eq!(with(later), Reason::DoesNotFit);
}

#[test]
fn a_seam_seen_from_one_place_keeps_the_file_s_numbers_and_says_what_to_add() {
    let mut case = Case::new("night-train", 1);
    let mut photos = case.photos();
    photos[2].sightings.retain(|sighting| sighting.panel != 0);
    photos[1].sightings.retain(|sighting| sighting.panel != 0);
    let found = measure(&case.file, &photos, Some(0)).expect("it is told");
    case.errors(&found);
    for value in found.values() {
        let is_open = matches!(value.measure, Measure::Seam(0, _));
        assert_eq!(value.is_determined(), value.sigma <= 0.7 * value.before);
        if is_open {
            assert_eq!((value.solved, value.sigma), (value.file, value.before));
        }
    }
    let names = ["a.jpg", "b.jpg", "c.jpg"].map(str::to_owned);
    let said: Vec<_> = (found.seams().iter())
        .map(|seam| seam.words(&names, case.file.parts()))
        .collect();
    assert_eq!(said[1], None);
    let words = said[0].as_deref().expect("one more is wanted");
    assert!(
        words.contains("than a.jpg") && words.contains("\"platform\" and \"line\""),
        "{words}"
    );
}

/// How much smaller a small square at a panel's middle looks than it would face on, from
/// the directions of its corners.
fn foreshortening(rig: &Rig, panel: usize, place: DVec3) -> f64 {
    let surface = &rig.layout().surfaces()[panel];
    let corner = |s: f64, t: f64| (surface.point_mm(s, t) - place).normalize();
    let [a, b, c] = [corner(-0.5, -0.5), corner(0.5, -0.5), corner(-0.5, 0.5)];
    let area = (b - a).cross(c - a).length();
    area * (surface.middle - place).length_squared()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// On rigs flat and curved, the photograph to add is asked for on the side from where
    /// the seam's panels are seen less slantingly.
    #[test]
    fn one_more_is_asked_for_from_the_better_side(rig in ordinary(), seed in any::<u64>()) {
        let mut chance = Chance::new(seed);
        let mut phone = Phone::usual().at([0.0, 0.0, 200.0], [0.0; 3]);
        phone.focal_px = 1800.0;
        let photo = phone.shoot(&rig, &Glass::none(&rig), &mut chance);
        let Ok(found) = measure(&rig, &[photo], Some(0)) else {
            return Ok(());
        };
        for seam in found.seams() {
            let wanted = seam.wanted.expect("one place tells no seam");
            let eye = wanted.beside.map_or(DVec3::ZERO, |_| phone.eye);
            let worse = |side: f64| {
                let place = eye + DVec3::new(side * 300.0, 0.0, 0.0);
                [seam.seam, seam.seam + 1].map(|panel| foreshortening(&rig, panel, place))
                    .into_iter().fold(f64::INFINITY, f64::min)
            };
            let (left, right) = (worse(-1.0), worse(1.0));
            // What differs little may go either way: the file's rig is the one gone by.
            if (left - right).abs() > 0.05 {
                prop_assert_eq!(wanted.is_left, left > right);
            }
            let words = seam.words(&["a.jpg".to_owned()], rig.parts()).expect("wanted");
            let side = if wanted.is_left { "further left" } else { "further right" };
            prop_assert!(words.contains(side), "{}", words);
        }
    }
}

#[test]
fn a_move_is_named_where_one_thing_stands_otherwise() {
    for (name, seam) in [("tram-cab", 0), ("rally-loft", 0), ("ferry-bridge", 1)] {
        for change in [2.5, -2.5] {
            let file = demo(name);
            let mut parts = with_folds(file.parts());
            let fold = Measure::Seam(seam, SeamQuantity::Fold);
            let now = fold.get(&parts).expect("a fold");
            fold.put(&mut parts, now + change);
            let built = Rig::new(parts).expect("a rig");
            let mut case = Case::new(name, 11);
            (case.file, case.built) = (file, built);
            let photos = case.photos();
            let found = measure(&case.file, &photos, Some(0)).expect("it is told");
            let named = moves(&case.file, &found);
            assert_eq!(named.len(), 1, "{name}: {named:?}");
            assert_eq!(named[0].measure, fold);
            assert!((named[0].change - change).abs() < 0.2, "{named:?}");
            let way = if change > 0.0 {
                "away from you"
            } else {
                "towards you"
            };
            assert!(named[0].words.contains(way), "{named:?}");
        }
    }
}

/// Where an ultrawide fills the picture, one panel tells where the eye is, once the other
/// photographs tell how the panels stand.
#[test]
fn the_eye_s_photograph_may_show_one_panel_alone() {
    for seed in 4..7 {
        let mut case = Case::new("ferry-bridge", seed);
        let mut photos = case.photos();
        photos[0].sightings.retain(|sighting| sighting.panel == 1);
        let found = measure(&case.file, &photos, Some(0)).expect("it is told");
        assert_eq!(found.photos()[0].left_out, None);
        for value in found.values() {
            assert!(value.is_determined() || !matches!(value.measure, Measure::Seat(_)));
            let truth = value.measure.plain(case.built.parts());
            let error = (value.solved - truth.expect("it is there")) / value.sigma;
            assert!(error.abs() < 4.0, "{}: {error}", value.measure.plain_path());
        }
        // Alone, it tells of no seam.
        let alone = measure(&case.file, &photos[..1], Some(0)).expect_err("one panel");
        assert_eq!(alone.reasons, [Some(Reason::OnePanel(1))]);
    }
}

/// A slight zoom, which isn't refused, stays in the focal lengths.
#[test]
fn a_slight_zoom_spoils_nothing() {
    for times in [0.96, 1.05] {
        let mut case = Case::new("tram-cab", 6);
        case.phones[1].focal_px *= times;
        let photos = case.photos();
        let found = measure(&case.file, &photos, Some(0)).expect("it is told");
        assert_eq!(found.photos()[1].left_out, None);
        let errors = case.errors(&found);
        assert!(errors.iter().all(|error| error.abs() < 4.0), "{errors:?}");
    }
}
