//! What photographs tell, as JSON and in words.

use serde::Serialize;
use throughline::photo::{Measurement, Photograph, Taken, steps};
use throughline::rig::Rig;
use throughline::solve::Value;

use super::answer::Page;

/// One photograph, as far as it tells itself.
pub(super) struct Shot {
    /// The file as it was named.
    pub(super) name: String,
    /// Its marks, or why they can't be told.
    pub(super) found: Result<Photograph, String>,
}

#[derive(Serialize)]
struct MeasureJson<'a> {
    values: Vec<ValueEntry>,
    covariance: &'a [Vec<f64>],
    photos: &'a [PhotoEntry],
    rms_px: f64,
    #[serde(rename = "do")]
    steps: &'a [String],
}

#[derive(Serialize)]
struct ValueEntry {
    path: String,
    file: f64,
    measured: f64,
    sigma: f64,
    determined: bool,
}

#[derive(Serialize)]
struct PhotoEntry {
    file: String,
    marks: usize,
    rms_px: Option<f64>,
    /// In the seat frame of the rig as measured.
    eye_mm: Option<[f64; 3]>,
    used: bool,
    reason: Option<String>,
}

/// What there is to say about photographs.
pub(super) struct Report<'a> {
    rig: &'a Rig,
    measurement: &'a Measurement,
    photos: Vec<PhotoEntry>,
    steps: Vec<String>,
    /// Why the seat's numbers stay, where they do.
    seatless: Option<String>,
}

impl Report<'_> {
    /// On photographs of `rig`, of which `eye` was taken from where the eye is.
    pub(super) fn new<'a>(
        rig: &'a Rig,
        shots: &[Shot],
        measurement: &'a Measurement,
        eye: Option<usize>,
    ) -> Report<'a> {
        let sound = shots.iter().filter(|shot| shot.found.is_ok());
        let names: Vec<String> = sound.map(|shot| shot.name.clone()).collect();
        let mut taken = measurement.photos().iter();
        let photos = shots.iter().map(|shot| match &shot.found {
            Ok(_) => PhotoEntry::of(&shot.name, taken.next(), &names, rig),
            Err(why) => PhotoEntry {
                file: shot.name.clone(),
                marks: 0,
                rms_px: None,
                eye_mm: None,
                used: false,
                reason: Some(why.clone()),
            },
        });
        let photos: Vec<PhotoEntry> = photos.collect();
        let seatless = match eye.and_then(|eye| photos.get(eye)) {
            None => Some("no photograph is taken from where the eye is".to_owned()),
            Some(photo) if !photo.used => Some(format!(
                "{}, taken from where the eye is, is left out",
                photo.file
            )),
            Some(_) => None,
        };
        Report {
            rig,
            measurement,
            photos,
            steps: steps(rig, measurement, &names, "with --out"),
            seatless,
        }
    }

    /// All of it as JSON.
    pub(super) fn json(&self) -> String {
        let values = self.measurement.values().iter().map(|value| ValueEntry {
            path: value.measure.plain_path(),
            file: value.file,
            measured: value.solved,
            sigma: value.sigma,
            determined: value.is_determined(),
        });
        let document = MeasureJson {
            values: values.collect(),
            covariance: self.measurement.covariance(),
            photos: &self.photos,
            rms_px: self.measurement.rms_px(),
            steps: &self.steps,
        };
        // Plain data of this kind always has a JSON form.
        serde_json::to_string_pretty(&document).unwrap_or_default() + "\n"
    }

    /// The same for people.
    pub(super) fn words(&self) -> String {
        let parts = self.rig.parts();
        let mut page = Page::default();
        page.section(
            "Photographs",
            self.photos.iter().map(PhotoEntry::words).collect(),
        );
        let values = self.measurement.values().iter();
        let (told, left): (Vec<&Value>, Vec<&Value>) =
            values.partition(|value| value.is_determined());
        let (seams, others): (Vec<&Value>, Vec<&Value>) = told
            .into_iter()
            .partition(|value| value.measure.is_at_seam());
        let told = seams.into_iter().chain(others);
        page.section("Measured", told.map(|value| value.words(parts)).collect());
        page.section(
            "Not measured: as uncertain as before, or nearly",
            left.into_iter()
                .map(|value| value.measure.phrase(parts))
                .collect(),
        );
        let facing = &self.rig.panels()[parts.seat.view.panel].name;
        let mut held = vec![format!(
            "roll and tilt of panel \"{facing}\": a level tells them, photographs can't"
        )];
        held.push(
            "bezels: only their sum with the gap is seen, and the gap takes what is wrong with them"
                .to_owned(),
        );
        held.extend(
            self.seatless
                .iter()
                .map(|why| format!("the seat's numbers: {why}")),
        );
        page.section("Kept as the file has it", held);
        page.steps(&self.steps);
        page.text()
    }
}

impl PhotoEntry {
    fn of(name: &str, taken: Option<&Taken>, names: &[String], rig: &Rig) -> PhotoEntry {
        let left_out = taken.and_then(|taken| taken.left_out);
        PhotoEntry {
            file: name.to_owned(),
            marks: taken.map_or(0, |taken| taken.marks),
            rms_px: taken.and_then(|taken| taken.rms_px),
            eye_mm: taken.and_then(|taken| Some(taken.camera?.eye.to_array())),
            used: taken.is_some() && left_out.is_none(),
            reason: left_out.map(|reason| reason.words(names, rig.parts())),
        }
    }

    fn words(&self) -> String {
        match (&self.reason, self.rms_px, self.eye_mm) {
            (None, Some(rms), Some([x, y, z])) => {
                let way = |value: f64, more: &str, less: &str| {
                    let side = if value < 0.0 { less } else { more };
                    format!("{:.0} mm {side}", value.abs())
                };
                format!(
                    "{}: {} marks, to {rms:.2} px; taken {}, {} and {} of the eye",
                    self.file,
                    self.marks,
                    way(x, "right", "left"),
                    way(y, "above", "below"),
                    way(z, "behind", "ahead")
                )
            }
            (Some(reason), ..) => format!("{} is left out: it {reason}", self.file),
            _ => format!("{} is left out", self.file),
        }
    }
}
