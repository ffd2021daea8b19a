//! What readings tell, as JSON and in words.

use serde::Serialize;
use throughline::readings::Readings;
use throughline::rig::{Measure, Rig};
use throughline::solve::{Advice, Estimate, Priors, SeamBreaks, further};

use super::answer::Page;

#[derive(Serialize)]
struct SolveJson {
    values: Vec<ValueEntry>,
    covariance: Vec<Vec<f64>>,
    chi2: f64,
    readings: Vec<ReadingEntry>,
    breaks: Vec<BreaksEntry>,
    together: Vec<[String; 2]>,
    #[serde(rename = "do")]
    steps: Vec<String>,
    /// The one further measurement that would help most.
    further: Option<FurtherEntry>,
}

#[derive(Serialize)]
struct ValueEntry {
    path: String,
    file: f64,
    solved: f64,
    sigma: f64,
    determined: bool,
}

#[derive(Serialize)]
struct ReadingEntry {
    seam: usize,
    residual_px: f64,
    repeat: bool,
}

#[derive(Serialize)]
struct BreaksEntry {
    seam: usize,
    before_arcmin: f64,
    before_sigma_arcmin: f64,
    after_arcmin: f64,
}

#[derive(Serialize)]
struct FurtherEntry {
    text: String,
    gain: f64,
}

fn arcmin(radians: f64) -> f64 {
    radians.to_degrees() * 60.0
}

/// The groups that pairs make of what they join.
fn grouped(pairs: Vec<[Measure; 2]>) -> Vec<Vec<Measure>> {
    let mut groups: Vec<Vec<Measure>> = Vec::new();
    for [one, other] in pairs {
        let (joined, mut apart): (Vec<_>, Vec<_>) =
            (groups.into_iter()).partition(|group| group.contains(&one) || group.contains(&other));
        let mut group: Vec<Measure> = joined.into_iter().flatten().collect();
        for measure in [one, other] {
            if !group.contains(&measure) {
                group.push(measure);
            }
        }
        apart.push(group);
        groups = apart;
    }
    groups
}

/// What there is to say about readings.
pub(super) struct Report<'a> {
    rig: &'a Rig,
    readings: &'a Readings,
    estimate: &'a Estimate,
    breaks: Vec<SeamBreaks>,
    steps: Vec<String>,
}

impl Report<'_> {
    /// On the readings that were taken on `rig`.
    pub(super) fn new<'a>(
        rig: &'a Rig,
        readings: &'a Readings,
        priors: &Priors,
        estimate: &'a Estimate,
    ) -> Report<'a> {
        let advice = Advice::new(rig, &readings.readings, priors, estimate);
        Report {
            rig,
            readings,
            estimate,
            breaks: estimate.breaks(rig.layout()),
            steps: advice.steps(&readings.readings, "with --out"),
        }
    }

    fn further(&self) -> Option<FurtherEntry> {
        let found = further(self.estimate)?;
        Some(FurtherEntry {
            text: format!("Measure {}.", found.tool.words(self.rig.parts())),
            gain: found.gain,
        })
    }

    /// All of it as JSON.
    pub(super) fn json(&self) -> String {
        let values = self.estimate.values().iter().map(|value| ValueEntry {
            path: value.measure.plain_path(),
            file: value.file,
            solved: value.solved,
            sigma: value.sigma,
            determined: value.is_determined(),
        });
        let fits = self.readings.readings.iter().zip(self.estimate.fits());
        let readings = fits.map(|(reading, fit)| ReadingEntry {
            seam: reading.line.seam + 1,
            residual_px: fit.residual_px,
            repeat: fit.repeat,
        });
        let breaks = self.breaks.iter().map(|at| BreaksEntry {
            seam: at.seam + 1,
            before_arcmin: arcmin(at.before_rad),
            before_sigma_arcmin: arcmin(at.before_sigma_rad),
            after_arcmin: arcmin(at.after_rad),
        });
        let together = self.estimate.together().into_iter();
        let document = SolveJson {
            values: values.collect(),
            covariance: self.estimate.covariance(),
            chi2: self.estimate.chi2(),
            readings: readings.collect(),
            breaks: breaks.collect(),
            together: together.map(|pair| pair.map(Measure::plain_path)).collect(),
            steps: self.steps.clone(),
            further: self.further(),
        };
        // Plain data of this kind always has a JSON form.
        serde_json::to_string_pretty(&document).unwrap_or_default() + "\n"
    }

    /// The same for people.
    pub(super) fn words(&self) -> String {
        let parts = self.rig.parts();
        let mut page = Page::default();
        let breaks = self.breaks.iter().map(|at| {
            format!(
                "seam {}: {:.1}' ± {:.1}' with the file as it is; {:.1}' is to be expected with it \
                 corrected",
                at.seam + 1,
                arcmin(at.before_rad),
                arcmin(at.before_sigma_rad),
                arcmin(at.after_rad)
            )
        });
        page.section(
            "Largest break of a line near a seam's edge",
            breaks.collect(),
        );
        page.section("Told by the readings", self.estimate.known());
        page.section(
            "Not told: as uncertain as before, or nearly",
            self.estimate.untold(),
        );
        let groups = grouped(self.estimate.together()).into_iter();
        let groups = groups.map(|group| {
            let names: Vec<String> = group.iter().map(|one| one.phrase(parts)).collect();
            names.join("; ")
        });
        page.section(
            "Told only together: to measure one of them tells more of the others",
            groups.collect(),
        );
        let further = self.further().map(|found| {
            format!(
                "{} It takes about {:.0} % off the breaks that are to be expected.",
                found.text,
                found.gain * 100.0
            )
        });
        page.section(
            "One further measurement that would help most",
            further.into_iter().collect(),
        );
        let again = self.estimate.fits().iter().filter(|fit| fit.repeat).count();
        let verdict = match again {
            0 => "No reading stands out.",
            1 => "One reading stands out, and should be taken again.",
            _ => "Several readings stand out, and should be taken again.",
        };
        page.section(
            "Gross errors",
            vec![format!(
                "{verdict} Tests for a gross error are weak: one of 10' is found about half the \
                 time, and then a sound reading may be blamed. Reading each line twice, sliding \
                 from above and from below, finds far more."
            )],
        );
        page.steps(&self.steps);
        page.text()
    }
}
