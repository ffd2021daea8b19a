//! A rig file as a tree of tables whose every part knows where it came from.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::{Origin, ReadFault};
use super::toml_text;
use crate::parts::words::{echo, nearest, quoted};
use crate::parts::{Flaw, PanelQuantity, SeamQuantity, SeatQuantity, Spec, Subject, Table};

/// What a table is, which says what keys it may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Rig,
    Seat,
    Panel,
    Seam,
    Window,
}

impl Kind {
    const ALL: [Kind; 5] = [Kind::Rig, Kind::Seat, Kind::Panel, Kind::Seam, Kind::Window];

    /// How a message calls it.
    pub(super) fn title(self) -> &'static str {
        match self {
            Kind::Rig => "the top of the file",
            Kind::Seat => "[seat]",
            Kind::Panel => "[[panel]]",
            Kind::Seam => "[[seam]]",
            Kind::Window => "[window]",
        }
    }

    /// Where a message says that its keys are.
    pub(super) fn place(self) -> &'static str {
        match self {
            Kind::Rig => "at the top of the file",
            Kind::Seat => "in [seat]",
            Kind::Panel => "in [[panel]]",
            Kind::Seam => "in [[seam]]",
            Kind::Window => "in [window]",
        }
    }

    /// The keys that may hold a value in it; those of a table within are
    /// dotted, and follow their table.
    pub(super) fn keys(self) -> Vec<&'static str> {
        let mut keys: Vec<&'static str> = match self {
            Kind::Rig => vec!["format", "name", "seat", "panel", "seam", "window"],
            Kind::Seat => vec!["view"],
            Kind::Panel => vec!["name"],
            Kind::Seam => Vec::new(),
            Kind::Window => vec!["px", "columns", "ahead"],
        };
        let listed: Vec<&'static Spec> = match self {
            Kind::Rig | Kind::Window => Vec::new(),
            Kind::Seat => SeatQuantity::ALL.map(SeatQuantity::spec).to_vec(),
            Kind::Panel => PanelQuantity::ALL.map(PanelQuantity::spec).to_vec(),
            Kind::Seam => SeamQuantity::ALL.map(SeamQuantity::spec).to_vec(),
        };
        for spec in listed {
            let table = spec.key.split_once('.').map(|(table, _)| table);
            for key in table.into_iter().chain([spec.key]) {
                if !keys.contains(&key) {
                    keys.push(key);
                }
            }
        }
        keys
    }

    /// Says what is wrong with an unknown key, and what to write instead.
    pub(super) fn unknown(self, key: &str) -> String {
        let (key, place) = (echo(key), self.place());
        if let Some(other) = Kind::ALL.into_iter().find(|k| k.keys().contains(&&*key)) {
            let other = other.title();
            return format!("`{key}` does not belong {place}: move it to {other}");
        }
        match nearest(&key, self.keys()) {
            Some(meant) => format!("unknown key `{key}` {place}: did you mean `{meant}`?"),
            None => format!(
                "unknown key `{key}` {place}: use one of {}",
                self.keys().join(", ")
            ),
        }
    }
}

/// One key and its value.
pub(super) struct Entry<'i> {
    pub key: String,
    pub key_origin: Origin,
    pub value: DeValue<'i>,
    pub origin: Origin,
}

/// One table with its keys in the order of the file; those of a table within
/// are dotted.
pub(super) struct Section<'i> {
    pub kind: Kind,
    pub table: Table,
    pub header: Origin,
    pub entries: Vec<Entry<'i>>,
}

impl<'i> Section<'i> {
    pub(super) fn new(kind: Kind, table: Table, header: Origin) -> Self {
        Self {
            kind,
            table,
            header,
            entries: Vec::new(),
        }
    }

    /// A table of the file. Of another kind of value, says how to write one.
    fn parse(kind: Kind, table: Table, value: Spanned<DeValue<'i>>) -> Result<Self, ReadFault> {
        let header = Origin::Text(value.span());
        let mut section = Self::new(kind, table, header.clone());
        match value.into_inner() {
            DeValue::Table(keys) => section.take(keys),
            other => {
                return Err(ReadFault::new(
                    header,
                    format!(
                        "expected the table {}, found {}: write its keys below a {} line",
                        kind.title(),
                        type_name(&other),
                        kind.title()
                    ),
                ));
            }
        }
        Ok(section)
    }

    /// Takes the keys of a table of the file, each of which is there once.
    fn take(&mut self, keys: DeTable<'i>) {
        for (key, value) in keys {
            let origin = Origin::Text(value.span());
            let key_origin = Origin::Text(key.span());
            self.add(
                &file_key(key.get_ref()),
                key_origin,
                value.into_inner(),
                origin,
            );
        }
        self.entries.sort_by_key(|entry| match &entry.key_origin {
            Origin::Text(span) => span.start,
            Origin::Whole | Origin::Setting(_) => 0,
        });
    }

    /// Adds a value that was set, or replaces the one that the key has.
    pub(super) fn set(&mut self, key: &str, value: DeValue<'i>, origin: Origin) {
        let within = format!("{key}.");
        self.entries
            .retain(|entry| entry.key != key && !entry.key.starts_with(&within));
        self.add(key, origin.clone(), value, origin);
    }

    fn add(&mut self, key: &str, key_origin: Origin, value: DeValue<'i>, origin: Origin) {
        match value {
            DeValue::Table(keys) if self.kind == Kind::Panel && key == "bezel_mm" => {
                for (part, value) in keys {
                    self.entries.push(Entry {
                        key: format!("{key}.{}", file_key(part.get_ref())),
                        key_origin: origin.of_part(part.span()),
                        origin: origin.of_part(value.span()),
                        value: value.into_inner(),
                    });
                }
            }
            value => self.entries.push(Entry {
                key: key.to_owned(),
                key_origin,
                value,
                origin,
            }),
        }
    }

    /// The value of a key.
    pub(super) fn get(&self, key: &str) -> Option<&Entry<'i>> {
        self.entries.iter().find(|entry| entry.key == key)
    }

    /// Complains about the first unknown key.
    fn check_keys(&self) -> Result<(), ReadFault> {
        let known = |entry: &&Entry| !self.kind.keys().contains(&&*entry.key);
        match self.entries.iter().find(known) {
            Some(entry) => Err(ReadFault::new(
                entry.key_origin.clone(),
                self.kind.unknown(&entry.key),
            )),
            None => Ok(()),
        }
    }
}

/// A key as the file has it; a dot in it is no path.
fn file_key(key: &str) -> String {
    if key.contains('.') {
        quoted(key)
    } else {
        key.to_owned()
    }
}

/// A rig file.
pub(super) struct Document<'i> {
    pub top: Section<'i>,
    pub seat: Option<Section<'i>>,
    pub panels: Vec<Section<'i>>,
    pub seams: Vec<Section<'i>>,
    pub window: Option<Section<'i>>,
}

impl<'i> Document<'i> {
    /// Parses the text and sorts its tables by kind.
    pub(super) fn parse(text: &'i str) -> Result<Self, ReadFault> {
        let root = toml_text::document(text)?;
        let mut document = Self {
            top: Section::new(Kind::Rig, Table::Rig, Origin::Text(0..0)),
            seat: None,
            panels: Vec::new(),
            seams: Vec::new(),
            window: None,
        };
        document.top.take(root);
        let mut entries = std::mem::take(&mut document.top.entries).into_iter();
        for entry in entries.by_ref() {
            let span = match &entry.origin {
                Origin::Text(span) => span.clone(),
                Origin::Whole | Origin::Setting(_) => 0..0,
            };
            match &*entry.key {
                "seat" => {
                    let value = Spanned::new(span, entry.value);
                    document.seat = Some(Section::parse(Kind::Seat, Table::Seat, value)?);
                }
                "window" => {
                    let value = Spanned::new(span, entry.value);
                    document.window = Some(Section::parse(Kind::Window, Table::Window, value)?);
                }
                "panel" => {
                    document.panels = sections(Kind::Panel, Table::Panel, span, entry.value)?;
                }
                "seam" => document.seams = sections(Kind::Seam, Table::Seam, span, entry.value)?,
                _ => document.top.entries.push(entry),
            }
        }
        Ok(document)
    }

    /// Complains about the first unknown key.
    pub(super) fn check_keys(&self) -> Result<(), ReadFault> {
        self.top.check_keys()?;
        let tables = self.seat.iter().chain(&self.panels).chain(&self.seams);
        for section in tables.chain(&self.window) {
            section.check_keys()?;
        }
        Ok(())
    }

    /// Puts a flaw of the checked values where they came from.
    pub(super) fn fault(&self, flaw: Flaw) -> ReadFault {
        ReadFault::new(self.origin(flaw.subject), flaw.text)
    }

    fn origin(&self, subject: Subject) -> Origin {
        let section = match subject.table {
            Table::Rig => Some(&self.top),
            Table::Seat => self.seat.as_ref(),
            Table::Panel(index) => self.panels.get(index),
            Table::Seam(index) => self.seams.get(index),
            Table::Window => self.window.as_ref(),
        };
        let Some(section) = section else {
            return Origin::Whole;
        };
        let entry = subject.key.and_then(|key| section.get(key));
        entry.map_or(&section.header, |e| &e.origin).clone()
    }
}

fn sections<'i>(
    kind: Kind,
    table: fn(usize) -> Table,
    span: Range<usize>,
    value: DeValue<'i>,
) -> Result<Vec<Section<'i>>, ReadFault> {
    match value {
        DeValue::Array(items) => items
            .into_iter()
            .enumerate()
            .map(|(index, item)| Section::parse(kind, table(index), item))
            .collect(),
        other => Err(ReadFault::new(
            Origin::Text(span),
            format!(
                "expected {} tables, found {}: write each one's keys below a line {} with two brackets",
                kind.title(),
                type_name(&other),
                kind.title()
            ),
        )),
    }
}

/// What kind of value it is, with its article.
pub(super) fn type_name(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a string",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number with a fraction",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "an array",
        DeValue::Table(_) => "a table",
    }
}
