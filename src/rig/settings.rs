//! The command line's settings: values put into a rig file's tree before it is
//! read.

use super::document::{Document, Kind, Section};
use super::error::{Origin, ReadFault};
use super::toml_text;
use crate::parts::Table;
use crate::parts::words::{count, echo, nearest, quoted};

/// Puts each value in its place, one after the other.
///
/// A path is `name`, `seat.KEY`, `panel.PANEL.KEY`, `seam.N.KEY` or `window.KEY`, with a
/// panel's name or its number from the left, and a seam's number. A panel's
/// name wins over a number, and a longer name over a shorter one. A value that
/// is not TOML is taken as a string.
pub(super) fn apply<'i>(
    document: &mut Document<'i>,
    settings: &'i [(String, String)],
) -> Result<(), ReadFault> {
    for (index, (path, value)) in settings.iter().enumerate() {
        let origin = Origin::Setting(index);
        let (section, key) =
            find(document, path, &origin).map_err(|text| ReadFault::new(origin.clone(), text))?;
        section.set(key, toml_text::value_or_string(value), origin);
    }
    Ok(())
}

/// The table and the key that a path names.
fn find<'d, 'i, 'p>(
    document: &'d mut Document<'i>,
    path: &'p str,
    origin: &Origin,
) -> Result<(&'d mut Section<'i>, &'p str), String> {
    if path == "name" {
        return Ok((&mut document.top, path));
    }
    match path.split_once('.') {
        Some(("seat", key)) => {
            let key = known(Kind::Seat, key)?;
            let seat = document
                .seat
                .get_or_insert_with(|| Section::new(Kind::Seat, Table::Seat, origin.clone()));
            Ok((seat, key))
        }
        Some(("window", key)) => {
            let key = known(Kind::Window, key)?;
            let window = document
                .window
                .get_or_insert_with(|| Section::new(Kind::Window, Table::Window, origin.clone()));
            Ok((window, key))
        }
        Some(("panel", rest)) => {
            let (index, key) = panel_and_key(&document.panels, rest)?;
            Ok((&mut document.panels[index], known(Kind::Panel, key)?))
        }
        Some(("seam", rest)) => {
            let (number, key) = rest.split_once('.').ok_or_else(|| shape("seam"))?;
            let have = document.seams.len();
            let seam = index(number).and_then(|index| document.seams.get_mut(index));
            let seam = seam.ok_or_else(|| {
                let number = quoted(number);
                format!(
                    "there is no seam {number}, but {}: count them from 1 at the left",
                    count(have, "seam")
                )
            })?;
            Ok((seam, known(Kind::Seam, key)?))
        }
        _ => Err(stranger(path)),
    }
}

fn shape(table: &str) -> String {
    match table {
        "seam" => "a seam's value needs its number and a key: write it as seam.1.gap_mm".to_owned(),
        _ => "a panel's value needs its name or number and a key: write it as panel.1.tilt_deg"
            .to_owned(),
    }
}

fn known(kind: Kind, key: &str) -> Result<&str, String> {
    if kind.keys().contains(&key) {
        Ok(key)
    } else {
        Err(kind.unknown(key))
    }
}

/// The index for a number from 1.
fn index(number: &str) -> Option<usize> {
    let digits = number.bytes().all(|b| b.is_ascii_digit());
    let number = number.parse::<usize>().ok().filter(|_| digits)?;
    number.checked_sub(1)
}

/// Names may have dots in them, so `rest` is matched by its beginning.
fn panel_and_key<'p>(panels: &[Section<'_>], rest: &'p str) -> Result<(usize, &'p str), String> {
    let names = || {
        panels.iter().enumerate().filter_map(|(index, panel)| {
            let name = panel.get("name").and_then(|entry| entry.value.as_str())?;
            Some((index, name))
        })
    };
    let mut named: Vec<_> = names()
        .filter_map(|(index, name)| Some((index, rest.strip_prefix(name)?.strip_prefix('.')?)))
        .collect();
    // What the longest name leaves over is the shortest key.
    named.sort_by_key(|(_, key)| key.len());
    let panel_keys = Kind::Panel.keys();
    let is_key = |key: &&str| panel_keys.contains(key);
    if let Some(found) = named.iter().find(|(_, key)| is_key(key)) {
        return Ok(*found);
    }
    let numbered = rest.split_once('.').and_then(|(number, key)| {
        let index = index(number).filter(|index| *index < panels.len())?;
        Some((index, key))
    });
    if let Some(found) = numbered.or(named.first().copied()) {
        return Ok(found);
    }
    let (name, _) = rest.split_once('.').ok_or_else(|| shape("panel"))?;
    let wanted = quoted(name);
    Err(match nearest(name, names().map(|(_, name)| name)) {
        Some(meant) => format!(
            "there is no panel {wanted}: did you mean {}?",
            quoted(meant)
        ),
        None => {
            let have: Vec<_> = names().take(8).map(|(_, name)| quoted(name)).collect();
            let have = if have.is_empty() {
                "its number from the left".to_owned()
            } else {
                format!(
                    "its number from the left or a name such as {}",
                    have.join(", ")
                )
            };
            format!("there is no panel {wanted}: use {have}")
        }
    })
}

/// What is wrong with a path that begins like none.
fn stranger(path: &str) -> String {
    const SEATS: &str = "seat";
    let what = format!("there is no value {}", quoted(path));
    let (head, rest) = path.split_once('.').unwrap_or((path, ""));
    let meant = match head {
        "panel" | "seam" if rest.is_empty() => return shape(head),
        _ if rest.is_empty() => nearest(path, ["name"]).map(str::to_owned).or_else(|| {
            let key = nearest(path, Kind::Seat.keys())?;
            Some(format!("{SEATS}.{key}"))
        }),
        _ => nearest(head, [SEATS, "panel", "seam"]).map(|head| format!("{head}.{}", echo(rest))),
    };
    match meant {
        Some(meant) => format!("{what}: did you mean {meant}?"),
        None => {
            format!("{what}: use name, seat.KEY, panel.NAME.KEY, seam.NUMBER.KEY or window.KEY")
        }
    }
}
