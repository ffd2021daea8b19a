//! Puts nudged values into a rig file's text and leaves the rest as it is.

use super::checked::Rig;
use super::read::read;
use crate::parts::{Measure, Parts, Table};
use toml_edit::{DocumentMut, Formatted, Item, TableLike};

/// What some editors begin a text file with.
const BYTE_ORDER_MARK: char = '\u{feff}';

/// The text with the values of `rig` where they differ from what it says.
/// Comments and layout stay, and so do Windows' line ends and byte order mark.
///
/// # Errors
///
/// One sentence where the text is no rig file of this rig's panels and seams.
pub fn with_values_of(text: &str, rig: &Rig) -> Result<String, String> {
    let said = read(text, "the rig file", &[]).map_err(|error| error.to_string())?;
    let mut document: DocumentMut = text
        .trim_start_matches(BYTE_ORDER_MARK)
        .parse()
        .map_err(|error: toml_edit::TomlError| error.message().to_owned())?;
    let (wanted, said) = (rig.parts(), said.parts());
    let measures = Measure::all(wanted);
    if measures != Measure::all(said) {
        return Err("its panels and seams are not those on the glass".to_owned());
    }
    for measure in measures {
        let number = measure.get(wanted);
        if let Some(number) = number.filter(|_| number != measure.get(said)) {
            put(&mut document, measure, number)
                .ok_or_else(|| format!("it has no place for {}", measure.path()))?;
        }
    }
    let text = dressed_as(text, &document.to_string());
    let read_back = read(&text, "the edited rig file", &[]);
    match read_back {
        Ok(back) if agree(back.parts(), wanted) => Ok(text),
        Ok(_) => Err("its values could not be changed one by one".to_owned()),
        Err(error) => Err(error.to_string()),
    }
}

/// An edited text with the line ends and the byte order mark of the original,
/// of which the editing library keeps neither.
fn dressed_as(original: &str, edited: &str) -> String {
    let unmarked = original.trim_start_matches(BYTE_ORDER_MARK);
    let mark = &original[..original.len() - unmarked.len()];
    let ends = original.matches('\n').count();
    if ends > 0 && original.matches("\r\n").count() == ends {
        let lines = edited.replace("\r\n", "\n");
        format!("{mark}{}", lines.replace('\n', "\r\n"))
    } else {
        format!("{mark}{edited}")
    }
}

fn agree(one: &Parts, other: &Parts) -> bool {
    let measures = Measure::all(one);
    measures == Measure::all(other)
        && measures
            .iter()
            .all(|measure| measure.get(one) == measure.get(other))
}

fn put(document: &mut DocumentMut, measure: Measure, number: f64) -> Option<()> {
    let mut table = match measure.table() {
        Table::Rig => return None,
        Table::Seat => document.get_mut("seat")?.as_table_like_mut()?,
        Table::Panel(index) => element(document.get_mut("panel")?, index)?,
        Table::Seam(index) => element(document.get_mut("seam")?, index)?,
    };
    let spec = measure.spec();
    let mut key = spec.key;
    if let Some((within, rest)) = key.split_once('.') {
        table = table.get_mut(within)?.as_table_like_mut()?;
        key = rest;
    }
    let new = if spec.is_whole {
        toml_edit::Value::Integer(Formatted::new(number as i64))
    } else {
        toml_edit::Value::Float(Formatted::new(number))
    };
    let old = match spec.item {
        Some(item) => Some(table.get_mut(key)?.as_array_mut()?.get_mut(item)?),
        None => table.get_mut(key).and_then(Item::as_value_mut),
    };
    match old {
        Some(old) => {
            // The decor holds the comment behind the value.
            let decor = old.decor().clone();
            *old = new;
            *old.decor_mut() = decor;
        }
        None => {
            table.insert(key, Item::Value(new));
        }
    }
    Some(())
}

/// The table at an index, whichever way the list is written.
fn element(list: &mut Item, index: usize) -> Option<&mut dyn TableLike> {
    match list {
        Item::ArrayOfTables(tables) => {
            let table = tables.get_mut(index)?;
            Some(table)
        }
        Item::Value(toml_edit::Value::Array(array)) => {
            let table = array.get_mut(index)?.as_inline_table_mut()?;
            Some(table)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::demos;

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
