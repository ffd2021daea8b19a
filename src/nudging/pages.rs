//! The pages that H turns.

use super::keys::{BINDINGS, MOUSE};
use super::tells::{FIRST, TELLS};
use crate::glass::{BoxLine, DIM, LOUD, PLAIN, Words};

/// The keys, and where more is to be read, if anywhere.
pub(super) fn keys(manual: Option<&str>) -> Vec<BoxLine> {
    let mut lines = vec![BoxLine::Title(Words::new("Keys", PLAIN).bold())];
    let pair = |label: &str, text: &str| {
        BoxLine::Pair(Words::new(label, LOUD).bold(), Words::new(text, PLAIN))
    };
    lines.extend(BINDINGS.iter().map(|b| pair(b.label, b.text)));
    lines.push(BoxLine::Title(Words::new("Mouse", PLAIN).bold()));
    lines.extend(MOUSE.iter().map(|(label, text)| pair(label, text)));
    lines.push(BoxLine::Text(Words::new(
        "The keypad works as well, with or without its digits: 8 2 4 6 are the arrows, 5 is Space. \
         H turns the page.",
        DIM,
    )));
    let more = manual.map(|page| format!("Everything else is told on a page of its own: {page}"));
    lines.extend(more.map(|text| BoxLine::Text(Words::new(text, LOUD))));
    lines
}

/// Which error makes which break.
pub(super) fn errors() -> Vec<BoxLine> {
    let title = "What a break tells";
    let mut lines = vec![BoxLine::Title(Words::new(title, PLAIN).bold())];
    lines.push(BoxLine::Text(Words::new(FIRST, PLAIN)));
    lines.extend(TELLS.iter().map(|(error, makes)| {
        BoxLine::Pair(Words::new(*error, LOUD).bold(), Words::new(*makes, PLAIN))
    }));
    lines.push(BoxLine::Text(Words::new(
        "Judge a line along a straightedge held up at arm's length, one eye closed. H goes back.",
        DIM,
    )));
    lines
}
