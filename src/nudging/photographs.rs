//! How to photograph the rig, said before the marks are shown.

use super::console::Console;
use super::words::MARKS_CAUTION;
use crate::glass::{BoxLine, DIM, LOUD, PLAIN, Sketch, Words};
use crate::photo::{HEED, PLACES_MM, from_above};

pub(super) fn lines(console: &Console) -> Vec<BoxLine> {
    let text = |text: &str, colour| BoxLine::Text(Words::new(text, colour));
    let places = PLACES_MM.iter().enumerate();
    let places = places.map(|(index, place)| (*place, (index + 1).to_string()));
    let mut lines = vec![
        BoxLine::Title(Words::new("Three photographs measure the rig", PLAIN).bold()),
        text(MARKS_CAUTION, LOUD),
        BoxLine::Sketch(Sketch {
            lines: from_above(console.nudging.shown()),
            places: places.collect(),
        }),
    ];
    let [_, [right, ahead], _] = PLACES_MM;
    lines.push(text(
        &format!(
            "From above: 1 where your eye is, 2 and 3 about {:.0} mm to its left and right and \
             {:.0} mm farther back.",
            right.abs(),
            ahead.abs()
        ),
        PLAIN,
    ));
    lines.extend(HEED.map(|sentence| text(sentence, PLAIN)));
    lines.push(text(
        "Then `throughline measure` with the rig file and the photographs; nothing leaves this \
         machine.",
        DIM,
    ));
    lines.push(text("Enter shows the marks; Esc leaves", LOUD));
    lines
}
