//! Why a rig file could not be read, for people.

use std::fmt;
use std::ops::Range;

use crate::parts::words::echo;

/// Where the fault lies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// At a character of the text.
    Text {
        /// From 1.
        line: usize,
        /// In characters, from 1.
        column: usize,
    },
    /// In the text as a whole.
    Whole,
    /// In a setting from the command line.
    Setting {
        /// The option, such as `--set`.
        option: &'static str,
        /// What was to be set.
        path: String,
        /// The value for it.
        value: String,
    },
}

/// Why a rig file could not be read.
///
/// Displays as one line: the place, then what is wrong, what was expected and
/// what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadError {
    source_name: String,
    place: Place,
    text: String,
}

impl ReadError {
    /// What the text was called: a file's name, as a rule.
    pub fn source_name(&self) -> &str {
        &self.source_name
    }

    /// Where the fault lies.
    pub fn place(&self) -> &Place {
        &self.place
    }

    /// The same error, where the settings came from another option than `--set`.
    pub fn with_option(mut self, name: &'static str) -> ReadError {
        if let Place::Setting { option, .. } = &mut self.place {
            *option = name;
        }
        self
    }

    /// What is wrong, what was expected and what to do.
    pub fn text(&self) -> &str {
        &self.text
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.place {
            Place::Text { line, column } => {
                write!(f, "{}:{line}:{column}: ", one_line(&self.source_name))?;
            }
            Place::Whole => write!(f, "{}: ", one_line(&self.source_name))?,
            Place::Setting {
                option,
                path,
                value,
            } => {
                write!(f, "{option} {}={}: ", echo(path), echo(value))?;
            }
        }
        f.write_str(&self.text)
    }
}

impl std::error::Error for ReadError {}

fn one_line(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_control() { '?' } else { c })
        .collect()
}

/// Where a piece of the tree came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Origin {
    /// Bytes of the text.
    Text(Range<usize>),
    /// The text as a whole.
    Whole,
    /// The setting with this index.
    Setting(usize),
}

impl Origin {
    /// Where a part of it came from, which a setting's value does not tell
    /// apart.
    pub(super) fn of_part(&self, span: Range<usize>) -> Self {
        match self {
            Origin::Text(_) => Origin::Text(span),
            Origin::Whole | Origin::Setting(_) => self.clone(),
        }
    }
}

/// A fault before its place is worked out.
#[derive(Debug)]
pub(super) struct ReadFault {
    pub origin: Origin,
    /// What is wrong, what was expected and what to do.
    pub text: String,
}

impl ReadFault {
    pub(super) fn new(origin: Origin, text: impl Into<String>) -> Self {
        Self {
            origin,
            text: text.into(),
        }
    }

    /// Works out the place.
    pub(super) fn locate(
        self,
        text: &str,
        source_name: &str,
        settings: &[(String, String)],
    ) -> ReadError {
        let place = match self.origin {
            Origin::Whole => Place::Whole,
            Origin::Text(bytes) => text_place(text, bytes.start),
            Origin::Setting(index) => match settings.get(index) {
                Some((path, value)) => Place::Setting {
                    option: "--set",
                    path: path.clone(),
                    value: value.clone(),
                },
                None => Place::Whole,
            },
        };
        ReadError {
            source_name: source_name.to_owned(),
            place,
            text: self.text,
        }
    }
}

fn text_place(text: &str, byte: usize) -> Place {
    let mut byte = byte.min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    let before = &text[..byte];
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    Place::Text {
        line: before.matches('\n').count() + 1,
        column: text[start..byte].chars().count() + 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let text = "a = 1\r\nname = \"Fähre\" x\r\n";
        let byte = text.find('x').unwrap();
        assert_eq!(
            text_place(text, byte),
            Place::Text {
                line: 2,
                column: 16
            }
        );
        let Place::Text { line, column } = text_place(text, text.len() + 9) else {
            panic!("a place in the text")
        };
        assert_eq!((line, column), (3, 1));
    }
}
