//! The breaks of a seat view, as JSON and in words.

use std::fmt;

use serde::Serialize;
use throughline::fit::FlatViews;
use throughline::rig::Rig;
use throughline::seat::{Cause, Reading, worst};

/// Breaks below this are no more than the arithmetic's last digits.
const NO_BREAK_ARCMIN: f64 = 0.005;
/// Least share that makes a single value a likely cause.
const LIKELY: f64 = 0.5;

#[derive(Serialize)]
struct SeatJson<'a> {
    breaks: Vec<Break<'a>>,
    worst_arcmin: f64,
    cause: Option<CauseEntry>,
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

/// What there is to say about a rig's breaks.
pub(super) struct Report<'a> {
    readings: &'a [Reading],
    cause: Option<&'a Cause>,
    model: Option<&'a FlatViews>,
}

fn arcmin(radians: f64) -> f64 {
    radians.to_degrees() * 60.0
}

impl<'a> Report<'a> {
    /// The report on these readings, of lines drawn for the rig or for a model.
    pub(super) fn new(
        readings: &'a [Reading],
        cause: Option<&'a Cause>,
        model: Option<&'a FlatViews>,
    ) -> Report<'a> {
        Report {
            readings,
            cause,
            model,
        }
    }

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
        let cause = self.cause.map(|cause| CauseEntry {
            path: cause.measure.subject().to_string(),
            in_file: cause.in_file,
            change: cause.change,
            unit: cause.measure.spec().unit.symbol().trim_start(),
            explained_share: cause.share,
            text: cause.to_string(),
        });
        let document = SeatJson {
            breaks: breaks.collect(),
            worst_arcmin: self.worst_arcmin(),
            cause,
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
        if let Some(model) = self.model {
            writeln!(
                out,
                "drawn as {} flat views: angle {:.2}°, distance {:.1} mm, width {:.1} mm, bezel {:.1} mm",
                model.count,
                model.angle_rad.to_degrees(),
                model.distance_mm,
                model.width_mm,
                model.bezel_mm
            )?;
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
                writeln!(out, "all {} lines run straight across", here().count())?;
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
        match self.cause {
            None if self.model.is_some() => writeln!(
                out,
                "the panels stand as the file says: what breaks comes from the program's numbers"
            ),
            None => Ok(()),
            Some(cause) if cause.share >= LIKELY => {
                writeln!(out, "likeliest single cause: {cause}")
            }
            Some(cause) => writeln!(
                out,
                "no single value explains most of it; the best one: {cause}"
            ),
        }
    }
}
