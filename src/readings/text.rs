//! The text of a readings file: JSON.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use glam::DVec3;
use serde::{Deserialize, Serialize};

use super::file::Readings;
use super::line::Line;
use super::reading::{Prior, Reading};
use crate::geometry::EyePlane;
use crate::parts::words::{nearest, number, quoted};
use crate::parts::{Measure, PanelQuantity, SeamQuantity};

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FileText {
    format: Format,
    rig: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rig_toml: Option<String>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    values: BTreeMap<Path, f64>,
    pub(super) readings: Vec<ReadingText>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    priors: BTreeMap<PriorPath, Sigma>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReadingText {
    seam: SeamNumber,
    normal: Normal,
    left_px: Columns,
    right_px: f64,
    slide_px: f64,
    sigma_px: Sigma,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    slides_px: Option<[f64; 2]>,
}

impl From<FileText> for Readings {
    fn from(file: FileText) -> Readings {
        let reading = |text: ReadingText| Reading {
            line: Line {
                seam: text.seam.0,
                plane: text.normal.0,
                left_px: text.left_px.0,
                right_px: text.right_px,
            },
            slide_px: text.slide_px,
            sigma_px: text.sigma_px.0,
            slides_px: text.slides_px,
        };
        let prior = |(path, sigma): (PriorPath, Sigma)| Prior {
            measure: path.0.0,
            sigma: sigma.0,
        };
        Readings {
            rig: file.rig,
            rig_toml: file.rig_toml,
            values: file
                .values
                .into_iter()
                .map(|(path, n)| (path.0, n))
                .collect(),
            readings: file.readings.into_iter().map(reading).collect(),
            priors: file.priors.into_iter().map(prior).collect(),
        }
    }
}

impl From<&Readings> for FileText {
    fn from(readings: &Readings) -> FileText {
        let reading = |reading: &Reading| ReadingText {
            seam: SeamNumber(reading.line.seam),
            normal: Normal(reading.line.plane),
            left_px: Columns(reading.line.left_px),
            right_px: reading.line.right_px,
            slide_px: reading.slide_px,
            sigma_px: Sigma(reading.sigma_px),
            slides_px: reading.slides_px,
        };
        let prior = |prior: &Prior| (PriorPath(Path(prior.measure)), Sigma(prior.sigma));
        FileText {
            format: Format,
            rig: readings.rig.clone(),
            rig_toml: readings.rig_toml.clone(),
            values: readings
                .values
                .iter()
                .map(|(m, n)| (Path(*m), *n))
                .collect(),
            readings: readings.readings.iter().map(reading).collect(),
            priors: readings.priors.iter().map(prior).collect(),
        }
    }
}

/// The version of the file.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "u32")]
struct Format;

impl TryFrom<f64> for Format {
    type Error = String;

    fn try_from(format: f64) -> Result<Format, String> {
        (format == 1.0).then_some(Format).ok_or_else(|| {
            format!(
                "`format` is {}, but only 1 is known: use a newer throughline",
                number(format)
            )
        })
    }
}

impl From<Format> for u32 {
    fn from(_: Format) -> u32 {
        1
    }
}

/// A seam's index, spelt as its number from 1.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "usize")]
struct SeamNumber(usize);

impl TryFrom<f64> for SeamNumber {
    type Error = String;

    fn try_from(seam: f64) -> Result<SeamNumber, String> {
        /// More than any rig has.
        const MOST: f64 = 1e6;
        let is_one = (1.0..=MOST).contains(&seam) && seam.fract() == 0.0;
        is_one
            .then(|| SeamNumber(seam as usize - 1))
            .ok_or_else(|| {
                format!(
                    "`seam` is {}, but seams are counted 1, 2, 3 from the left",
                    number(seam)
                )
            })
    }
}

impl From<SeamNumber> for usize {
    fn from(seam: SeamNumber) -> usize {
        seam.0 + 1
    }
}

/// The normal of a plane through the eye.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "[f64; 3]", into = "[f64; 3]")]
struct Normal(EyePlane);

impl TryFrom<[f64; 3]> for Normal {
    type Error = String;

    fn try_from(normal: [f64; 3]) -> Result<Normal, String> {
        let plane = EyePlane::new(DVec3::from_array(normal));
        plane.map(Normal).ok_or_else(|| {
            "`normal` has no direction: give the normal that `screenshot --lines` writes".to_owned()
        })
    }
}

impl From<Normal> for [f64; 3] {
    fn from(normal: Normal) -> [f64; 3] {
        normal.0.normal().to_array()
    }
}

/// Two columns that are not the same.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "[f64; 2]", into = "[f64; 2]")]
struct Columns([f64; 2]);

impl TryFrom<[f64; 2]> for Columns {
    type Error = String;

    fn try_from(columns: [f64; 2]) -> Result<Columns, String> {
        let [from, to] = columns;
        (from != to).then_some(Columns(columns)).ok_or_else(|| {
            format!(
                "`left_px` is {} twice, so the left part has no length: give two columns",
                number(from)
            )
        })
    }
}

impl From<Columns> for [f64; 2] {
    fn from(columns: Columns) -> [f64; 2] {
        columns.0
    }
}

/// An uncertainty.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
struct Sigma(f64);

impl TryFrom<f64> for Sigma {
    type Error = String;

    fn try_from(sigma: f64) -> Result<Sigma, String> {
        const RANGE: [f64; 2] = [1e-6, 1e6];
        let [least, most] = RANGE;
        (least..=most)
            .contains(&sigma)
            .then_some(Sigma(sigma))
            .ok_or_else(|| {
                format!(
                    "an uncertainty is {}, but must lie between {} and {}: give one standard \
                 deviation",
                    number(sigma),
                    number(least),
                    number(most)
                )
            })
    }
}

impl From<Sigma> for f64 {
    fn from(sigma: Sigma) -> f64 {
        sigma.0
    }
}

/// A number of a rig, spelt as its path.
#[derive(Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
struct Path(Measure);

impl TryFrom<String> for Path {
    type Error = String;

    fn try_from(path: String) -> Result<Path, String> {
        const KNOWN: [&str; 9] = [
            "seat.distance_mm",
            "seat.height_mm",
            "seat.offset_mm",
            "panel.1.tilt_deg",
            "panel.1.roll_deg",
            "seam.1.fold_deg",
            "seam.1.gap_mm",
            "seam.1.step_mm",
            "seam.1.rise_mm",
        ];
        Measure::from_plain_path(&path).map(Path).ok_or_else(|| {
            let meant = nearest(&path, KNOWN).unwrap_or("seam.1.fold_deg");
            format!(
                "there is no value {}: spell it as {meant}, panels and seams counted from 1 at \
                 the left",
                quoted(&path)
            )
        })
    }
}

impl From<Path> for String {
    fn from(path: Path) -> String {
        path.0.plain_path()
    }
}

impl Ord for Path {
    fn cmp(&self, other: &Path) -> Ordering {
        self.0.plain_path().cmp(&other.0.plain_path())
    }
}

impl PartialOrd for Path {
    fn partial_cmp(&self, other: &Path) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// A number of a rig that readings can tell something of; a turn is a fold.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
struct PriorPath(Path);

impl TryFrom<String> for PriorPath {
    type Error = String;

    fn try_from(path: String) -> Result<PriorPath, String> {
        let Path(measure) = Path::try_from(path)?;
        let is_told = match measure {
            Measure::Seat(_) => true,
            Measure::Panel(_, what) => matches!(
                what,
                PanelQuantity::Width
                    | PanelQuantity::Height
                    | PanelQuantity::Radius
                    | PanelQuantity::Tilt
                    | PanelQuantity::Roll
            ),
            Measure::Seam(_, what) => what != SeamQuantity::Hidden,
        };
        let measure = match measure {
            Measure::Seam(seam, SeamQuantity::Angle) => Measure::Seam(seam, SeamQuantity::Fold),
            _ => measure,
        };
        is_told.then_some(PriorPath(Path(measure))).ok_or_else(|| {
            format!(
                "readings tell nothing of {}: leave it out of `priors`",
                measure.plain_path()
            )
        })
    }
}

impl From<PriorPath> for String {
    fn from(path: PriorPath) -> String {
        path.0.into()
    }
}
