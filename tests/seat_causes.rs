//! Which wrong values are named as the cause of broken lines.

mod rigs;

use glam::DVec3;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use throughline::pattern::{Guides, Layers, Pattern};
use throughline::rig::{
    Measure, PanelQuantity, Parts, Rig, SeamQuantity, SeatQuantity, demos, read,
};
use throughline::seat::{Causes, at_seams, likeliest, readings};
use throughline::typeset::Typesetter;

/// Trials of one kind.
const TRIALS: usize = 100;

/// What can be measured wrong, and a usual error of it.
fn errors(parts: &Parts) -> Vec<(Measure, f64)> {
    let mut errors = Vec::new();
    for seam in 0..parts.seams.len() {
        let turn = Measure::turn(parts, seam).expect("the seam is there");
        errors.push((turn, 1.0));
        for (what, usual) in [
            (SeamQuantity::Gap, 1.0),
            (SeamQuantity::Step, 3.0),
            (SeamQuantity::Rise, 3.0),
        ] {
            errors.push((Measure::Seam(seam, what), usual));
        }
    }
    for panel in 0..parts.panels.len() {
        for (what, usual) in [
            (PanelQuantity::Tilt, 1.0),
            (PanelQuantity::Roll, 0.5),
            (PanelQuantity::Radius, 100.0),
            (PanelQuantity::Diagonal, 0.2),
        ] {
            errors.push((Measure::Panel(panel, what), usual));
        }
    }
    for (what, usual) in [
        (SeatQuantity::Distance, 15.0),
        (SeatQuantity::Height, 10.0),
        (SeatQuantity::Offset, 10.0),
    ] {
        errors.push((Measure::Seat(what), usual));
    }
    errors.retain(|(measure, _)| measure.get(parts).is_some());
    errors
}

/// What is said of a rig of which some values are otherwise than its file says.
fn causes(file: &Rig, wrong: &[(Measure, f64)]) -> Option<Causes> {
    let mut parts = file.parts().clone();
    for (measure, by) in wrong {
        let now = measure.get(&parts).expect("the rig has it");
        measure.put(&mut parts, now + by);
    }
    let built = Rig::new(parts).ok()?;
    let mut typesetter = Typesetter::new();
    let pattern = Pattern::new(file, &Guides::of(file), Layers::ALL, &mut typesetter);
    let seams = at_seams(file.layout());
    let seen = readings(&seams, built.layout(), pattern.lines(), DVec3::ZERO);
    likeliest(file, &seams, pattern.lines(), &seen)
}

fn demo(name: &str) -> Rig {
    let demo = demos().iter().find(|demo| demo.name == name);
    let demo = demo.expect("there is such a demo");
    read(demo.text, demo.name, &[]).unwrap_or_else(|error| panic!("{error}"))
}

/// Which of the values is wrong, and how many times as much as is usual.
fn error() -> impl Strategy<Value = (prop::sample::Index, f64)> {
    let size = prop_oneof![-2.5..-0.5, 0.5..2.5];
    (any::<prop::sample::Index>(), size)
}

/// Different values of a rig, each with its error.
fn wrong_values(rig: &Rig, drawn: &[(prop::sample::Index, f64)]) -> Vec<(Measure, f64)> {
    let mut open = errors(rig.parts());
    drawn
        .iter()
        .map(|(which, size)| {
            let (measure, usual) = open.swap_remove(which.index(open.len()));
            (measure, size * usual)
        })
        .collect()
}

/// Of how many of [`TRIALS`] rigs with as many wrong values exactly these are
/// named, each with its size.
fn named(rigs: impl Strategy<Value = Rig>, values: usize) -> usize {
    let mut runner = TestRunner::deterministic();
    let draws = (rigs, proptest::collection::vec(error(), values));
    let (mut tried, mut right) = (0, 0);
    while tried < TRIALS {
        let (rig, drawn) = draws.new_tree(&mut runner).expect("a draw").current();
        let wrong = wrong_values(&rig, &drawn);
        let Some(causes) = causes(&rig, &wrong) else {
            continue;
        };
        tried += 1;
        let is_named = |(measure, by): &(Measure, f64)| {
            let mut causes = causes.named.iter();
            causes.any(|c| c.measure == *measure && (c.change - by).abs() < 0.05 * by.abs())
        };
        if causes.named.len() == wrong.len() && wrong.iter().all(is_named) {
            right += 1;
        } else {
            println!("{wrong:?}: {causes} ({:?})", causes.share);
        }
    }
    println!("{right} of {tried}");
    right
}

fn threes() -> impl Strategy<Value = Rig> {
    rigs::ordinary().prop_filter("three panels", |rig| rig.panels().len() == 3)
}

fn demo_threes() -> impl Strategy<Value = Rig> {
    proptest::sample::select(&["tram-cab", "ferry-bridge", "night-train"][..]).prop_map(demo)
}

#[test]
fn one_wrong_value_is_named_alone() {
    assert_eq!(named(demo_threes(), 1), TRIALS);
    assert_eq!(named(threes(), 1), TRIALS);
}

#[test]
fn two_wrong_values_are_both_named() {
    assert!(named(demo_threes(), 2) >= TRIALS * 98 / 100);
    assert!(named(threes(), 2) >= TRIALS * 98 / 100);
}

#[test]
fn two_panels_say_enough() {
    let twos = || rigs::ordinary().prop_filter("two panels", |rig| rig.panels().len() == 2);
    assert!(named(twos(), 1) >= TRIALS * 98 / 100);
    assert!(named(twos(), 2) >= TRIALS * 95 / 100);
}
