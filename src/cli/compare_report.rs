//! The figures of a comparison, as JSON and in words.

use glam::DVec3;
use serde::Serialize;
use throughline::compare::{Change, Figures, Value, changes};
use throughline::seat::{Reading, worst};

use super::capture::{Capture, breaks};

/// Lines about single values beyond these are left out.
const MAX_NOTED: usize = 12;

#[derive(Serialize)]
struct CompareJson {
    size_px: [u32; 2],
    changed_share: f64,
    max_difference: u8,
    rig_changes: Vec<ChangeEntry>,
    breaks: Option<Vec<SeamEntry>>,
}

#[derive(Serialize)]
pub(super) struct ChangeEntry {
    path: String,
    before: Option<ValueEntry>,
    after: Option<ValueEntry>,
    /// Of which rig, where there are two: as drawn, or as built.
    #[serde(skip_serializing_if = "Option::is_none")]
    rig: Option<&'static str>,
}

impl ChangeEntry {
    pub(super) fn new(change: Change) -> ChangeEntry {
        ChangeEntry {
            path: change.subject.to_string(),
            before: change.before.map(ValueEntry::from),
            after: change.after.map(ValueEntry::from),
            rig: None,
        }
    }
}

#[derive(Serialize)]
#[serde(untagged)]
enum ValueEntry {
    Text(String),
    Number(f64),
    Pair([f64; 2]),
}

#[derive(Serialize)]
struct SeamEntry {
    seam: usize,
    before_arcmin: f64,
    after_arcmin: f64,
}

/// What there is to say about two pictures.
pub(super) struct Report {
    figures: Figures,
    /// Values of the rig whose pattern is shown.
    drawn: Vec<Change>,
    /// Values of the rig as it stands.
    built: Vec<Change>,
    seams: Option<Vec<SeamEntry>>,
    /// The breaks are those of the earlier pattern on the later rig.
    is_on_later_rig: bool,
}

impl Report {
    /// The report on two pictures of one size.
    pub(super) fn new(figures: Figures, captures: &[Capture; 2]) -> Report {
        let [before, after] = captures;
        let between = |one, other| match (one, other) {
            (Some(one), Some(other)) => changes(one, other),
            _ => Vec::new(),
        };
        let drawn = between(before.rig.as_ref(), after.rig.as_ref());
        let mut built = between(before.built.as_ref(), after.built.as_ref());
        // A rig that stands as its file says changes along with the file.
        built.retain(|change| !drawn.contains(change));
        let mut is_on_later_rig = false;
        let readings = match (before.breaks(), after.breaks()) {
            (Some(one), Some(other)) => Some((one, other)),
            _ if before.view.is_none() && after.view.is_none() => {
                is_on_later_rig = true;
                let stands = after.rig.as_ref();
                let shown = |capture: &Capture| breaks(capture.rig.as_ref()?, stands?, DVec3::ZERO);
                shown(before).zip(shown(after))
            }
            _ => None,
        };
        Report {
            figures,
            drawn,
            built,
            seams: readings.map(|(one, other)| by_seam(&one, &other)),
            is_on_later_rig,
        }
    }

    /// The figures as JSON.
    pub(super) fn json(self) -> String {
        let entry = |rig: &'static str| {
            move |change: Change| ChangeEntry {
                rig: Some(rig),
                ..ChangeEntry::new(change)
            }
        };
        let drawn = self.drawn.into_iter().map(entry("drawn"));
        let document = CompareJson {
            size_px: self.figures.size_px,
            changed_share: self.figures.changed_share,
            max_difference: self.figures.max_difference,
            rig_changes: drawn
                .chain(self.built.into_iter().map(entry("built")))
                .collect(),
            breaks: self.seams,
        };
        // Plain data of this kind always has a JSON form.
        serde_json::to_string_pretty(&document).unwrap_or_default() + "\n"
    }

    /// The same for people, in lines.
    pub(super) fn notes(&self) -> Vec<String> {
        let mut notes = vec![if self.figures.changed_share == 0.0 {
            "the two pictures are equal".to_owned()
        } else {
            format!(
                "{} of the picture differs, by at most {} of 255 codes",
                percent(self.figures.changed_share),
                self.figures.max_difference
            )
        }];
        let lists = [("rig", &self.drawn), ("rig as built", &self.built)];
        for (of, list) in lists {
            notes.extend(noted(of, list));
        }
        let where_shown = if self.is_on_later_rig {
            ", both shown on the rig of the later one"
        } else {
            ""
        };
        for seam in self.seams.iter().flatten() {
            notes.push(format!(
                "seam {}: worst break {:.2}' before, {:.2}' after{where_shown}",
                seam.seam, seam.before_arcmin, seam.after_arcmin
            ));
        }
        notes
    }
}

/// A line for each value that differs, and one for those beyond what people read.
pub(super) fn noted(of: &str, list: &[Change]) -> Vec<String> {
    let say = |value: &Option<Value>| match value {
        Some(value) => value.to_string(),
        None => "nothing".to_owned(),
    };
    let mut notes: Vec<String> = (list.iter().take(MAX_NOTED))
        .map(|change| {
            let (before, after) = (say(&change.before), say(&change.after));
            format!("{of}: {} from {before} to {after}", change.path)
        })
        .collect();
    if list.len() > MAX_NOTED {
        notes.push(format!("{of}: {} more values", list.len() - MAX_NOTED));
    }
    notes
}

fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 0.01 {
        format!("{percent:.2} %")
    } else {
        "less than 0.01 %".to_owned()
    }
}

fn by_seam(before: &[Reading], after: &[Reading]) -> Vec<SeamEntry> {
    let seams = before.iter().chain(after).map(|reading| reading.seam + 1);
    let arcmin = |readings: &[Reading], seam: usize| {
        let here = readings.iter().filter(|r| r.seam == seam && r.is_drawn());
        worst(here).map_or(0.0, |r| r.found.break_rad.abs().to_degrees() * 60.0)
    };
    (0..seams.max().unwrap_or(0))
        .map(|seam| SeamEntry {
            seam: seam + 1,
            before_arcmin: arcmin(before, seam),
            after_arcmin: arcmin(after, seam),
        })
        .collect()
}

impl From<Value> for ValueEntry {
    fn from(value: Value) -> ValueEntry {
        match value {
            Value::Text(text) => ValueEntry::Text(text),
            Value::Number(number) => ValueEntry::Number(number),
            Value::Pair(pair) => ValueEntry::Pair(pair),
        }
    }
}
