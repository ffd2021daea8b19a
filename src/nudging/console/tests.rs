//! The console, key by key.

use super::*;
use crate::pattern::{Layer, Layers, Slide};
use crate::readings::DrawnLine;
use crate::rig::{self, PanelQuantity, demos};
use glam::DVec3;

fn console(offered: Vec<(Measure, f64)>) -> Console {
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
    assert_eq!(console.mode(), &Mode::Caution);
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

/// How far a right part has to go up on a rig that stands otherwise, by its own pixels:
/// where the eye sees the left part's ends and its middle, and the right panel's column.
fn wanted_px(slide: Slide, drawn: &Rig, built: &Rig) -> f64 {
    let line = DrawnLine::new(slide.line, drawn.layout()).expect("it is drawn");
    line.slide_px(built.layout(), DVec3::ZERO)
        .expect("it goes on")
}

/// Whoever answers truly at every line gets the rig as it stands: by slides, or by the three
/// answers alone. What is read is kept, and can be gone back over.
#[test]
fn readings_tell_how_the_rig_stands() {
    for by_answers in [false, true] {
        let mut glass = console(Vec::new());
        let drawn = glass.nudging.now().clone();
        let mut parts = drawn.parts().clone();
        parts.seams[0].gap_mm += 1.2;
        parts.seams[1].rise_mm -= 1.5;
        Measure::turn(&parts, 0).expect("a seam").put(
            &mut parts,
            Measure::turn(drawn.parts(), 0)
                .and_then(|m| m.get(drawn.parts()))
                .expect("a turn")
                + 1.5,
        );
        parts.seat.distance_mm += 9.0;
        let built = Rig::new(parts).expect("still a rig");
        glass.press(Key::Char('g'));
        assert_eq!(glass.mode(), &Mode::Walk(Step::Head));
        assert_eq!(glass.slide(), None);
        glass.press(Key::Enter);
        assert_eq!(glass.mode(), &Mode::Walk(Step::Heights));
        let mut steps = Vec::new();
        let mut lines = 0;
        while let Mode::Walk(step) = *glass.mode()
            && step.reads().is_some()
        {
            if steps.last() != Some(&step) {
                steps.push(step);
            }
            let before = glass.slide().expect("a line");
            let wanted = wanted_px(before, &drawn, &built);
            // From above, then from below.
            let is_second = glass.guided().expect("a course").is_second();
            let expected_side = if is_second {
                before.up_px < wanted
            } else {
                before.up_px > wanted
            };
            if lines > 12 {
                assert!(expected_side, "{step:?} {before:?} {wanted}");
            }
            if by_answers {
                for _ in 0..200 {
                    let off = glass.slide().expect("a line").up_px - wanted;
                    if off.abs() <= 0.25 {
                        break;
                    }
                    let key = if off > 0.0 { '1' } else { '3' };
                    assert_eq!(glass.press(Key::Char(key)), Some(Request::Ladders));
                }
                let off = glass.slide().expect("a line").up_px - wanted;
                assert!(off.abs() <= 0.25, "{off}");
                let said = glass.press(Key::Char('2'));
                assert_eq!(said, Some(Request::KeepReadings));
            } else {
                let steps = (wanted - before.up_px) / 0.25;
                glass.turn(steps.round());
                glass.press(Key::Enter);
            }
            lines += 1;
            assert!(lines <= 2 * 2 * 8 + 4, "{steps:?}");
        }
        let whole = [
            Step::Heights,
            Step::Folds,
            Step::Distance,
            Step::Gaps,
            Step::FoldsAgain,
            Step::Rest,
        ];
        assert_eq!(steps, whole);
        assert_eq!(glass.mode(), &Mode::Walk(Step::Whole));
        assert!(!glass.advice().is_empty());
        let estimate = glass
            .guided()
            .expect("a course")
            .course()
            .estimate()
            .clone();
        for value in estimate.values() {
            let truth = value.measure.plain(built.parts()).expect("it is there");
            let off = (value.solved - truth).abs() / value.sigma;
            assert!(off < 3.0, "{value:?} {truth}");
        }
        let (course, readings) = glass.readings().expect("read");
        assert_eq!((course, readings.readings.len()), (1, lines / 2));
        let kept = readings.clone();
        assert_eq!(glass.press(Key::Enter), Some(Request::Picture));
        let now = glass.nudging.now();
        assert!((now.seams()[0].gap_mm - built.seams()[0].gap_mm).abs() < 0.6);
        assert!(!glass.nudging.unsaved().is_empty());
        // Undone, they can be taken up again, by another run, too.
        glass.press(Key::Escape);
        glass.press(Key::Backspace);
        assert_eq!(glass.nudging.now(), &drawn);
        let mut other = console(Vec::new());
        other
            .resume_readings(kept.clone(), "kept")
            .expect("the same rig");
        other.press(Key::Char('g'));
        let other_nudged = {
            let mut parts = drawn.parts().clone();
            parts.seat.height_mm += 1.0;
            Console::new(
                Nudging::new(Rig::new(parts).expect("a rig"), Layers::ALL),
                Vec::new(),
            )
        };
        let mut of_another = other_nudged;
        assert!(of_another.resume_readings(kept, "kept").is_err());
    }
}

/// Back goes to the slide from above, then to the line before; Right leaves a line out; the
/// walk goes on at the line that is due.
#[test]
fn readings_can_be_gone_back_over_and_left_out() {
    let mut glass = console(Vec::new());
    for key in [Key::Char('g'), Key::Char('2')] {
        glass.press(key);
    }
    let first = glass.slide().expect("a line");
    glass.press(Key::Up);
    assert_eq!(glass.slide().expect("a line").up_px, first.up_px + 0.25);
    glass.repeat(Key::PageDown);
    assert_eq!(glass.slide().expect("a line").up_px, first.up_px - 3.75);
    glass.press(Key::Enter);
    let below = glass.slide().expect("a line");
    assert!(below.line == first.line && below.up_px < first.up_px - 10.0);
    glass.press(Key::Char('b'));
    assert_eq!(glass.slide(), Some(first));
    // Both slides at the same place.
    glass.press(Key::Enter);
    glass.turn((first.up_px - glass.slide().expect("a line").up_px) / 0.25);
    assert_eq!(glass.press(Key::Enter), Some(Request::KeepReadings));
    let second = glass.slide().expect("a line");
    assert_ne!(second.line, first.line);
    glass.press(Key::Char('b'));
    assert_eq!(glass.slide().expect("a line").line, first.line);
    glass.press(Key::Right);
    assert_eq!(glass.slide().expect("a line").line, second.line);
    // Two slides that differ too much are asked for again.
    glass.press(Key::Enter);
    glass.turn(-200.0);
    glass.press(Key::Enter);
    assert_eq!(glass.slide().expect("a line").line, second.line);
    assert!(glass.message().expect("said").contains("once more"));
    let rig = glass.nudging.now().clone();
    glass.press(Key::Escape);
    assert_eq!((glass.mode(), glass.slide()), (&Mode::Nudge, None));
    glass.press(Key::Char('g'));
    assert_eq!(glass.slide().expect("a line").line, second.line);
    assert_eq!(glass.nudging.now(), &rig);
}
