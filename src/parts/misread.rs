//! Why words that a person gave mean nothing here.

use std::error::Error;
use std::fmt;

/// Why words that a person gave are none of those there are.
///
/// Displays as one sentence: what was given, and what there is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misread(String);

impl Misread {
    pub(crate) fn new(sentence: impl Into<String>) -> Misread {
        Misread(sentence.into())
    }
}

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Error for Misread {}
