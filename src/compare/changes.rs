//! Which values differ between two rigs.

use crate::rig::{Measure, Panel, Parts, Rig, Subject, Table, window_values};

/// A value of a rig file.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A name.
    Text(String),
    /// A number, in the unit of its key.
    Number(f64),
    /// Two of them, in the file's order.
    Pair([f64; 2]),
}

impl std::fmt::Display for Value {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Value::Text(text) => f.write_str(text),
            Value::Number(number) => write!(f, "{}", rounded(*number)),
            Value::Pair([one, other]) => {
                write!(f, "[{}, {}]", rounded(*one), rounded(*other))
            }
        }
    }
}

/// Without the digits that only arithmetic put there.
fn rounded(number: f64) -> f64 {
    (number * 1e6).round() / 1e6
}

/// One value that differs.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Which key; panels and seams are numbered.
    pub subject: Subject,
    /// Its path for people: panels are named where both rigs call them alike.
    pub path: String,
    /// Before; `None` where the file has no such value.
    pub before: Option<Value>,
    /// After; `None` where the file has no such value.
    pub after: Option<Value>,
}

/// Every value that differs between two rigs, in the file's order.
pub fn changes(before: &Rig, after: &Rig) -> Vec<Change> {
    let one = values(before.parts());
    let other = values(after.parts());
    let mut subjects: Vec<Subject> = one.iter().map(|(subject, _)| *subject).collect();
    for (subject, _) in &other {
        if !subjects.contains(subject) {
            subjects.push(*subject);
        }
    }
    let find = |list: &[(Subject, Value)], subject: Subject| {
        let found = list.iter().find(|(known, _)| *known == subject);
        found.map(|(_, value)| value.clone())
    };
    subjects
        .into_iter()
        .map(|subject| Change {
            subject,
            path: path(subject, before.panels(), after.panels()),
            before: find(&one, subject),
            after: find(&other, subject),
        })
        .filter(|change| change.before != change.after)
        .collect()
}

fn path(subject: Subject, before: &[Panel], after: &[Panel]) -> String {
    let named = match subject.table {
        Table::Panel(index) => before.get(index).zip(after.get(index)),
        _ => None,
    };
    match (named, subject.key) {
        (Some((one, other)), Some(key)) if one.name == other.name => {
            format!("panel.{}.{key}", one.name)
        }
        _ => subject.to_string(),
    }
}

/// Everything that a rig file says, in its order.
fn values(parts: &Parts) -> Vec<(Subject, Value)> {
    let text = |subject: Subject, text: &str| (subject, Value::Text(text.to_owned()));
    let facing = &parts.panels[parts.seat.view.panel].name;
    let view = format!("{facing}/{}", parts.seat.view.view + 1);
    let mut values = vec![
        text(Subject::rig("name"), &parts.name),
        text(Subject::seat("view"), &view),
    ];
    let mut table = Table::Seat;
    for measure in Measure::all(parts) {
        let Some(number) = measure.get(parts) else {
            continue;
        };
        if let (true, Table::Panel(index)) = (measure.table() != table, measure.table()) {
            let name = Subject::panel(index, "name");
            values.push(text(name, &parts.panels[index].name));
        }
        table = measure.table();
        // The second number of a pair joins the first.
        match (measure.spec().item, values.last_mut()) {
            (Some(1), Some((_, value @ Value::Number(_)))) => {
                if let Value::Number(first) = *value {
                    *value = Value::Pair([first, number]);
                }
            }
            _ => values.push((measure.subject(), Value::Number(number))),
        }
    }
    if let Some(window) = &parts.window {
        let keys = window_values(window).into_iter();
        values.extend(keys.map(|(key, value)| text(Subject::window(key), &value)));
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{demos, read};

    fn demo(settings: &[(&str, &str)]) -> Rig {
        let settings: Vec<_> = settings
            .iter()
            .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
            .collect();
        read(demos()[1].text, demos()[1].name, &settings).expect("a demo reads")
    }

    #[test]
    fn each_change_is_named_as_a_setting_spells_it() {
        let before = demo(&[]);
        assert_eq!(changes(&before, &before), []);
        let after = demo(&[
            ("seat.distance_mm", "650"),
            ("panel.ahead.roll_deg", "0.5"),
            ("seam.2.gap_mm", "3.5"),
        ]);
        let change = |subject: Subject, path: &str, before: f64, after: f64| Change {
            subject,
            path: path.to_owned(),
            before: Some(Value::Number(before)),
            after: Some(Value::Number(after)),
        };
        let expected = [
            change(
                Subject::seat("distance_mm"),
                "seat.distance_mm",
                620.0,
                650.0,
            ),
            change(
                Subject::panel(1, "roll_deg"),
                "panel.ahead.roll_deg",
                0.0,
                0.5,
            ),
            change(Subject::seam(1, "gap_mm"), "seam.2.gap_mm", 1.0, 3.5),
        ];
        assert_eq!(changes(&before, &after), expected);
    }
}
