//! What is wrong with a rig, and where.

use std::fmt;

/// A table of the rig file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Table {
    /// The keys before the first table.
    Rig,
    /// `[seat]`
    Seat,
    /// The panel with this index, from 0 at the left.
    Panel(usize),
    /// The seam with this index, from 0 at the left.
    Seam(usize),
    /// `[window]`
    Window,
}

/// What a [`Flaw`] is about: a key of a table, or the table as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Subject {
    /// The table.
    pub table: Table,
    /// The key as the rig file spells it; a bezel's is `bezel_mm.left` and so on.
    pub key: Option<&'static str>,
}

impl Subject {
    /// A key before the first table.
    pub const fn rig(key: &'static str) -> Self {
        Self::key(Table::Rig, key)
    }

    /// A key of the seat.
    pub const fn seat(key: &'static str) -> Self {
        Self::key(Table::Seat, key)
    }

    /// A key of a panel.
    pub const fn panel(index: usize, key: &'static str) -> Self {
        Self::key(Table::Panel(index), key)
    }

    /// A key of a seam.
    pub const fn seam(index: usize, key: &'static str) -> Self {
        Self::key(Table::Seam(index), key)
    }

    /// A table as a whole.
    pub const fn whole(table: Table) -> Self {
        Self { table, key: None }
    }

    /// A key of the window.
    pub const fn window(key: &'static str) -> Self {
        Self::key(Table::Window, key)
    }

    const fn key(table: Table, key: &'static str) -> Self {
        Self {
            table,
            key: Some(key),
        }
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Table::Rig => f.write_str("rig"),
            Table::Seat => f.write_str("seat"),
            Table::Window => f.write_str("window"),
            Table::Panel(index) => write!(f, "panel.{}", index + 1),
            Table::Seam(index) => write!(f, "seam.{}", index + 1),
        }
    }
}

/// As the command line's settings spell it: `panel.2.tilt_deg`.
impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let table = match self.table {
            Table::Rig => return f.write_str(self.key.unwrap_or("rig")),
            table => table.to_string(),
        };
        match self.key {
            Some(key) => write!(f, "{table}.{key}"),
            None => f.write_str(&table),
        }
    }
}

/// The reason why some parts make no rig.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flaw {
    /// Where to look.
    pub subject: Subject,
    /// One sentence: what is wrong, what was expected, what to do.
    pub text: String,
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.subject, self.text)
    }
}

impl std::error::Error for Flaw {}
