//! Puts a rig's numbers into a rig file's text, byte by byte: only the numbers
//! that differ change, and what surrounds them stays whatever it is.

use std::error::Error;
use std::fmt;
use std::ops::Range;

use super::checked::Rig;
use super::document::{Document, Entry, Section};
use super::error::{Origin, ReadError};
use super::read::{item, read};
use super::write::spelt;
use crate::parts::{Measure, Parts, Table};

/// The comments by which the starter file marks a guess, and what is left of them
/// once it is none any more.
const GUESSES: [(&str, &str); 5] = [
    ("# guessed", ""),
    ("# guessed: both panels square to the eye", ""),
    (
        "# guessed: from the eye, level, to the glass at the view's middle",
        "# from the eye, level, to the glass at the view's middle",
    ),
    (
        "# guessed: eye above the view's middle; below it: negative",
        "# eye above the view's middle; below it: negative",
    ),
    (
        "# guessed: eye right of the view's middle; left of it: negative",
        "# eye right of the view's middle; left of it: negative",
    ),
];

/// What some editors begin a text file with.
const BYTE_ORDER_MARK: char = '\u{feff}';

/// Why a rig file's text can't get a rig's numbers.
#[derive(Debug, Clone, PartialEq)]
pub enum EditError {
    /// The text, before or after, is no rig file.
    Unread(ReadError),
    /// It has other panels or seams than the rig.
    OtherRig,
    /// It has no place for this number.
    NoPlace(Measure),
    /// It would say other numbers than the rig's.
    Unlike,
}

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EditError::Unread(error) => error.fmt(f),
            EditError::OtherRig => f.write_str("its panels and seams are not those on the glass"),
            EditError::NoPlace(measure) => write!(f, "it has no place for {}", measure.path()),
            EditError::Unlike => f.write_str("its values could not be changed one by one"),
        }
    }
}

impl Error for EditError {}

/// The text with the numbers of `rig` where they differ from what it says. A
/// number that it says has its bytes replaced; one that it leaves out gets a
/// line of its own behind its table's last key, or a place in an inline table; one
/// that takes another's place, as a width and a height do a diagonal's, gets its key
/// and its bytes. All other bytes stay.
///
/// # Errors
///
/// Where the text is no rig file of this rig's panels and seams.
pub fn with_values_of(text: &str, rig: &Rig) -> Result<String, EditError> {
    let said = read(text, "the rig file", &[]).map_err(EditError::Unread)?;
    let (wanted, said) = (rig.parts(), said.parts());
    let measures = Measure::all(wanted);
    let is_told = |measure: &Measure, by: &Parts| {
        measure.get(by).is_some() || !measure.excluded(by).is_empty()
    };
    let are_told = measures.iter().all(|measure| is_told(measure, said))
        && Measure::all(said)
            .iter()
            .all(|measure| is_told(measure, wanted));
    if !are_told || wanted.panels.len() != said.panels.len() {
        return Err(EditError::OtherRig);
    }
    let bare = text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text);
    let document = Document::parse(bare)
        .map_err(|fault| EditError::Unread(fault.locate(bare, "the rig file", &[])))?;
    let mut splices: Vec<Splice> = Vec::new();
    for measure in measures {
        if let [replaced, ..] = measure.excluded(said)[..] {
            // A pair is written with its first.
            if measure.spec().item.is_none_or(|item| item == 0) {
                let told_anew = Splice::told_anew(bare, &document, replaced, measure, wanted);
                splices.extend(told_anew.ok_or(EditError::NoPlace(measure))?);
            }
            continue;
        }
        let number = measure.get(wanted);
        if let Some(number) = number.filter(|_| number != measure.get(said)) {
            let splice =
                Splice::new(bare, &document, measure, number).ok_or(EditError::NoPlace(measure))?;
            splices.extend(guess_mark(bare, &splice.at));
            splices.push(splice);
        }
    }
    let edited = spliced(bare, splices);
    let edited = format!("{}{edited}", &text[..text.len() - bare.len()]);
    match read(&edited, "the edited rig file", &[]) {
        Ok(back) if agree(back.parts(), wanted) => Ok(edited),
        Ok(_) => Err(EditError::Unlike),
        Err(error) => Err(EditError::Unread(error)),
    }
}

fn agree(one: &Parts, other: &Parts) -> bool {
    let measures = Measure::all(one);
    measures == Measure::all(other)
        && measures
            .iter()
            .all(|measure| measure.get(one) == measure.get(other))
}

/// Bytes of a text, and what takes their place.
#[derive(Debug)]
pub(super) struct Splice {
    pub at: Range<usize>,
    pub with: String,
}

/// The text with all splices, of which those at one place keep their order.
pub(super) fn spliced(text: &str, mut splices: Vec<Splice>) -> String {
    splices.sort_by_key(|splice| splice.at.start);
    let mut out = String::with_capacity(text.len() + 32 * splices.len());
    let mut from = 0;
    for Splice { at, with } in splices {
        out += &text[from..at.start];
        out += &with;
        from = at.end;
    }
    out + &text[from..]
}

impl Splice {
    /// What gives a measure its number; `None` where the text has no place for it.
    fn new(text: &str, document: &Document, measure: Measure, number: f64) -> Option<Splice> {
        let section = section(document, measure.table())?;
        let spec = measure.spec();
        let with = spelt(spec, number);
        if let Some(entry) = section.get(spec.key) {
            let Origin::Text(at) = item(entry, spec).ok()?.1 else {
                return None;
            };
            return Some(Splice { at, with });
        }
        // A bezel's table and a pair are none that a number could join alone.
        if spec.key.contains('.') || spec.item.is_some() {
            return None;
        }
        added(text, section, &format!("{} = {with}", spec.key))
    }

    /// What says `measure`, and what stands in a pair with it, where `replaced` was said:
    /// another key, and its value.
    fn told_anew(
        text: &str,
        document: &Document,
        replaced: Measure,
        measure: Measure,
        wanted: &Parts,
    ) -> Option<Vec<Splice>> {
        let section = section(document, measure.table())?;
        let entry = section.get(replaced.spec().key)?;
        let (Origin::Text(key), Origin::Text(value)) = (&entry.key_origin, &entry.origin) else {
            return None;
        };
        let spec = measure.spec();
        let all = Measure::all(wanted).into_iter();
        let numbers: Vec<String> = all
            .filter(|other| other.table() == measure.table() && other.spec().key == spec.key)
            .filter_map(|other| Some(spelt(spec, other.get(wanted)?)))
            .collect();
        let with = match &numbers[..] {
            [number] => number.clone(),
            numbers => format!("[{}]", numbers.join(", ")),
        };
        let mut splices = vec![Splice {
            at: key.clone(),
            with: spec.key.to_owned(),
        }];
        splices.extend(guess_mark(text, value));
        splices.push(Splice {
            at: value.clone(),
            with,
        });
        Some(splices)
    }
}

/// The table of a file's text.
fn section<'a, 'i>(document: &'a Document<'i>, table: Table) -> Option<&'a Section<'i>> {
    match table {
        Table::Rig => None,
        Table::Seat => document.seat.as_ref(),
        Table::Panel(index) => document.panels.get(index),
        Table::Seam(index) => document.seams.get(index),
        Table::Window => document.window.as_ref(),
    }
}

/// Takes the starter's mark of a guess, and no other comment, away from behind a
/// number; `None` where there is none.
fn guess_mark(text: &str, number: &Range<usize>) -> Option<Splice> {
    let line = text.get(number.end..)?.lines().next()?;
    let comment = line.trim();
    let (_, left) = GUESSES.iter().find(|(mark, _)| *mark == comment)?;
    let blank = line.len() - line.trim_start().len();
    // A mark of which nothing is left takes the blanks before it along.
    let start = if left.is_empty() { 0 } else { blank };
    Some(Splice {
        at: number.end + start..number.end + line.trim_end().len(),
        with: (*left).to_owned(),
    })
}

/// A key that a table gets behind the last of its own.
pub(super) fn added(text: &str, section: &Section, what: &str) -> Option<Splice> {
    let place = |entry: &Entry| match (&entry.key_origin, &entry.origin) {
        (Origin::Text(key), Origin::Text(value)) => Some((key.start, value.end)),
        _ => None,
    };
    // Those of a table within may stand below a header of their own.
    let own = section.entries.iter().filter(|e| !e.key.contains('.'));
    let (key, end) = own.filter_map(place).max_by_key(|(_, end)| *end)?;
    let Origin::Text(header) = &section.header else {
        return None;
    };
    if text[header.start..].starts_with('{') {
        return Some(Splice {
            at: end..end,
            with: format!(", {what}"),
        });
    }
    // The line begins as the last one does: with its indent, and with the table's
    // name where keys are dotted.
    let line = text[..key].rfind('\n').map_or(0, |newline| newline + 1);
    let begin = &text[line..key];
    let next = text[end..].find('\n').map(|newline| end + newline + 1);
    let (at, with) = match next {
        Some(next) if text[..next].ends_with("\r\n") => (next, format!("{begin}{what}\r\n")),
        Some(next) => (next, format!("{begin}{what}\n")),
        None => (text.len(), format!("\n{begin}{what}")),
    };
    Some(Splice { at: at..at, with })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{SeamQuantity, Size, demos};

    fn nudged(parts: &Parts) -> Vec<Measure> {
        let all = Measure::all(parts).into_iter();
        all.filter(|measure| measure.spec().steps.is_some())
            .collect()
    }

    fn changed(rig: &Rig, change: impl FnOnce(&mut Parts)) -> Rig {
        let mut parts = rig.parts().clone();
        change(&mut parts);
        Rig::new(parts).expect("still a rig")
    }

    #[test]
    fn only_the_changed_numbers_differ() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
            for value in nudged(rig.parts()) {
                let before = value.get(rig.parts()).expect("it is there");
                let nudged = changed(&rig, |parts| {
                    value.put(parts, before + value.spec().steps.expect("it is nudged")[1]);
                });
                let text = with_values_of(demo.text, &nudged)
                    .unwrap_or_else(|error| panic!("{}: {value:?}: {error}", demo.name));
                let differing = demo
                    .text
                    .lines()
                    .filter(|line| !text.lines().any(|other| other == *line))
                    .count();
                assert!(differing <= 1, "{}: {value:?}\n{text}", demo.name);
                let comments = |text: &str| {
                    let behind = text.lines().filter_map(|line| line.split_once('#'));
                    behind
                        .map(|(_, words)| words.to_owned())
                        .collect::<Vec<_>>()
                };
                assert_eq!(comments(&text), comments(demo.text));
            }
        }
    }

    #[test]
    fn unchanged_text_stays_as_it_is() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
            assert_eq!(with_values_of(demo.text, &rig).as_deref(), Ok(demo.text));
        }
    }

    #[test]
    fn line_ends_and_a_byte_order_mark_stay() {
        let demo = &demos()[0];
        let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
        // One value stands in the file, the other is a line more.
        let nudged = changed(&rig, |parts| {
            for value in nudged(parts) {
                if let (Table::Seat | Table::Panel(0), Some([fine, _])) =
                    (value.table(), value.spec().steps)
                {
                    let number = value.get(parts).expect("it is there");
                    value.put(parts, number + fine);
                }
            }
        });
        let plain = with_values_of(demo.text, &nudged).expect("edited");
        assert!(plain.lines().count() > demo.text.lines().count());
        let dressed = |text: &str| format!("\u{feff}{}", text.replace('\n', "\r\n"));
        assert_eq!(
            with_values_of(&dressed(demo.text), &nudged),
            Ok(dressed(&plain))
        );
    }

    #[test]
    fn a_guess_that_was_nudged_is_marked_as_one_no_more() {
        let display = |name: &str, x: i32| crate::display::Display {
            name: name.to_owned(),
            position_px: [x, 0],
            size_px: [1920, 1080],
            mode_px: None,
            scale: 1.0,
            refresh_hz: None,
            size_mm: None,
            is_primary: x == 0,
            features: Default::default(),
        };
        let displays = [display("A", 0), display("B", 1920)];
        let starter = crate::starter::starter_rig(&displays).expect("two displays make one");
        let text = crate::starter::text(&starter);
        let rig = read(&text, "starter", &[]).expect("a sound starter");
        for value in nudged(rig.parts()) {
            let before = value.get(rig.parts()).expect("it is there");
            let moved = changed(&rig, |parts| {
                value.put(parts, before + value.spec().steps.expect("it is nudged")[0]);
            });
            let edited = with_values_of(&text, &moved).expect("edited");
            let marks = |text: &str| text.matches("# guessed").count();
            // How many columns a driver hides is no guess.
            let was_guessed = value.spec().key != "hidden_px";
            assert_eq!(
                marks(&text) - marks(&edited),
                usize::from(was_guessed),
                "{}\n{edited}",
                value.path()
            );
            let left = edited.lines().count();
            assert_eq!(left, text.lines().count());
            assert!(edited.lines().all(|line| line == line.trim_end()));
        }
        // A person's own words stay, whatever they begin with.
        let own = text.replace(
            "gap_mm = 0.0    # guessed\n",
            "gap_mm = 0.0    # guessed by Ada\n",
        );
        assert_ne!(own, text);
        let moved = changed(&rig, |parts| parts.seams[0].gap_mm += 1.0);
        let edited = with_values_of(&own, &moved).expect("edited");
        assert!(
            edited.contains("gap_mm = 1.0    # guessed by Ada\n"),
            "{edited}"
        );
    }

    /// A key that gives way to another is replaced where it stands, with its comment kept,
    /// and comes back the same way.
    #[test]
    fn a_key_that_takes_anothers_place_stands_there() {
        for (demo, indent) in demos().iter().flat_map(|demo| [(demo, ""), (demo, "  ")]) {
            let text: String = demo
                .text
                .lines()
                .map(|line| format!("{indent}{line}\n"))
                .collect();
            let rig = read(&text, demo.name, &[]).expect("a sound demo");
            let told_otherwise = changed(&rig, |parts| {
                for panel in &mut parts.panels {
                    if let Size::DiagonalIn(_) = panel.size {
                        panel.size = Size::LitMm([512.25, 288.5]);
                    }
                }
                for seam in 0..parts.seams.len() {
                    let fold_deg = parts.fold_rad(seam).to_degrees();
                    Measure::Seam(seam, SeamQuantity::Fold).put(parts, fold_deg);
                }
            });
            let edited = with_values_of(&text, &told_otherwise).expect("edited");
            let kept = |text: &str| -> Vec<String> {
                let lines = text.lines();
                lines
                    .map(|line| {
                        let (said, comment) = line.split_once('#').unwrap_or((line, ""));
                        let is_told = ["diagonal_in", "size_mm", "angle_deg", "fold_deg"]
                            .iter()
                            .any(|key| said.trim().starts_with(key));
                        let begin = &line[..line.len() - line.trim_start().len()];
                        if is_told {
                            format!("{begin}#{comment}")
                        } else {
                            line.to_owned()
                        }
                    })
                    .collect()
            };
            assert_eq!(kept(&edited), kept(&text), "{}", demo.name);
            assert!(!edited.contains("diagonal_in ="), "{edited}");
            assert!(!edited.contains("angle_deg ="), "{edited}");
            let back = with_values_of(&edited, &rig).expect("edited back");
            assert_eq!(back, text);
        }
        // On one line.
        let text = "format = 1\nname = \"a\"\nseat = { view = \"p\", distance_mm = 600 }\n\
                    panel = [{ name = \"p\", \"diagonal_in\" = 24, pixels = [1920, 1080] }] # p";
        let rig = read(text, "inline", &[]).expect("a rig");
        let sided = changed(&rig, |parts| {
            parts.panels[0].size = Size::LitMm([520.0, 300.5]);
        });
        let edited = with_values_of(text, &sided).expect("edited");
        let wanted = text.replace("\"diagonal_in\" = 24", "size_mm = [520.0, 300.5]");
        assert_eq!(edited, wanted);
    }

    #[test]
    fn another_rigs_text_is_refused() {
        let rigs: Vec<Rig> = demos()
            .iter()
            .map(|demo| read(demo.text, demo.name, &[]).expect("a sound demo"))
            .collect();
        let other = rigs
            .iter()
            .find(|rig| rig.panels().len() != rigs[0].panels().len());
        if let Some(other) = other {
            assert!(with_values_of(demos()[0].text, other).is_err());
        }
        assert!(with_values_of("format = 2", &rigs[0]).is_err());
    }
}
