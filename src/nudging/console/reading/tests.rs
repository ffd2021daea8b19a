//! Reading lines, key by key.

use glam::DVec3;

use super::*;
use crate::nudging::Nudging;
use crate::nudging::console::tests::console;
use crate::pattern::{Layers, Slide};
use crate::readings::DrawnLine;
use crate::rig::Rig;

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
