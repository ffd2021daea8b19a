//! The console, key by key.

use super::*;
use crate::pattern::{LadderKind, Layer, Layers};
use crate::rig::{self, PanelQuantity, demos};

pub(super) fn console(offered: Vec<(Measure, f64)>) -> Console {
    let demo = demos()
        .iter()
        .find(|demo| demo.name == "tram-cab")
        .expect("built in");
    let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
    Console::new(Nudging::new(rig, Layers::ALL), offered)
}

fn choice(console: &Console) -> RungChoice {
    match console.mode() {
        Mode::Rungs(choice) => choice.clone(),
        other => panic!("no rungs but {other:?}"),
    }
}

/// Up marks the rung above, on the glass and in the list; what is marked lights up,
/// and Enter takes it and goes on to fine rungs.
#[test]
fn a_rung_becomes_the_value() {
    for (moves, word) in [(0, "angle"), (1, "gap"), (3, "rise")] {
        let mut console = console(Vec::new());
        for _ in 0..moves {
            console.press(Key::Right);
        }
        let before = console.nudging.number()[0];
        assert_eq!(console.press(Key::Char('l')), Some(Request::Ladders));
        let opened = choice(&console);
        assert_eq!(opened.rungs[opened.at].number, before);
        assert!(
            opened
                .rungs
                .windows(2)
                .all(|pair| pair[0].number > pair[1].number)
        );
        assert_eq!(console.press(Key::Up), Some(Request::Ladders));
        let marked = choice(&console);
        assert_eq!(marked.at + 1, opened.at);
        let rung = &marked.rungs[marked.at];
        assert_eq!(console.ladders().lit, Some((marked.kind, rung.step)));
        assert!(rung.label.starts_with(word), "{rung:?}");
        assert_eq!(console.press(Key::Enter), Some(Request::Picture));
        assert_eq!(console.mode(), &Mode::Nudge);
        // Nudges are kept to the thousandth.
        assert!((console.nudging.number()[0] - rung.number).abs() < 6e-4);
        assert_eq!(console.ladders().fineness, Fineness::Fine);
        assert_eq!(console.ladders().lit, None);
    }
}

#[test]
fn the_chosen_seams_ladders_are_seen() {
    let mut console = console(Vec::new());
    assert_eq!(console.ladders().seam, Some(0));
    assert_eq!(console.ladders().kind, Some(LadderKind::Fold));
    // The panel in the middle has none of its own, and its other seam has.
    assert_eq!(console.press(Key::End), Some(Request::Ladders));
    assert_eq!(
        (console.ladders().seam, console.ladders().kind),
        (Some(0), None)
    );
    assert_eq!(console.press(Key::End), Some(Request::Ladders));
    assert_eq!(console.ladders().seam, Some(1));
    assert_eq!(console.press(Key::Char('f')), Some(Request::Ladders));
    assert_eq!(console.ladders().fineness, Fineness::Fine);
}

#[test]
fn an_offer_is_answered_before_anything_else() {
    let seam = console(Vec::new()).nudging.chosen();
    let offered = vec![(seam, 30.0)];
    let mut taken = console(offered.clone());
    assert_eq!(taken.press(Key::Up), None);
    assert_eq!(taken.press(Key::Char('s')), None);
    assert_eq!(taken.press(Key::Enter), Some(Request::KeepJournal));
    assert_eq!(taken.nudging.number()[0], 30.0);

    let mut dropped = console(offered.clone());
    assert_eq!(dropped.press(Key::Delete), Some(Request::DropJournal));
    assert_eq!(dropped.nudging.number()[1], 0.0);

    let mut left = console(offered);
    assert_eq!(left.press(Key::Char('q')), Some(Request::Quit));
}

#[test]
fn help_turns_its_pages_and_closes() {
    let mut console = console(Vec::new());
    console.press(Key::Char('h'));
    assert_eq!(console.mode(), &Mode::Keys);
    console.press(Key::Char('h'));
    assert_eq!(console.mode(), &Mode::Errors);
    console.press(Key::Char('h'));
    assert_eq!(console.mode(), &Mode::Nudge);
}

#[test]
fn words_switched_off_come_back_for_what_is_opened() {
    let mut console = console(Vec::new());
    console.press(Key::Char('o'));
    assert!(console.is_off());
    console.press(Key::Char('h'));
    assert!(!console.is_off());
}

#[test]
fn what_a_held_key_changes_is_undone_at_once() {
    let mut console = console(Vec::new());
    console.press(Key::Up);
    for _ in 0..20 {
        assert_eq!(console.repeat(Key::Up), Some(Request::Picture));
    }
    let held = console.nudging.number()[0];
    console.press(Key::Up);
    console.press(Key::Backspace);
    assert_eq!(
        console.nudging.number()[0],
        held,
        "another press is another step"
    );
    console.press(Key::Backspace);
    assert_eq!(console.nudging.number()[1], 0.0);
    assert_eq!(console.repeat(Key::Char('s')), None, "saved once a press");
    // The wheel's steps are none of the key's.
    console.press(Key::Up);
    let pressed = console.nudging.number()[0];
    console.turn(3.0);
    console.press(Key::Backspace);
    assert_eq!(console.nudging.number()[0], pressed);
}

#[test]
fn an_answer_is_given_with_the_words_off_and_goes_with_the_next_key() {
    let mut console = console(Vec::new());
    console.press(Key::Char('o'));
    assert_eq!(console.press(Key::Char('s')), Some(Request::Save));
    assert!(console.is_off());
    console.saved("saved r.toml".to_owned());
    assert!(!console.is_off() && console.is_answer_alone());
    console.press(Key::Up);
    assert!(console.is_off() && !console.is_answer_alone());
}

#[test]
fn an_edited_file_is_taken_or_left_and_no_nudge_is_lost() {
    let edited = |console: &Console| {
        let mut parts = console.nudging.loaded().parts().clone();
        parts.seat.distance_mm += 10.0;
        Rig::new(parts).expect("still a rig")
    };
    let mut console = console(Vec::new());
    console.press(Key::Right);
    let value = console.nudging.chosen();
    console.press(Key::Up);
    let number = console.nudging.number()[0];
    assert!(console.ask_of_edit());
    // Nothing but an answer does anything.
    assert_eq!(console.press(Key::Up), None);
    assert_eq!(console.turn(1.0), None);
    assert_eq!(console.nudging.number()[0], number);
    let mut left = console.clone();
    assert_eq!(left.press(Key::Delete), Some(Request::KeepNudges));
    assert_eq!(left.mode(), &Mode::Nudge);
    assert_eq!(left.nudging.number()[0], number);

    assert_eq!(console.press(Key::Enter), Some(Request::Reload));
    assert_eq!(console.repeat(Key::Enter), None);
    let rig = edited(&console);
    assert!(console.go_on_with(rig.clone()));
    assert_eq!(console.mode(), &Mode::Offer(vec![(value, number)]));
    assert_eq!(console.nudging.now(), &rig);
    assert_eq!(console.repeat(Key::Enter), None, "a held key answers once");
    console.press(Key::Enter);
    assert_eq!(console.nudging.chosen(), value);
    assert_eq!(console.nudging.number()[0], number);
    assert_eq!(console.nudging.unsaved(), [(value, number)]);

    // An offer is answered before it asks.
    let mut offering = console.clone();
    offering.mode = Mode::Offer(vec![(value, number)]);
    assert!(!offering.ask_of_edit());
}

#[test]
fn complaints_are_put_away_and_brought_back() {
    let mut console = console(Vec::new());
    console.press(Key::Char('d'));
    assert!(console.are_complaints_away());
    console.press(Key::Char('d'));
    assert!(!console.are_complaints_away());
    console.press(Key::Char('d'));
    console.bring_complaints_back();
    assert!(!console.are_complaints_away());
}

#[test]
fn a_refused_step_says_why() {
    let mut console = console(Vec::new());
    for _ in 0..1000 {
        console.press(Key::PageUp);
    }
    let message = console.message().expect("said");
    assert!(message.starts_with("no further: "), "{message}");
}

/// Each step shows its own layer; sizes can be nudged in the first; B goes back, Enter on,
/// and after the last the layers are those of before.
#[test]
fn the_walk_goes_through_its_steps_and_back() {
    let mut console = console(Vec::new());
    let before = console.layers();
    assert_eq!(console.press(Key::Char('w')), Some(Request::Ladders));
    assert_eq!(console.mode(), &Mode::Walk(Step::Sizes));
    assert_eq!(console.layers(), Step::Sizes.layers());
    let chosen = console.nudging.chosen();
    assert!(
        matches!(
            chosen,
            Measure::Panel(1, PanelQuantity::Diagonal | PanelQuantity::Width)
        ),
        "{chosen:?}"
    );
    assert_eq!(console.press(Key::Up), Some(Request::Picture));
    assert!(console.nudging.number()[1] > 0.0);
    assert_eq!(console.mode(), &Mode::Walk(Step::Sizes));
    // End goes to the next panel's size, round to the first, and layers stay.
    for panel in [2, 0, 1] {
        console.press(Key::End);
        let chosen = console.nudging.chosen();
        assert!(
            matches!(
                chosen,
                Measure::Panel(of, PanelQuantity::Diagonal | PanelQuantity::Width) if of == panel
            ),
            "{chosen:?}"
        );
    }
    assert_eq!(console.press(Key::Char('1')), None);
    // A card that fits one way only.
    console.press(Key::Char('x'));
    let width = console.nudging.chosen();
    assert_eq!(width, Measure::Panel(1, PanelQuantity::Width));
    console.press(Key::Right);
    let height = console.nudging.chosen();
    assert_eq!(height, Measure::Panel(1, PanelQuantity::Height));
    console.press(Key::Left);
    assert_eq!(console.nudging.chosen(), width);
    console.press(Key::Backspace);
    assert_eq!(console.nudging.chosen(), chosen);
    for step in [Step::Pixels, Step::Refresh, Step::Tones] {
        assert_eq!(console.press(Key::Enter), Some(Request::Ladders));
        assert_eq!(console.layers(), step.layers());
        // Nothing changes that isn't seen.
        let before = console.nudging.now().clone();
        console.press(Key::Up);
        console.press(Key::Char('a'));
        assert_eq!(console.turn(3.0), None);
        assert_eq!(console.nudging.now(), &before);
    }
    console.press(Key::Char('b'));
    assert_eq!(console.mode(), &Mode::Walk(Step::Refresh));
    console.press(Key::Enter);
    console.press(Key::Escape);
    assert_eq!((console.mode(), console.layers()), (&Mode::Nudge, before));
    // It is taken up where it was left.
    console.press(Key::Char('w'));
    assert_eq!(console.mode(), &Mode::Walk(Step::Tones));
    console.press(Key::Enter);
    assert_eq!(console.mode(), &Mode::Walk(Step::Level));
    let facing_roll = Measure::Panel(1, PanelQuantity::Roll);
    assert_eq!(console.nudging.chosen(), facing_roll);
    console.press(Key::Enter);
    assert_eq!(console.mode(), &Mode::Walk(Step::Head));
    console.press(Key::Escape);
    assert_eq!((console.mode(), console.layers()), (&Mode::Nudge, before));
}

/// The rungs listed are those on the glass, though the pattern was flipped to as loaded.
#[test]
fn rungs_are_listed_of_what_is_shown() {
    let mut console = console(Vec::new());
    let loaded = console.nudging.number()[0];
    console.press(Key::PageUp);
    let nudged = console.nudging.number()[0];
    assert!(nudged > loaded);
    console.press(Key::Space);
    assert!(console.nudging.is_flipped());
    assert_eq!(console.press(Key::Char('l')), Some(Request::Picture));
    assert!(!console.nudging.is_flipped());
    let opened = choice(&console);
    assert_eq!(opened.rungs[opened.at].number, nudged);
    // With the ladders off there is nothing to take.
    console.press(Key::Escape);
    console.press(Key::Char('4'));
    console.press(Key::Char('l'));
    assert_eq!(console.mode(), &Mode::Nudge);
}

/// What moves does so only after the caution, or in the walk, where the step has told of
/// it; keys of the speed keep it going, at speeds that the rig takes, and any other stops it.
#[test]
fn what_moves_asks_first_and_stops_at_any_key() {
    let mut console = console(Vec::new());
    let before = console.layers();
    console.press(Key::Char('m'));
    assert_eq!(console.mode(), &Mode::Caution(Caution::Motion));
    assert_eq!(console.sweeping_deg_s(), None);
    console.press(Key::Char('m'));
    assert_eq!(console.mode(), &Mode::Nudge, "any other key leaves");
    let rig = console.nudging.now().clone();
    for stop in [
        Key::Other,
        Key::Escape,
        Key::Enter,
        Key::Left,
        Key::Space,
        Key::Char('m'),
        Key::Char('s'),
        Key::Char('x'),
    ] {
        console.press(Key::Char('m'));
        assert_eq!(console.press(Key::Other), None, "it still asks");
        assert_eq!(console.press(Key::Enter), Some(Request::Ladders));
        let speed = console.sweeping_deg_s().expect("it moves");
        assert_eq!(console.layers(), Layers::NONE.with(Layer::Motion));
        assert_eq!(console.press(Key::Up), Some(Request::Words));
        assert_eq!(console.sweeping_deg_s(), Some(speed + 1.0));
        for _ in 0..40 {
            console.press(Key::PageDown);
        }
        assert_eq!(console.sweeping_deg_s(), Some(1.0));
        for _ in 0..40 {
            console.repeat(Key::PageUp);
        }
        let fastest = console.sweeping_deg_s().expect("it moves on");
        assert!((60.0..=90.0).contains(&fastest), "{fastest}");
        assert_eq!(console.turn(3.0), None);
        assert_eq!(console.press(stop), Some(Request::Ladders));
        assert_eq!((console.sweeping_deg_s(), console.layers()), (None, before));
        while console.speed_deg_s() != speed {
            console.press(Key::Char('m'));
            console.press(Key::Enter);
            let by = console.speed_deg_s() - speed;
            console.press(if by > 0.0 { Key::Down } else { Key::Up });
            console.press(Key::Escape);
        }
    }
    assert_eq!(console.nudging.now(), &rig);
    for key in [Key::Char('w'), Key::Enter, Key::Enter, Key::Char('m')] {
        console.press(key);
    }
    assert!(console.sweeping_deg_s().is_some());
    console.press(Key::Enter);
    assert_eq!(console.mode(), &Mode::Walk(Step::Refresh));
}

/// The marks are shown only after the caution, and taken away at once.
#[test]
fn marks_ask_first() {
    let mut console = console(Vec::new());
    let before = console.layers();
    console.press(Key::Char('0'));
    assert_eq!(console.mode(), &Mode::Caution(Caution::Marks));
    assert_eq!(console.turn(1.0), None);
    console.press(Key::Char('0'));
    assert_eq!((console.mode(), console.layers()), (&Mode::Nudge, before));
    console.press(Key::Char('0'));
    assert_eq!(console.press(Key::Enter), Some(Request::Ladders));
    assert_eq!(console.layers(), before.with(Layer::Marks));
    assert_eq!(console.sweeping_deg_s(), None);
    assert_eq!(console.press(Key::Char('0')), Some(Request::Ladders));
    assert_eq!(console.layers(), before);
    // In a walk a step shows its own layer.
    console.press(Key::Char('w'));
    assert_eq!(console.press(Key::Char('0')), None);
    assert_eq!(console.mode(), &Mode::Walk(Step::Sizes));
}
