//! Each display's rates beside each other: as the rig file says, as set, as measured.

use super::estimate::Estimate;
use super::recording::Recording;
use super::refusal::{Refusal, judged};
use super::rhythm::{Rhythm, SAME_RATE_HZ};
use crate::display::Display;
use crate::matching::Matching;
use crate::rig::Rig;

/// A display's rates.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What the system calls the display.
    pub display: String,
    /// The rate that the rig file gives the panel that it shows, or the first of them.
    pub file_hz: Option<f64>,
    /// The rate of its mode, as the system tells it.
    pub set_hz: Option<f64>,
    /// The rate at which it was seen to be redrawn, or why that isn't known.
    pub measured: Result<Estimate, Refusal>,
}

/// How two displays stand to each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// Their names.
    pub between: [String; 2],
    /// Whether both rates were measured; else it goes by the set ones.
    pub is_measured: bool,
    /// What their rates do to each other; `None` where one isn't known.
    pub rhythm: Option<Rhythm>,
}

/// What is known of the displays' rates.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// One for each display, in the system's order.
    pub rows: Vec<Row>,
}

impl Report {
    /// Puts the rates of the rig file, if there is one, of the displays' modes and of
    /// recordings, which go by the displays' names, side by side.
    pub fn new(rig: Option<&Rig>, displays: &[Display], recordings: &[Recording]) -> Report {
        let filed = |display: usize| {
            let rig = rig?;
            let matching = Matching::new(rig, displays);
            rig.panels().iter().enumerate().find_map(|(panel, parts)| {
                let is_shown = matching.carriers(panel).contains(&display);
                parts.refresh_hz.filter(|_| is_shown)
            })
        };
        let recorded: Vec<Recording> = displays
            .iter()
            .map(|display| {
                let found = recordings.iter().find(|one| one.display == display.name);
                found.cloned().unwrap_or_else(|| Recording {
                    display: display.name.clone(),
                    set_hz: None,
                    heard: Err("the system told nothing of it".to_owned()),
                })
            })
            .collect();
        let set_hz: Vec<_> = recorded
            .iter()
            .zip(displays)
            .map(|(recording, display)| recording.set_hz.or(display.refresh_hz))
            .collect();
        let measured = judged(&recorded, &set_hz).into_iter();
        let rows = measured.enumerate().map(|(index, measured)| Row {
            display: recorded[index].display.clone(),
            file_hz: filed(index),
            set_hz: set_hz[index],
            measured,
        });
        Report {
            rows: rows.collect(),
        }
    }

    /// Any two displays.
    pub fn slips(&self) -> Vec<Slip> {
        let mut slips = Vec::new();
        for (index, one) in self.rows.iter().enumerate() {
            for other in &self.rows[index + 1..] {
                slips.push(one.slip(other));
            }
        }
        slips
    }

    /// The displays with the rates that they were measured to have, as far as these tell
    /// more than the set ones.
    pub fn as_measured(&self, displays: &[Display]) -> Vec<Display> {
        let mut out: Vec<Display> = Vec::new();
        for (row, display) in self.rows.iter().zip(displays) {
            let mut display = display.clone();
            display.refresh_hz = row.set_hz;
            if let Ok(estimate) = &row.measured
                && row.set_hz.is_none_or(|set| !estimate.may_be(set))
            {
                // What can't be told from another display's is the same.
                let known = out.iter().filter_map(|other: &Display| other.refresh_hz);
                let mut alike = known.filter(|rate| estimate.may_be(*rate));
                display.refresh_hz = alike.next().or(Some(estimate.hz));
            }
            out.push(display);
        }
        out
    }
}

impl Row {
    fn slip(&self, other: &Row) -> Slip {
        let between = [self, other].map(|row| row.display.clone());
        if let (Ok(one), Ok(two)) = (&self.measured, &other.measured) {
            let doubt_hz = SAME_RATE_HZ.max(one.doubt_hz + two.doubt_hz);
            return Slip {
                between,
                is_measured: true,
                rhythm: Some(Rhythm::between([one.hz, two.hz], doubt_hz)),
            };
        }
        let set = self.set_hz.zip(other.set_hz);
        Slip {
            between,
            is_measured: false,
            rhythm: set.map(|(one, two)| Rhythm::between([one, two], SAME_RATE_HZ)),
        }
    }
}

impl Estimate {
    /// Whether a display that was measured so may have this rate.
    fn may_be(&self, hz: f64) -> bool {
        (self.hz - hz).abs() <= SAME_RATE_HZ.max(2.0 * self.doubt_hz)
    }
}
