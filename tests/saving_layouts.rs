//! Saving changes a number's own bytes and no others, whatever the file's layout.

use std::fmt::Write as _;

use proptest::prelude::*;
use throughline::nudging::values;
use throughline::rig::{
    Measure, PanelQuantity, Parts, Rig, SeamQuantity, SeatQuantity, Spec, demos, read,
    with_values_of,
};

/// Choices, one after the other, from random bytes.
struct Dice(Vec<u8>, usize);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.1 += 1;
        usize::from(self.0[self.1 % self.0.len()]).wrapping_add(self.1 * 31) % sides
    }

    fn one_in(&mut self, n: usize) -> bool {
        self.roll(n) == 0
    }

    fn of<'a>(&mut self, choices: &[&'a str]) -> &'a str {
        choices[self.roll(choices.len())]
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for at in (1..items.len()).rev() {
            let other = self.roll(at + 1);
            items.swap(at, other);
        }
    }
}

/// A text in pieces; those that are a number say which.
#[derive(Default)]
struct Text(Pieces);

impl Text {
    fn push(&mut self, text: &str) {
        self.0.push((None, text.to_owned()));
    }

    fn whole(&self) -> String {
        self.0.iter().map(|(_, text)| text.as_str()).collect()
    }
}

/// A number as somebody might have written it.
fn spelling(dice: &mut Dice, spec: &Spec, number: f64) -> String {
    let sign = if number >= 0.0 && dice.one_in(4) {
        "+"
    } else {
        ""
    };
    if spec.is_whole {
        return match dice.roll(4) {
            0 if number >= 0.0 && sign.is_empty() => format!("{:#x}", number as u64),
            1 if number.abs() >= 1000.0 => {
                let digits = format!("{number:.0}");
                format!(
                    "{sign}{}_{}",
                    &digits[..digits.len() - 3],
                    &digits[digits.len() - 3..]
                )
            }
            _ => format!("{sign}{number:.0}"),
        };
    }
    match dice.roll(5) {
        0 => format!("{sign}{number:?}00"),
        1 => format!("{sign}{number:e}"),
        2 if number.fract() == 0.0 => format!("{sign}{number:.0}"),
        _ => format!("{sign}{number:?}"),
    }
}

/// Keys of a table, each with what may be written for it.
struct Keys(Vec<(String, Pieces)>);

/// What is written for a value.
type Pieces = Vec<(Option<Measure>, String)>;

fn keys(dice: &mut Dice, parts: &Parts, all: Vec<Measure>, first: &[(&str, String)]) -> Keys {
    let mut keys: Vec<(String, Pieces)> = first
        .iter()
        .map(|(key, text)| ((*key).to_owned(), vec![(None, format!("{text:?}"))]))
        .collect();
    let mut bezels = Vec::new();
    for measure in all {
        let Some(number) = measure.get(parts) else {
            continue;
        };
        let spec = measure.spec();
        // What is as by default may be left out.
        if spec.default == Some(number) && dice.one_in(2) {
            continue;
        }
        let number = (Some(measure), spelling(dice, spec, number));
        match (spec.key.split_once('.'), spec.item) {
            (Some((_, side)), _) => bezels.push((side, number)),
            (None, None) => keys.push((spec.key.to_owned(), vec![number])),
            (None, Some(0)) => {
                let begin = dice.of(&["[", "[ ", "[\n  "]).to_owned();
                keys.push((spec.key.to_owned(), vec![(None, begin), number]));
            }
            (None, Some(_)) => {
                let between = dice.of(&[", ", ",", " , "]).to_owned();
                let end = dice.of(&["]", " ]", ", ]"]).to_owned();
                let pieces = &mut keys.last_mut().expect("the first of the pair").1;
                pieces.extend([(None, between), number, (None, end)]);
            }
        }
    }
    if !bezels.is_empty() && dice.one_in(2) {
        let mut pieces = vec![(None, "{ ".to_owned())];
        for (index, (side, number)) in bezels.into_iter().enumerate() {
            let comma = if index > 0 { ", " } else { "" };
            pieces.push((None, format!("{comma}{side} = ")));
            pieces.push(number);
        }
        pieces.push((None, " }".to_owned()));
        keys.push(("bezel_mm".to_owned(), pieces));
    } else {
        let dotted = bezels.into_iter();
        keys.extend(dotted.map(|(side, number)| (format!("bezel_mm.{side}"), vec![number])));
    }
    dice.shuffle(&mut keys);
    Keys(keys)
}

fn quoted(dice: &mut Dice, key: &str) -> String {
    match dice.roll(6) {
        0 if !key.contains('.') => format!("\"{key}\""),
        1 if !key.contains('.') => format!("'{key}'"),
        _ => key.to_owned(),
    }
}

fn end_line(dice: &mut Dice, text: &mut Text) {
    let comment = dice.of(&["", "", "  # measured", " # = [ { \" 7.0 mm", "#guessed"]);
    text.push(comment);
    let end = dice.of(&["\n", "\n", "\r\n", "\n\n", "\r\n# between, with 640.0\r\n"]);
    text.push(end);
}

/// A table's keys on lines of their own, with a prefix where they are dotted.
fn lines(dice: &mut Dice, text: &mut Text, prefix: &str, keys: Keys) {
    for (key, pieces) in keys.0 {
        let indent = dice.of(&["", "", "  ", "\t"]).to_owned();
        let equals = dice.of(&[" = ", "=", "  =  "]).to_owned();
        let key = quoted(dice, &key);
        text.push(&format!("{indent}{prefix}{key}{equals}"));
        text.0.extend(pieces);
        end_line(dice, text);
    }
}

fn inline(dice: &mut Dice, text: &mut Text, keys: Keys) {
    text.push(dice.of(&["{", "{ "]));
    for (index, (key, pieces)) in keys.0.into_iter().enumerate() {
        let comma = if index > 0 { ", " } else { "" };
        let key = quoted(dice, &key);
        text.push(&format!("{comma}{key} = "));
        // One line is all that an inline table has in older TOML.
        let flat = pieces.into_iter();
        text.0
            .extend(flat.map(|(measure, piece)| (measure, piece.replace('\n', ""))));
    }
    text.push(dice.of(&["}", " }"]));
}

/// A rig's file in a layout of its own.
fn laid_out(dice: &mut Dice, rig: &Rig) -> Text {
    let parts = rig.parts();
    let mut text = Text::default();
    if dice.one_in(4) {
        text.push("\u{feff}");
    }
    text.push("# A rig in a layout of its own\n");
    let name = Keys(vec![
        ("format".to_owned(), vec![(None, "1".to_owned())]),
        ("name".to_owned(), vec![(None, format!("{:?}", parts.name))]),
    ]);
    lines(dice, &mut text, "", name);

    let facing = &parts.panels[parts.seat.view.panel].name;
    let view = format!("{facing}/{}", parts.seat.view.view + 1);
    let all = SeatQuantity::ALL.map(Measure::Seat).to_vec();
    let seat = keys(dice, parts, all, &[("view", view)]);
    let panels: Vec<Keys> = (0..parts.panels.len())
        .map(|index| {
            let all = PanelQuantity::ALL.map(|what| Measure::Panel(index, what));
            let name = parts.panels[index].name.clone();
            keys(dice, parts, all.to_vec(), &[("name", name)])
        })
        .collect();
    let seams: Vec<Keys> = (0..parts.seams.len())
        .map(|index| {
            let all = SeamQuantity::ALL.map(|what| Measure::Seam(index, what));
            keys(dice, parts, all.to_vec(), &[])
        })
        .collect();

    // What has no header stands above all that has one.
    let mut headed: Vec<(&str, Vec<Keys>)> = Vec::new();
    match dice.roll(3) {
        0 => lines(dice, &mut text, "seat.", seat),
        1 => {
            text.push("seat = ");
            inline(dice, &mut text, seat);
            end_line(dice, &mut text);
        }
        _ => headed.push(("[seat]", vec![seat])),
    }
    for (key, header, list) in [
        ("panel", ["[[panel]]", "[[ panel ]]"], panels),
        ("seam", ["[[seam]]", "[[ seam ]]"], seams),
    ] {
        if !list.is_empty() && dice.one_in(3) {
            text.push(&format!("{key} = [\n  "));
            for (index, keys) in list.into_iter().enumerate() {
                text.push(if index > 0 { ",\n  " } else { "" });
                inline(dice, &mut text, keys);
            }
            text.push("\n]");
            end_line(dice, &mut text);
        } else {
            headed.push((header[dice.roll(2)], list));
        }
    }
    dice.shuffle(&mut headed);
    for (header, list) in headed {
        for keys in list {
            text.push(header);
            end_line(dice, &mut text);
            lines(dice, &mut text, "", keys);
        }
    }
    if dice.one_in(3) {
        let end = &mut text.0.last_mut().expect("not empty").1;
        let kept = end.trim_end().to_owned();
        *end = kept;
    }
    text
}

/// How many numbers a case changed that the file said, and that it left out.
fn check(bytes: Vec<u8>, which: usize, steps: &[i8]) -> Result<[usize; 2], TestCaseError> {
    let mut dice = Dice(bytes, 0);
    let demo = &demos()[which % demos().len()];
    let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
    let text = laid_out(&mut dice, &rig);
    let before = text.whole();
    let said = match read(&before, "laid out", &[]) {
        Ok(said) => said,
        Err(error) => return Err(TestCaseError::fail(format!("{error}\n{before}"))),
    };
    prop_assert_eq!(said.parts(), rig.parts(), "{}", before);

    let mut parts = rig.parts().clone();
    for (at, (value, by)) in values(rig.parts())
        .into_iter()
        .zip(steps.iter().cycle())
        .enumerate()
    {
        if *by != 0 {
            let number = value.get(&parts).expect("it is there");
            // Numbers of their own, so that each is found again.
            let own = if value.spec().is_whole {
                at as f64
            } else {
                at as f64 * 1e-3
            };
            let fine = value.spec().steps.expect("it is nudged")[0];
            value.put(&mut parts, number + f64::from(by.abs()) * fine + own);
        }
    }
    let Ok(nudged) = Rig::new(parts) else {
        return Ok([0, 0]);
    };
    let after = match with_values_of(&before, &nudged) {
        Ok(after) => after,
        Err(error) => return Err(TestCaseError::fail(format!("{error}\n{before}"))),
    };
    let back = read(&after, "saved", &[]).expect("a rig file");
    prop_assert_eq!(back.parts(), nudged.parts(), "{}", after);

    let spelt = |measure: Measure, number: f64| {
        if measure.spec().is_whole {
            format!("{number:.0}")
        } else {
            format!("{number:?}")
        }
    };
    let changed = |measure: Measure| {
        let number = measure.get(nudged.parts());
        number.filter(|_| number != measure.get(rig.parts()))
    };
    let mut expected = String::new();
    let mut replaced = 0;
    for (measure, piece) in &text.0 {
        match measure.and_then(|measure| Some((measure, changed(measure)?))) {
            Some((measure, number)) => {
                let _ = write!(expected, "{}", spelt(measure, number));
                replaced += 1;
            }
            None => expected += piece,
        }
    }
    // What was left out stands on a line of its own, or in its inline table.
    let mut rest = after.clone();
    let mut added = 0;
    for measure in Measure::all(nudged.parts()) {
        let is_said = text.0.iter().any(|(known, _)| *known == Some(measure));
        let Some(number) = changed(measure).filter(|_| !is_said) else {
            continue;
        };
        let what = format!("{} = {}", measure.spec().key, spelt(measure, number));
        let at = rest.find(&what);
        prop_assert!(at.is_some(), "{what} is missing\n{after}");
        let at = at.expect("just seen");
        let (mut from, mut to) = (at, at + what.len());
        if rest[..from].ends_with(", ") {
            from -= 2;
        } else {
            from = rest[..from].rfind('\n').map_or(0, |newline| newline + 1);
            match rest[to..].find('\n') {
                Some(newline) => to += newline + 1,
                None => from -= 1,
            }
        }
        rest.replace_range(from..to, "");
        added += 1;
    }
    prop_assert_eq!(rest, expected);
    Ok([replaced, added])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn only_the_numbers_own_bytes_change(
        bytes in prop::collection::vec(any::<u8>(), 64..256),
        which in 0..4_usize,
        steps in prop::collection::vec(prop_oneof![3 => Just(0_i8), 1 => -3..4_i8], 7..23),
    ) {
        check(bytes, which, &steps)?;
    }
}

#[test]
fn most_layouts_have_both_kinds_of_change() {
    let mut seen = [0, 0];
    for seed in 0..60_u8 {
        let bytes = (0..97_u8).map(|at| at.wrapping_mul(seed.wrapping_mul(2) + 1) ^ seed);
        let [replaced, added] = check(bytes.collect(), usize::from(seed), &[1, 0, 2, -1])
            .unwrap_or_else(|error| panic!("{error}"));
        seen[0] += usize::from(replaced > 0);
        seen[1] += usize::from(added > 0);
    }
    assert!(seen.iter().all(|&count| count > 30), "{seen:?}");
}
