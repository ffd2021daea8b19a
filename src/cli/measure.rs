//! `measure`: photographs of the marks to the rig as it stands.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use throughline::marks;
use throughline::photo::{self, Measurement, Photograph};
use throughline::pictures::photograph::WayUp;
use throughline::rig::{self, Rig};

use super::answer::{Answer, answer};
use super::measure_report::{Report, Shot};
use super::rig_source::setting;
use crate::files::{Failure, Files, Source, photo as photo_file, tell};

/// Most photographs of a run.
const MOST: usize = 12;

/// The arguments of `measure`.
#[derive(Debug, Args)]
pub(crate) struct MeasureArguments {
    /// The rig file whose marks were shown, or a built-in demo: rally-loft, tram-cab,
    /// ferry-bridge, night-train
    #[arg(value_name = "RIG")]
    rig: PathBuf,

    /// One to twelve photographs of the layer marks, JPEG or PNG; the first from where
    /// the eye is
    #[arg(value_name = "PHOTO", required = true)]
    photos: Vec<PathBuf>,

    /// Which photograph is taken from where the eye is, counted from 1, or none: the
    /// seat's numbers then stay
    #[arg(long, value_name = "N|none", default_value = "1", value_parser = eye_photo)]
    eye_photo: EyePhoto,

    /// Override a value of the rig, such as seat.distance_mm=650; can be repeated
    #[arg(long = "set", value_name = "PATH=VALUE", value_parser = setting)]
    settings: Vec<(String, String)>,

    /// Give the result as JSON on stdout
    #[arg(long)]
    json: bool,

    /// Write RIG's text with the measured numbers in place of its own
    #[arg(long, value_name = "RIG2")]
    out: Option<PathBuf>,
}

/// Which photograph is the eye's: its place among all.
#[derive(Debug, Clone, Copy)]
struct EyePhoto(Option<usize>);

fn eye_photo(text: &str) -> Result<EyePhoto, String> {
    if text == "none" {
        return Ok(EyePhoto(None));
    }
    let number: Option<usize> = text.parse().ok();
    let place = number.and_then(|number| number.checked_sub(1));
    place
        .map(|place| EyePhoto(Some(place)))
        .ok_or_else(|| "expected a photograph's number from 1 on, or none".to_owned())
}

/// Runs the command.
pub(crate) fn measure(arguments: &MeasureArguments) -> Result<ExitCode, Failure> {
    let count = arguments.photos.len();
    if count > MOST {
        return Err(Failure::new(format!(
            "{count} photographs are too many: give at most {MOST}; three tell nearly all"
        )));
    }
    let EyePhoto(eye) = arguments.eye_photo;
    if let Some(place) = eye.filter(|place| *place >= count) {
        return Err(Failure::new(format!(
            "--eye-photo {}: there are only {count} photographs; count them from 1 in the order \
             given",
            place + 1
        )));
    }
    let mut files = Files::new();
    let out = match &arguments.out {
        Some(path) => Some(files.output(path)?),
        None => None,
    };
    let source = Source::named(&arguments.rig, &mut files)?;
    let rig = rig::read(&source.text, &source.name, &arguments.settings).map_err(Failure::new)?;

    let mut shots = Vec::with_capacity(count);
    for (index, path) in arguments.photos.iter().enumerate() {
        tell(format!(
            "reading photograph {} of {count}: {}",
            index + 1,
            path.display()
        ));
        shots.push(shot(path, &rig, &mut files)?);
    }
    let measurement = measured(&rig, &shots, eye)?;
    let file = match &out {
        Some(output) => Some((output, corrected(&source, &measurement)?)),
        None => None,
    };
    let report = Report::new(&rig, &shots, &measurement, eye);
    let text = if arguments.json {
        Answer::Json(report.json())
    } else {
        Answer::Words(report.words())
    };
    answer(file, &text)
}

/// What is found in one photograph; its pixels are gone then.
fn shot(path: &Path, rig: &Rig, files: &mut Files) -> Result<Shot, Failure> {
    let picture = photo_file::read(path, WayUp::AsStored, files)?;
    let found = marks::find(&picture, rig).map(|found| Photograph {
        size_px: found.size_px,
        sightings: found.sightings,
    });
    Ok(Shot {
        name: path.display().to_string(),
        found: found.map_err(|unusable| unusable.to_string()),
    })
}

fn measured(rig: &Rig, shots: &[Shot], eye: Option<usize>) -> Result<Measurement, Failure> {
    let sound: Vec<usize> = (0..shots.len())
        .filter(|&i| shots[i].found.is_ok())
        .collect();
    let photographs: Vec<Photograph> = shots
        .iter()
        .filter_map(|shot| shot.found.clone().ok())
        .collect();
    tell("working out how the rig stands".to_owned());
    let eye = eye.and_then(|eye| sound.iter().position(|&index| index == eye));
    photo::measure(rig, &photographs, eye).map_err(|nothing| {
        let names: Vec<String> = sound
            .iter()
            .map(|&index| shots[index].name.clone())
            .collect();
        let mut reasons = nothing.reasons.iter();
        let told = shots.iter().filter_map(|shot| {
            let why = match &shot.found {
                Err(why) => why.clone(),
                Ok(_) => (*reasons.next()?)?.words(&names, rig.parts()),
            };
            Some(format!("{} {why}", shot.name))
        });
        let told: Vec<String> = told.collect();
        Failure::new(format!("no photograph can serve: {}", told.join("; ")))
    })
}

/// The rig file's text with the measured numbers.
fn corrected(source: &Source, measurement: &Measurement) -> Result<String, Failure> {
    let said = rig::read(&source.text, &source.name, &[]).map_err(Failure::new)?;
    photo::written(&source.text, &said, measurement)
        .map_err(|error| Failure::new(format!("{}: {error}", source.name)))
}
