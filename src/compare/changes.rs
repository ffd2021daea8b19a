//! Which values differ between two rigs.

use crate::rig::{Parts, Rig, Size, Turn};

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
    /// Its path, as a setting spells it.
    pub path: String,
    /// Before; `None` where the file has no such value.
    pub before: Option<Value>,
    /// After; `None` where the file has no such value.
    pub after: Option<Value>,
}

/// Every value that differs between two rigs, in the file's order. Panels are
/// named where both rigs call them alike, else numbered.
pub fn changes(before: &Rig, after: &Rig) -> Vec<Change> {
    let names: Vec<Option<&str>> = (before.panels().iter())
        .zip(after.panels())
        .map(|(one, other)| (one.name == other.name).then_some(one.name.as_str()))
        .collect();
    let one = values(before.parts(), &names);
    let other = values(after.parts(), &names);
    let mut paths: Vec<&String> = one.iter().map(|(path, _)| path).collect();
    for (path, _) in &other {
        if !paths.contains(&path) {
            paths.push(path);
        }
    }
    let find = |list: &[(String, Value)], path: &String| {
        let found = list.iter().find(|(known, _)| known == path);
        found.map(|(_, value)| value.clone())
    };
    paths
        .into_iter()
        .map(|path| Change {
            path: path.clone(),
            before: find(&one, path),
            after: find(&other, path),
        })
        .filter(|change| change.before != change.after)
        .collect()
}

fn values(parts: &Parts, names: &[Option<&str>]) -> Vec<(String, Value)> {
    let number = Value::Number;
    let pair = Value::Pair;
    let seat = &parts.seat;
    let facing = &parts.panels[seat.view.panel].name;
    let mut values = vec![
        ("name".to_owned(), Value::Text(parts.name.clone())),
        (
            "seat.view".to_owned(),
            Value::Text(format!("{facing}/{}", seat.view.view + 1)),
        ),
        ("seat.distance_mm".to_owned(), number(seat.distance_mm)),
        ("seat.height_mm".to_owned(), number(seat.height_mm)),
        ("seat.offset_mm".to_owned(), number(seat.offset_mm)),
    ];
    for (index, panel) in parts.panels.iter().enumerate() {
        let name = match names.get(index) {
            Some(Some(name)) => (*name).to_owned(),
            _ => (index + 1).to_string(),
        };
        let mut add = |key: &str, value: Value| values.push((format!("panel.{name}.{key}"), value));
        add("name", Value::Text(panel.name.clone()));
        add("pixels", pair(panel.pixels.map(f64::from)));
        match panel.size {
            Size::DiagonalIn(diagonal) => add("diagonal_in", number(diagonal)),
            Size::LitMm(size) => add("size_mm", pair(size)),
        }
        if let Some(radius) = panel.curve_radius_mm {
            add("curve_radius_mm", number(radius));
        }
        add("views", number(f64::from(panel.views)));
        if let Some(refresh) = panel.refresh_hz {
            add("refresh_hz", number(refresh));
        }
        add("scale", number(panel.scale));
        let bezel = panel.bezel_mm;
        add("bezel_mm.left", number(bezel.left));
        add("bezel_mm.right", number(bezel.right));
        add("bezel_mm.top", number(bezel.top));
        add("bezel_mm.bottom", number(bezel.bottom));
        if let Some(corner) = panel.desktop_px {
            add("desktop_px", pair(corner.map(f64::from)));
        }
        add("tilt_deg", number(panel.tilt_deg));
        add("roll_deg", number(panel.roll_deg));
    }
    for (index, seam) in parts.seams.iter().enumerate() {
        let (Turn::AngleDeg(turn) | Turn::FoldDeg(turn)) = seam.turn;
        for (key, value) in [
            (seam.turn.key(), turn),
            ("gap_mm", seam.gap_mm),
            ("step_mm", seam.step_mm),
            ("rise_mm", seam.rise_mm),
            ("hidden_px", f64::from(seam.hidden_px)),
        ] {
            values.push((format!("seam.{}.{key}", index + 1), number(value)));
        }
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
        let change = |path: &str, before: f64, after: f64| Change {
            path: path.to_owned(),
            before: Some(Value::Number(before)),
            after: Some(Value::Number(after)),
        };
        let expected = [
            change("seat.distance_mm", 620.0, 650.0),
            change("panel.ahead.roll_deg", 0.0, 0.5),
            change("seam.2.gap_mm", 1.0, 3.5),
        ];
        assert_eq!(changes(&before, &after), expected);
    }
}
