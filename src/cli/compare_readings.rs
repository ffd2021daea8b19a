//! `compare` of two readings files: what lines broke by before and after.

use std::path::Path;
use std::process::ExitCode;

use serde::Serialize;
use throughline::compare::changes;
use throughline::readings::Readings;
use throughline::rig::{self, Rig, demos};
use throughline::solve::{Priors, SeamBreaks, solve};

use super::compare_report::{ChangeEntry, noted};
use crate::files::{Failure, Files, Source, print, print_words, readings_text};

#[derive(Serialize)]
struct Report {
    readings: [usize; 2],
    breaks: Vec<SeamEntry>,
    rig_changes: Vec<ChangeEntry>,
}

#[derive(Serialize)]
struct SeamEntry {
    seam: usize,
    before_arcmin: f64,
    before_sigma_arcmin: f64,
    after_arcmin: f64,
    after_sigma_arcmin: f64,
}

/// Readings, the rig that they were taken on, and what its lines broke by.
struct Taken {
    rig: Rig,
    count: usize,
    breaks: Vec<SeamBreaks>,
}

impl Taken {
    fn read(path: &Path, named: Option<&Path>, files: &mut Files) -> Result<Taken, Failure> {
        let name = path.display().to_string();
        let text = readings_text(path, files)?;
        let readings = Readings::read(&text, &name).map_err(Failure::new)?;
        let (text, source) = rig_text(&readings, named, &name, files)?;
        let rig = rig::read(&text, &source, &[]).map_err(Failure::new)?;
        let rig = readings.rig_as_read(&rig);
        let rig = rig.map_err(|flaw| Failure::new(format!("{name}: {flaw}")))?;
        readings.fit(&rig, &name).map_err(Failure::new)?;
        let priors = Priors::new(&rig, &readings.priors);
        let estimate = solve(&rig, &readings.readings, &priors);
        Ok(Taken {
            count: readings.readings.len(),
            breaks: estimate.breaks(rig.layout()),
            rig,
        })
    }
}

/// The text of the rig that readings were taken on, and what messages call it.
fn rig_text(
    readings: &Readings,
    named: Option<&Path>,
    name: &str,
    files: &mut Files,
) -> Result<(String, String), Failure> {
    if let Some(path) = named {
        let source = Source::named(path, files)?;
        return Ok((source.text, source.name));
    }
    if let Some(text) = &readings.rig_toml {
        return Ok((text.clone(), format!("{name}, rig_toml")));
    }
    let is_called = |demo: &&rig::Demo| {
        let own = rig::read(demo.text, demo.name, &[]);
        demo.name == readings.rig || own.is_ok_and(|own| own.name() == readings.rig)
    };
    let demo = demos().iter().find(is_called).ok_or_else(|| {
        Failure::new(format!(
            "{name} doesn't hold its rig, and no demo is called \"{}\": name the rig file with \
             --rig",
            readings.rig
        ))
    })?;
    Ok((demo.text.to_owned(), demo.name.to_owned()))
}

fn arcmin(radians: f64) -> f64 {
    radians.to_degrees() * 60.0
}

/// Compares two readings files.
pub(super) fn compare_readings(
    paths: [&Path; 2],
    rig: Option<&Path>,
    json: bool,
    files: &mut Files,
) -> Result<ExitCode, Failure> {
    let [before, after] = [
        Taken::read(paths[0], rig, files)?,
        Taken::read(paths[1], rig, files)?,
    ];
    let pixels = |taken: &Taken| -> Vec<[u32; 2]> {
        taken
            .rig
            .panels()
            .iter()
            .map(|panel| panel.pixels)
            .collect()
    };
    if pixels(&before) != pixels(&after) {
        return Err(Failure::new(format!(
            "{} and {} were read on rigs of other panels: compare readings of one rig",
            paths[0].display(),
            paths[1].display()
        )));
    }
    let pairs = before.breaks.iter().zip(&after.breaks);
    let breaks = pairs.map(|(one, other)| SeamEntry {
        seam: one.seam + 1,
        before_arcmin: arcmin(one.before_rad),
        before_sigma_arcmin: arcmin(one.before_sigma_rad),
        after_arcmin: arcmin(other.before_rad),
        after_sigma_arcmin: arcmin(other.before_sigma_rad),
    });
    let changed = changes(&before.rig, &after.rig);
    let report = Report {
        readings: [before.count, after.count],
        breaks: breaks.collect(),
        rig_changes: changed.iter().cloned().map(ChangeEntry::new).collect(),
    };
    if json {
        let text = serde_json::to_string_pretty(&report).map_err(Failure::new)?;
        print(&(text + "\n"))?;
        return Ok(ExitCode::SUCCESS);
    }
    let mut lines = vec![format!(
        "{} readings before, {} after; the largest break of a line near a seam's edge:",
        before.count, after.count
    )];
    lines.extend(report.breaks.iter().map(|at| {
        format!(
            "seam {}: {:.1}' ± {:.1}' before, {:.1}' ± {:.1}' after",
            at.seam,
            at.before_arcmin,
            at.before_sigma_arcmin,
            at.after_arcmin,
            at.after_sigma_arcmin
        )
    }));
    lines.extend(noted("rig file", &changed));
    print_words(&(lines.join("\n") + "\n"))?;
    Ok(ExitCode::SUCCESS)
}
