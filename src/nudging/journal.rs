//! The text of a journal: nudges that are not saved yet, kept as they are made.
//!
//! It only grows: a first line with a digest of the rig file's text, then a line
//! for every change. A line that a power cut left without its end is passed over.

use super::nudge::values;
use crate::rig::{Measure, PanelQuantity, Parts};

const TITLE: &str = "throughline nudges 1";

/// Nudges found in a journal.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The last number of every value that was changed.
    pub numbers: Vec<(Measure, f64)>,
    /// Whether the rig file is the one that they were made for.
    pub is_same_rig: bool,
}

/// A text that isn't empty and doesn't begin as a journal does, as a power cut
/// can leave it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Damaged;

impl Found {
    /// Reads a journal for a rig file with this digest, which says `parts`; `None`
    /// where nothing in it differs from them.
    ///
    /// # Errors
    ///
    /// Where it is no journal any more: what is appended to it would be lost.
    pub fn read(bytes: &[u8], file_digest: u64, parts: &Parts) -> Result<Option<Found>, Damaged> {
        if bytes.is_empty() {
            return Ok(None);
        }
        let text = String::from_utf8_lossy(bytes);
        let mut lines = text.split_inclusive('\n').filter(|l| l.ends_with('\n'));
        let title = lines
            .next()
            .and_then(|line| line.trim().strip_prefix(TITLE));
        let digest = title.ok_or(Damaged)?.trim();
        // A size may have been told by its sides since.
        let mut known = values(parts);
        for panel in 0..parts.panels.len() {
            let sides = [PanelQuantity::Width, PanelQuantity::Height];
            known.extend(sides.map(|side| Measure::Panel(panel, side)));
        }
        let mut numbers: Vec<(Measure, f64)> = Vec::new();
        for line in lines {
            let entry = line.trim().rsplit_once(' ').and_then(|(path, number)| {
                let value = known.iter().find(|value| value.path() == path)?;
                let number: f64 = number.parse().ok()?;
                number.is_finite().then_some((*value, number))
            });
            let Some((value, number)) = entry else {
                continue;
            };
            numbers.retain(|(other, _)| *other != value && !value.excludes(*other));
            numbers.push((value, number));
        }
        numbers.retain(|(value, number)| value.get(parts) != Some(*number));
        let is_same_rig = digest == format!("{file_digest:016x}");
        Ok((!numbers.is_empty()).then_some(Found {
            numbers,
            is_same_rig,
        }))
    }
}

/// What a journal says so far.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Notes(Vec<(Measure, f64)>);

impl Notes {
    /// The first line of a journal for a rig file with this digest.
    pub fn title(file_digest: u64) -> String {
        format!("{TITLE} {file_digest:016x}\n")
    }

    /// A line for every value of `now` that differs from what was noted last, and
    /// the notes with those lines; the lines are empty where none does.
    pub fn lines(&self, loaded: &Parts, now: &Parts) -> (String, Notes) {
        let mut lines = String::new();
        let mut notes = self.clone();
        for value in values(now) {
            let Some(number) = value.get(now) else {
                continue;
            };
            let known = self.0.iter().find(|(other, _)| *other == value);
            let is_told_otherwise = self.0.iter().any(|(other, _)| value.excludes(*other));
            let last = match known {
                Some((_, number)) => Some(*number),
                None if is_told_otherwise => None,
                None => value.get(loaded),
            };
            if last == Some(number) {
                continue;
            }
            lines += &format!("{} {number:?}\n", value.path());
            notes
                .0
                .retain(|(other, _)| *other != value && !value.excludes(*other));
            notes.0.push((value, number));
        }
        (lines, notes)
    }
}

/// What a journal knows a rig file's text by: FNV-1a, 64 bits.
pub fn digest(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}
