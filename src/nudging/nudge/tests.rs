//! Nudging step by step.

use super::*;
use crate::nudging::{Found, Notes};
use crate::rig::{self, Size, demos};

/// Changes that can be undone, and redone.
fn depth(nudging: &Nudging) -> [usize; 2] {
    [nudging.done.len(), nudging.undone.len()]
}

fn nudging() -> Nudging {
    let demo = demos()
        .iter()
        .find(|demo| demo.name == "ferry-bridge")
        .expect("built in");
    let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
    Nudging::new(rig, Layers::ALL)
}

#[test]
fn every_value_can_be_chosen_changed_and_brought_back() {
    let mut nudging = nudging();
    let count = nudging.values.len();
    // Three panels of two turns and a size, one of them with a curve, two
    // seams of five and the eye's three.
    assert_eq!(count, 3 * 3 + 1 + 2 * 5 + 3);
    let mut seen = Vec::new();
    for _ in 0..count {
        let value = nudging.chosen();
        assert!(!seen.contains(&value), "{value:?} came twice");
        seen.push(value);
        let before = value.get(nudging.now().parts());
        assert_eq!(nudging.act(Act::Coarse(1.0)), Effect::Picture, "{value:?}");
        let step = nudging.number()[1];
        assert!(
            (step - value.spec().steps.expect("it is nudged")[1]).abs() < 1e-9,
            "{value:?} moved by {step}"
        );
        assert_eq!(nudging.nudged().len(), 1);
        nudging.act(Act::ResetOne);
        assert_eq!(value.get(nudging.now().parts()), before);
        nudging.act(Act::Choose(1));
    }
    assert_eq!(nudging.now(), nudging.loaded());
}

#[test]
fn steps_back_meet_steps_forth() {
    let mut nudging = nudging();
    for _ in 0..1000 {
        nudging.act(Act::Fine(1.0));
    }
    for _ in 0..1000 {
        nudging.act(Act::Fine(-1.0));
    }
    assert_eq!(nudging.number()[1], 0.0);
    assert_eq!(depth(&nudging), [2000, 0]);
}

#[test]
fn undo_goes_all_the_way_back_and_redo_all_the_way_forth() {
    let mut nudging = nudging();
    for index in 0..400 {
        nudging.act(Act::Choose(index % 7));
        nudging.act(Act::Fine(1.0));
    }
    let end = nudging.now().clone();
    assert_ne!(&end, nudging.loaded());
    while nudging.act(Act::Undo) == Effect::Picture {}
    assert_eq!(nudging.now(), nudging.loaded());
    while nudging.act(Act::Redo) == Effect::Picture {}
    assert_eq!(nudging.now(), &end);
    nudging.act(Act::Undo);
    nudging.act(Act::Fine(3.0));
    assert_eq!(depth(&nudging)[1], 0, "a new change ends the way forth");
}

#[test]
fn reset_all_is_one_change() {
    let mut nudging = nudging();
    nudging.act(Act::Fine(4.0));
    nudging.act(Act::ChoosePlace(1));
    nudging.act(Act::Coarse(-1.0));
    let nudged = nudging.now().clone();
    assert_eq!(nudging.act(Act::ResetAll), Effect::Picture);
    assert_eq!(nudging.now(), nudging.loaded());
    nudging.act(Act::Undo);
    assert_eq!(nudging.now(), &nudged);
}

#[test]
fn a_drag_is_one_change() {
    let mut nudging = nudging();
    nudging.begin_drag();
    for _ in 0..30 {
        nudging.act(Act::Fine(1.0));
    }
    nudging.end_drag();
    assert_eq!(depth(&nudging), [1, 0]);
    nudging.act(Act::Undo);
    assert_eq!(nudging.now(), nudging.loaded());
    nudging.begin_drag();
    nudging.end_drag();
    assert_eq!(depth(&nudging)[0], 0, "a drag without a change is none");
}

#[test]
fn flipping_shows_the_loaded_rig_and_a_change_flips_back() {
    let mut nudging = nudging();
    nudging.act(Act::Fine(5.0));
    nudging.act(Act::Flip);
    assert_eq!(nudging.shown(), nudging.loaded());
    nudging.act(Act::Fine(1.0));
    assert!(!nudging.is_flipped());
    assert_eq!(nudging.shown(), nudging.now());
}

#[test]
fn a_change_that_makes_no_rig_is_refused() {
    let mut nudging = nudging();
    let before = nudging.now().clone();
    assert!(matches!(nudging.set(400.0), Effect::Refused(_)));
    assert_eq!(nudging.now(), &before);
    assert_eq!(depth(&nudging), [0, 0]);
}

/// A panel that is told by its diagonal is told by its sides from then on: of the same size
/// to half a hundredth, each by itself, and all the way back.
#[test]
fn a_diagonal_gives_way_to_a_width_and_a_height() {
    let mut nudging = nudging();
    let panel = (0..3)
        .find(|&index| matches!(nudging.loaded().panels()[index].size, Size::DiagonalIn(_)))
        .expect("one is told by its diagonal");
    let size = |nudging: &Nudging| nudging.now().panels()[panel].size_mm();
    let value = |what| Measure::Panel(panel, what);
    let sides = [value(PanelQuantity::Width), value(PanelQuantity::Height)];
    assert_eq!(nudging.act(Act::Sides), Effect::None, "a seam is chosen");
    nudging.choose(value(PanelQuantity::Diagonal));
    nudging.act(Act::Fine(3.0));
    let before = size(&nudging);
    assert_eq!(nudging.act(Act::Sides), Effect::Picture);
    assert_eq!(nudging.chosen(), sides[0]);
    assert_eq!(nudging.act(Act::Sides), Effect::None, "once");
    for (side, before) in size(&nudging).into_iter().zip(before) {
        assert!((side - before).abs() <= 0.005 + 1e-9, "{side} {before}");
        assert!(
            (side * 100.0 - (side * 100.0).round()).abs() < 1e-6,
            "{side}"
        );
    }
    let parted = size(&nudging);
    nudging.act(Act::Coarse(2.0));
    assert_eq!(size(&nudging)[1], parted[1], "the height stays");
    assert!((size(&nudging)[0] - parted[0] - 2.0).abs() < 1e-9);
    let numbers = size(&nudging);
    let unsaved = [(sides[0], numbers[0]), (sides[1], numbers[1])];
    assert_eq!(nudging.unsaved(), unsaved);
    // A journal of it is taken up by another run.
    let mut other = Nudging::new(nudging.loaded().clone(), Layers::ALL);
    let notes = Notes::default();
    let (lines, notes) = notes.lines(nudging.loaded().parts(), nudging.now().parts());
    let text = Notes::title(1) + &lines;
    let found = |text: &str| Found::read(text.as_bytes(), 1, other.loaded().parts());
    let numbers = found(&text).expect("sound").expect("nudges").numbers;
    assert_eq!(other.put(&numbers), Effect::Picture);
    assert_eq!(other.now().parts(), nudging.now().parts());
    while other.act(Act::Undo) == Effect::Picture {}
    assert_eq!(other.now(), other.loaded());

    for _ in 0..3 {
        assert_eq!(nudging.act(Act::Undo), Effect::Picture);
    }
    assert_eq!(nudging.now(), nudging.loaded());
    let (back, _) = notes.lines(nudging.loaded().parts(), nudging.now().parts());
    let found = Found::read((text + &back).as_bytes(), 1, nudging.loaded().parts());
    assert_eq!(found, Ok(None), "{back}");
    for _ in 0..3 {
        nudging.act(Act::Redo);
    }
    assert_eq!(nudging.unsaved(), unsaved);
    nudging.choose(sides[1]);
    nudging.act(Act::ResetOne);
    assert_eq!(nudging.now(), nudging.loaded());
    nudging.act(Act::Undo);
    nudging.act(Act::ResetAll);
    assert_eq!(nudging.now(), nudging.loaded());
}
