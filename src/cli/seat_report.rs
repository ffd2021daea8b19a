//! The breaks of a seat view, as JSON and in words.

use std::fmt;
use std::path::Path;

use serde::Serialize;
use throughline::fit::Program;
use throughline::rig::Rig;
use throughline::seat::{Cause, Causes, Reading, worst};

/// Breaks below this are no more than the arithmetic's last digits.
const NO_BREAK_ARCMIN: f64 = 0.005;

#[derive(Serialize)]
struct SeatJson<'a> {
    breaks: Vec<Break<'a>>,
    worst_arcmin: f64,
    /// The one value that explains all; none where it takes more.
    cause: Option<CauseEntry>,
    /// The values that explain most together.
    causes: Vec<CauseEntry>,
    causes_share: Option<f64>,
    /// Whose lines these are: the pattern's, whatever picture is shown.
    breaks_of: &'static str,
}

#[derive(Serialize)]
struct Break<'a> {
    seam: usize,
    line: &'a str,
    break_arcmin: f64,
    break_px: f64,
    kink_deg: f64,
}

#[derive(Serialize)]
struct CauseEntry {
    path: String,
    in_file: f64,
    change: f64,
    unit: &'static str,
    explained_share: f64,
    text: String,
}

impl CauseEntry {
    fn of(cause: &Cause, text: String) -> CauseEntry {
        CauseEntry {
            path: cause.measure.subject().to_string(),
            in_file: cause.in_file,
            change: cause.change,
            unit: cause.measure.spec().unit.symbol().trim_start(),
            explained_share: cause.share,
            text,
        }
    }
}

/// What there is to say about a rig's breaks.
pub(super) struct Report<'a> {
    /// The pattern's lines at the seams.
    pub readings: &'a [Reading],
    /// What explains their breaks.
    pub causes: Option<&'a Causes>,
    /// The program that the lines are drawn for, where it isn't the rig.
    pub program: Option<&'a Program>,
    /// The picture that is shown instead of the pattern.
    pub picture: Option<&'a Path>,
}

fn arcmin(radians: f64) -> f64 {
    radians.to_degrees() * 60.0
}

impl Report<'_> {
    /// The largest break, in arc-minutes.
    pub(super) fn worst_arcmin(&self) -> f64 {
        worst(self.readings).map_or(0.0, |reading| arcmin(reading.found.break_rad.abs()))
    }

    /// The breaks as JSON.
    pub(super) fn json(&self) -> String {
        let breaks = self.readings.iter().map(|reading| Break {
            seam: reading.seam + 1,
            line: &reading.line,
            break_arcmin: arcmin(reading.found.break_rad),
            break_px: reading.found.break_px,
            kink_deg: reading.found.kink_rad.to_degrees(),
        });
        let named = self.causes.iter().flat_map(|causes| &causes.named);
        let document = SeatJson {
            breaks: breaks.collect(),
            worst_arcmin: self.worst_arcmin(),
            cause: match self.causes.map(|causes| &causes.named[..]) {
                Some([only]) => Some(CauseEntry::of(only, only.to_string())),
                _ => None,
            },
            causes: named
                .map(|cause| {
                    CauseEntry::of(cause, format!("{} than the file says", cause.difference()))
                })
                .collect(),
            causes_share: self.causes.map(|causes| causes.share),
            breaks_of: "pattern",
        };
        // Plain data of this kind always has a JSON form.
        serde_json::to_string_pretty(&document).unwrap_or_default() + "\n"
    }

    /// The same for people, one line a seam.
    pub(super) fn words(&self, rig: &Rig) -> String {
        let mut out = String::new();
        // A string takes all that is written.
        let _ = self.write_words(rig, &mut out);
        out
    }

    fn write_words(&self, rig: &Rig, out: &mut dyn fmt::Write) -> fmt::Result {
        let panels = rig.panels();
        if let Some(program) = self.program {
            let model = program.screens();
            write!(
                out,
                "drawn as {} flat views: angle {:.2}°, distance {:.1} mm, width {:.1} mm, bezel {:.1} mm",
                model.count,
                model.angle_rad.to_degrees(),
                model.distance_mm,
                model.width_mm,
                model.bezel_mm
            )?;
            if let Program::Window(window, model) = program {
                let [x, y, w, h] = window.px;
                let turn = model.turn_rad.to_degrees();
                write!(
                    out,
                    ", in a window of {w} x {h} px at {x}, {y}, turned by {turn:.2}°"
                )?;
            }
            writeln!(out)?;
        }
        if let Some(picture) = self.picture {
            writeln!(
                out,
                "{} is shown as it is: its lines aren't read, so the picture alone shows whether they run straight",
                picture.display()
            )?;
            if !rig.seams().is_empty() {
                writeln!(out, "the pattern's lines, were they shown instead:")?;
            }
        }
        if rig.seams().is_empty() {
            writeln!(
                out,
                "the rig has one panel and no seam, so no line can break"
            )?;
        }
        for seam in 0..rig.seams().len() {
            let (left, right) = (&panels[seam].name, &panels[seam + 1].name);
            write!(out, "seam {} ({left} | {right}): ", seam + 1)?;
            let here = || {
                let readings = self.readings.iter();
                readings.filter(|reading| reading.seam == seam && reading.is_drawn())
            };
            let Some(broken) = worst(here()) else {
                writeln!(out, "no line is seen at both lit edges")?;
                continue;
            };
            let kinked = here()
                .max_by(|one, other| {
                    let size = |reading: &Reading| reading.found.kink_rad.abs();
                    size(one).total_cmp(&size(other))
                })
                .unwrap_or(broken);
            let kink_deg = kinked.found.kink_rad.to_degrees();
            let off = arcmin(broken.found.break_rad);
            if off.abs() < NO_BREAK_ARCMIN && kink_deg.abs() * 60.0 < NO_BREAK_ARCMIN {
                let would = if self.picture.is_some() { "would " } else { "" };
                writeln!(
                    out,
                    "all {} lines {would}run straight across",
                    here().count()
                )?;
                continue;
            }
            writeln!(
                out,
                "worst break {:.2}' ({:.1} px) {}, in {}; worst kink {:.2}° {}, in {}",
                off.abs(),
                broken.found.break_px.abs(),
                if off < 0.0 { "down" } else { "up" },
                broken.line,
                kink_deg.abs(),
                if kink_deg < 0.0 { "down" } else { "up" },
                kinked.line,
            )?;
        }
        match self.causes {
            None if self.program.is_some() => writeln!(
                out,
                "the panels stand as the file says: what breaks comes from the program's numbers"
            ),
            None => Ok(()),
            Some(causes) => {
                let all = match (causes.named.len(), causes.are_all()) {
                    (1, true) => "likeliest single cause",
                    (1, false) => "no single value explains all of it; the best one",
                    (_, true) => "more than one value is wrong; the likeliest two",
                    (_, false) => "two values don't explain all of it; the best two",
                };
                writeln!(out, "{all}: {causes}")
            }
        }
    }
}
