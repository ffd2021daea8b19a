//! Why readings could not be taken up, for people.

use std::fmt;

use crate::parts::words::echo;

/// Why a readings file could not be read, or doesn't belong to a rig: one sentence,
/// with the place in the text where there is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingsError {
    name: String,
    /// Line and column, from 1.
    at: Option<[usize; 2]>,
    text: String,
}

impl fmt::Display for ReadingsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = echo(&self.name);
        match self.at {
            Some([line, column]) => write!(f, "{name}:{line}:{column}: {}", self.text),
            None => write!(f, "{name}: {}", self.text),
        }
    }
}

impl std::error::Error for ReadingsError {}

impl ReadingsError {
    /// What is wrong with a text as a whole.
    pub(crate) fn whole(name: &str, text: String) -> ReadingsError {
        ReadingsError {
            name: name.to_owned(),
            at: None,
            text,
        }
    }

    /// What a JSON reader says of a text, with what to do.
    pub(crate) fn of_json(name: &str, error: &serde_json::Error, what: &str) -> ReadingsError {
        let (line, column) = (error.line(), error.column());
        let said = error.to_string();
        let suffix = format!(" at line {line} column {column}");
        let said = said.strip_suffix(&suffix).unwrap_or(&said);
        let text = match error.classify() {
            serde_json::error::Category::Data => {
                format!("{said}; {what}")
            }
            _ => format!("this is no JSON text, {said}; {what}"),
        };
        let is_placed = line > 0;
        ReadingsError {
            name: name.to_owned(),
            at: is_placed.then_some([line, column.max(1)]),
            text,
        }
    }
}
