//! From a rig file's text to a checked rig.

use toml::de::DeValue;

use super::check;
use super::checked::Rig;
use super::document::{Document, Entry, Section, type_name};
use super::error::{Origin, ReadError, ReadFault};
use super::{settings, slips, window};
use crate::parts::words::{echo, nearest, quoted};
use crate::parts::{
    Limit, Panel, PanelQuantity, Parts, Seam, SeamQuantity, Seat, SeatQuantity, Size, Spec, Table,
    Turn, ViewId,
};

/// Longest text that [`read`] accepts.
pub const MAX_TEXT_BYTES: usize = 1 << 20;

/// Reads a rig from the text of a rig file, in TOML.
///
/// `source_name` is what messages call the text. Each of `settings` is a path
/// such as `panel.port.tilt_deg` and a value in TOML's spelling; it replaces
/// or adds that value before anything is checked.
///
/// # Errors
///
/// The first fault found, with its place: see [`ReadError`].
pub fn read(
    text: &str,
    source_name: &str,
    settings: &[(String, String)],
) -> Result<Rig, ReadError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    rig(text, settings).map_err(|fault| fault.locate(text, source_name, settings))
}

fn rig(text: &str, settings: &[(String, String)]) -> Result<Rig, ReadFault> {
    if text.len() > MAX_TEXT_BYTES {
        return Err(ReadFault::new(
            Origin::Whole,
            format!(
                "this is longer than {} KiB, the most a rig file has: is it the right file?",
                MAX_TEXT_BYTES >> 10
            ),
        ));
    }
    let mut document = Document::parse(text)?;
    format(&document.top)?;
    settings::apply(&mut document, settings)?;
    document.check_keys()?;
    let parts = parts(&document)?;
    Rig::new(parts).map_err(|flaw| document.fault(flaw))
}

fn format(top: &Section<'_>) -> Result<(), ReadFault> {
    let entry = top.required("format", "write format = 1")?;
    match &entry.value {
        DeValue::Integer(number) if integer(number) == Some(1) => Ok(()),
        DeValue::Integer(number) => Err(ReadFault::new(
            entry.origin.clone(),
            format!(
                "`format` is {}, but this program reads format 1: get a newer program or write format = 1",
                echo(number.as_str())
            ),
        )),
        other => Err(wrong_type(
            entry,
            other,
            "the whole number 1",
            "write format = 1",
        )),
    }
}

fn parts(document: &Document<'_>) -> Result<Parts, ReadFault> {
    let top = &document.top;
    let name = text(top.required("name", "write name = \"…\" above the first table")?)?;
    check::panel_count(document.panels.len()).map_err(|flaw| document.fault(flaw))?;
    let panels = document
        .panels
        .iter()
        .map(panel)
        .collect::<Result<Vec<_>, _>>()?;
    let seams = document
        .seams
        .iter()
        .map(seam)
        .collect::<Result<Vec<_>, _>>()?;
    let Some(section) = &document.seat else {
        return Err(ReadFault::new(
            top.header.clone(),
            "the table [seat] is missing: add it, with `view` and `distance_mm`",
        ));
    };
    let seat = seat(section, &panels)?;
    let window = document.window.as_ref().map(window::read).transpose()?;
    Ok(Parts {
        name,
        seat,
        panels,
        seams,
        window,
    })
}

fn seat(section: &Section<'_>, panels: &[Panel]) -> Result<Seat, ReadFault> {
    let example = panels.first().map_or("", |panel| &panel.name);
    let example = quoted(&format!("{example}/1"));
    let view = section.required(
        "view",
        &format!("name the view straight in front, such as view = {example}"),
    )?;
    section.required("distance_mm", "measure from the eye to that view's middle")?;
    let mut seat = Seat {
        view: view_id(view, panels, &example)?,
        distance_mm: 0.0,
        height_mm: 0.0,
        offset_mm: 0.0,
    };
    for what in SeatQuantity::ALL {
        if let Some(number) = section.number(what.spec())? {
            what.put(&mut seat, number);
        }
    }
    Ok(seat)
}

/// A panel's name, a slash, and the view's number from 1 at the left; or the bare
/// name of a panel with one view.
fn view_id(entry: &Entry<'_>, panels: &[Panel], example: &str) -> Result<ViewId, ReadFault> {
    let written = text(entry)?;
    let fault = |text: String| ReadFault::new(entry.origin.clone(), text);
    let bare = panels.iter().position(|panel| panel.name == written);
    if let Some(panel) = bare {
        return match panels[panel].views {
            1 => Ok(ViewId { panel, view: 0 }),
            views => {
                let name = &panels[panel].name;
                let [first, last] = [1, views].map(|view| quoted(&format!("{name}/{view}")));
                Err(fault(format!(
                    "`view` is {}, but that panel has {views} views: name the one straight in \
                     front, from {first} at the left to {last}",
                    quoted(&written)
                )))
            }
        };
    }
    let split = written.rsplit_once('/').and_then(|(name, number)| {
        let digits = number.bytes().all(|b| b.is_ascii_digit());
        let view = number.parse::<u32>().ok().filter(|_| digits)?;
        Some((name, view.checked_sub(1)?))
    });
    let Some((name, view)) = split else {
        let name = written.split('/').next().unwrap_or("");
        let names = panels.iter().map(|panel| &*panel.name);
        let meant = nearest(name, names).map(|meant| quoted(&format!("{meant}/1")));
        let example = meant.as_deref().unwrap_or(example);
        let written = quoted(&written);
        return Err(fault(format!(
            "`view` is {written}, but must be a panel's name, a slash and the view's number \
             from 1 at the left: write it as {example}"
        )));
    };
    match panels.iter().position(|panel| panel.name == name) {
        Some(panel) => Ok(ViewId { panel, view }),
        None => {
            let wanted = quoted(name);
            let names = panels.iter().map(|panel| &*panel.name);
            Err(fault(match nearest(name, names) {
                Some(meant) => format!(
                    "`view` names a panel {wanted}, but there is none: did you mean {}?",
                    quoted(meant)
                ),
                None => format!(
                    "`view` names a panel {wanted}, but there is none: write it as {example}"
                ),
            }))
        }
    }
}

fn panel(section: &Section<'_>) -> Result<Panel, ReadFault> {
    let name = text(section.required("name", "give the panel a name")?)?;
    section.required(
        "pixels",
        "give its columns and rows, such as pixels = [2560, 1440]",
    )?;
    section.either(
        ["diagonal_in", "size_mm"],
        "give the lit area's diagonal in inches or its width and height in millimetres",
    )?;
    // Both are given, as far as this goes, and put below.
    let mut panel = Panel::new(name, [0, 0], Size::LitMm([0.0, 0.0]));
    for what in PanelQuantity::ALL {
        if what == PanelQuantity::BezelLeft
            && let Some(entry) = section.get("bezel_mm")
        {
            let remedy = "write it as { left = 7, right = 7, top = 7, bottom = 12 }";
            return Err(wrong_type(entry, &entry.value, "a table", remedy));
        }
        if let Some(number) = section.number(what.spec())? {
            what.put(&mut panel, number);
        }
    }
    Ok(panel)
}

fn seam(section: &Section<'_>) -> Result<Seam, ReadFault> {
    section.either(
        ["angle_deg", "fold_deg"],
        "give the angle between the two views' facings or the fold at the seam",
    )?;
    let mut seam = Seam::new(Turn::AngleDeg(0.0));
    for what in SeamQuantity::ALL {
        if let Some(number) = section.number(what.spec())? {
            what.put(&mut seam, number);
        }
    }
    Ok(seam)
}

impl<'i> Section<'i> {
    /// The value of a key that must be there.
    pub(super) fn required(&self, key: &str, remedy: &str) -> Result<&Entry<'i>, ReadFault> {
        self.get(key).ok_or_else(|| {
            let text = format!("`{key}` is missing {}: {remedy}", self.kind.place());
            ReadFault::new(self.header.clone(), text)
        })
    }

    /// The one value that is given of two that exclude each other.
    fn either(&self, [a, b]: [&str; 2], remedy: &str) -> Result<&Entry<'i>, ReadFault> {
        match (self.get(a), self.get(b)) {
            (Some(entry), None) | (None, Some(entry)) => Ok(entry),
            (None, None) => {
                let title = self.kind.title();
                Err(ReadFault::new(
                    self.header.clone(),
                    format!("neither `{a}` nor `{b}` is in this {title}: {remedy}"),
                ))
            }
            (Some(first), Some(second)) => Err(self.contradiction(first, second)),
        }
    }

    fn contradiction(&self, a: &Entry<'_>, b: &Entry<'_>) -> ReadFault {
        let both = format!("`{}` and `{}` exclude each other", a.key, b.key);
        let path = match self.table {
            Table::Rig => String::new(),
            Table::Seat => "seat.".to_owned(),
            Table::Window => "window.".to_owned(),
            // A number may be the name of another panel.
            Table::Panel(index) => match self.get("name").and_then(|e| e.value.as_str()) {
                Some(name) => format!("panel.{}.", echo(name)),
                None => format!("panel.{}.", index + 1),
            },
            Table::Seam(index) => format!("seam.{}.", index + 1),
        };
        match (&a.key_origin, &b.key_origin) {
            (Origin::Setting(first), Origin::Setting(second)) => ReadFault::new(
                Origin::Setting(*first.max(second)),
                format!("{both}: set only one of them"),
            ),
            (Origin::Setting(set), _) => ReadFault::new(
                Origin::Setting(*set),
                format!(
                    "{both}, and the file has `{}`: set {path}{} instead",
                    b.key, b.key
                ),
            ),
            (_, Origin::Setting(set)) => ReadFault::new(
                Origin::Setting(*set),
                format!(
                    "{both}, and the file has `{}`: set {path}{} instead",
                    a.key, a.key
                ),
            ),
            (Origin::Text(first), Origin::Text(second)) if first.start > second.start => {
                ReadFault::new(a.key_origin.clone(), format!("{both}: delete one of them"))
            }
            _ => ReadFault::new(b.key_origin.clone(), format!("{both}: delete one of them")),
        }
    }

    /// The number of a key, or of one item of its pair; `None` where the key is
    /// left out.
    fn number(&self, spec: &Spec) -> Result<Option<f64>, ReadFault> {
        let Some(entry) = self.get(spec.key) else {
            return Ok(None);
        };
        let (value, origin) = item(entry, spec)?;
        if spec.is_whole {
            whole(entry, value, &origin, &spec.limit).map(Some)
        } else {
            number_in(entry, value, &origin).map(Some)
        }
    }
}

fn text(entry: &Entry<'_>) -> Result<String, ReadFault> {
    match &entry.value {
        DeValue::String(text) => Ok(text.clone().into_owned()),
        other => Err(wrong_type(
            entry,
            other,
            "a string",
            "put it in double quotes",
        )),
    }
}

fn number_in(entry: &Entry<'_>, value: &DeValue<'_>, origin: &Origin) -> Result<f64, ReadFault> {
    match value {
        DeValue::Float(float) => Ok(float.as_str().parse().unwrap_or(f64::NAN)),
        // No range reaches the integers that a double can't hold.
        DeValue::Integer(number) => Ok(integer(number).map_or(f64::INFINITY, |n| n as f64)),
        other => Err(ReadFault {
            origin: origin.clone(),
            ..wrong_type(entry, other, "a number", &number_remedy(other))
        }),
    }
}

/// The value of a key, or of one item of its pair, and where it stands.
pub(super) fn item<'e, 'i>(
    entry: &'e Entry<'i>,
    spec: &Spec,
) -> Result<(&'e DeValue<'i>, Origin), ReadFault> {
    Ok(match spec.item {
        None => (&entry.value, entry.origin.clone()),
        Some(item) => {
            let item = pair(entry)?[item];
            (item.get_ref(), entry.origin.of_part(item.span()))
        }
    })
}

fn pair<'e, 'i>(entry: &'e Entry<'i>) -> Result<[&'e toml::Spanned<DeValue<'i>>; 2], ReadFault> {
    const EXPECTED: &str = "an array of two numbers";
    const REMEDY: &str = "write it as [1920, 1080]";
    let DeValue::Array(items) = &entry.value else {
        return Err(wrong_type(entry, &entry.value, EXPECTED, REMEDY));
    };
    let mut items_in_turn = items.iter();
    match (
        items_in_turn.next(),
        items_in_turn.next(),
        items_in_turn.next(),
    ) {
        (Some(a), Some(b), None) => Ok([a, b]),
        _ => Err(ReadFault::new(
            entry.origin.clone(),
            format!(
                "`{}` must be {EXPECTED}, but has {}: {}",
                entry.key,
                items.len(),
                decimals(entry, items).as_deref().unwrap_or(REMEDY),
            ),
        )),
    }
}

/// What to write where sizes with decimal commas became three or four numbers.
fn decimals(entry: &Entry<'_>, items: &[toml::Spanned<DeValue<'_>>]) -> Option<String> {
    if entry.key != PanelQuantity::Width.spec().key {
        return None;
    }
    let number = |item: &toml::Spanned<DeValue<'_>>| match item.get_ref() {
        DeValue::Integer(number) => Some(echo(number.as_str())),
        _ => None,
    };
    let numbers: Vec<String> = items.iter().take(5).map_while(number).collect();
    match &numbers[..] {
        [a, b, c, d] if items.len() == 4 => Some(format!(
            "write decimals with a point, as [{a}.{b}, {c}.{d}]"
        )),
        [_, _, _] if items.len() == 3 => {
            Some("write decimals with a point, such as [597.7, 336.2]".to_owned())
        }
        _ => None,
    }
}

/// How to write a number that is given as something else.
fn number_remedy(found: &DeValue<'_>) -> String {
    found
        .as_str()
        .and_then(slips::remedy)
        .unwrap_or_else(|| "write the number alone, without quotes or unit".to_owned())
}

/// A whole number that its type holds. Its limit, which is narrower, is checked
/// with the rig.
fn whole(
    entry: &Entry<'_>,
    value: &DeValue<'_>,
    origin: &Origin,
    limit: &Limit,
) -> Result<f64, ReadFault> {
    let wrong = |remedy: &str| ReadFault {
        origin: origin.clone(),
        ..wrong_type(entry, value, "a whole number", remedy)
    };
    match value {
        DeValue::Integer(number) => {
            let number = integer(number).map_or(f64::INFINITY, |n| n as f64);
            let held = if limit.min() < 0.0 {
                f64::from(i32::MIN)..=f64::from(i32::MAX)
            } else {
                0.0..=f64::from(u32::MAX)
            };
            match limit.broken_by(number) {
                Some(text) if !held.contains(&number) => Err(ReadFault::new(origin.clone(), text)),
                _ => Ok(number),
            }
        }
        DeValue::Float(_) => Err(wrong("write it without a decimal point")),
        other => Err(wrong(&number_remedy(other))),
    }
}

pub(super) fn integer(number: &toml::de::DeInteger<'_>) -> Option<i128> {
    i128::from_str_radix(number.as_str(), number.radix()).ok()
}

pub(super) fn wrong_type(
    entry: &Entry<'_>,
    found: &DeValue<'_>,
    expected: &str,
    remedy: &str,
) -> ReadFault {
    ReadFault::new(
        entry.origin.clone(),
        format!(
            "`{}` must be {expected}, but is {}: {remedy}",
            entry.key,
            type_name(found)
        ),
    )
}
