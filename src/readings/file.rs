//! What was read at the seams of a rig, and whether it belongs to one.

use glam::DVec3;

use super::drawn::DrawnLine;
use super::error::ReadingsError;
use super::reading::{Prior, Reading};
use super::text::FileText;
use crate::parts::words::{count, number, quoted};
use crate::parts::{Flaw, Measure, Panel, Parts, SeamQuantity};
use crate::rig::{Rig, write};

/// Longest text of a readings file that is looked at, in bytes.
pub const MAX_READINGS_BYTES: usize = 1 << 22;
/// Most readings in a file.
pub const MAX_READINGS: usize = 2000;

/// What to do about a file that is none.
const REMEDY: &str = "take the readings anew, or give each as {\"seam\": 1, \"normal\": [x, y, z], \
     \"left_px\": [from, to], \"right_px\": column, \"slide_px\": rows, \"sigma_px\": rows}";

/// What was read at the seams of a rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// What the rig is called.
    pub rig: String,
    /// The rig file's text that they were taken on, where it is known.
    pub rig_toml: Option<String>,
    /// The rig's numbers that they were taken on; empty where they aren't known.
    pub values: Vec<(Measure, f64)>,
    /// In the order they were taken in.
    pub readings: Vec<Reading>,
    /// What is known beforehand otherwise than usual.
    pub priors: Vec<Prior>,
}

/// A number that a rig has otherwise than the readings' own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Which one.
    pub measure: Measure,
    /// What the readings were taken on.
    pub read_on: f64,
    /// What the rig has; `None` where it has none such.
    pub now: Option<f64>,
}

impl std::fmt::Display for Difference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (path, read_on) = (self.measure.plain_path(), number(self.read_on));
        write!(
            f,
            "the readings were taken with {path} = {read_on}, but the rig has "
        )?;
        match self.now {
            Some(now) => write!(f, "{}", number((now * 1e6).round() / 1e6))?,
            None => f.write_str("no such value")?,
        }
        f.write_str(" by now: take them anew, or give --as-read to start from theirs")
    }
}

impl Readings {
    /// No reading yet, of this rig.
    pub fn new(rig: &Rig) -> Readings {
        let parts = rig.parts();
        let value = |measure: Measure| Some((measure, measure.plain(parts)?));
        Readings {
            rig: rig.name().to_owned(),
            rig_toml: Some(write(rig)),
            values: Measure::of_surfaces(parts)
                .into_iter()
                .filter_map(value)
                .collect(),
            readings: Vec::new(),
            priors: Vec::new(),
        }
    }

    /// Reads a file's text; `name` is what messages call it.
    ///
    /// # Errors
    ///
    /// What is wrong first, with its line and column.
    pub fn read(text: &str, name: &str) -> Result<Readings, ReadingsError> {
        let whole = |text: String| ReadingsError::whole(name, text);
        if text.len() > MAX_READINGS_BYTES {
            return Err(whole(format!(
                "a readings file has at most {MAX_READINGS_BYTES} bytes; {REMEDY}"
            )));
        }
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let file: FileText = serde_json::from_str(text)
            .map_err(|error| ReadingsError::of_json(name, &error, REMEDY))?;
        if file.readings.len() > MAX_READINGS {
            return Err(whole(format!(
                "it holds {}, but {MAX_READINGS} are the most: leave out the oldest",
                count(file.readings.len(), "reading")
            )));
        }
        Ok(file.into())
    }

    /// The text of a file that says this.
    pub fn write(&self) -> String {
        // Plain data of this kind always has a JSON form.
        serde_json::to_string_pretty(&FileText::from(self)).unwrap_or_default() + "\n"
    }

    /// The first number that a rig has otherwise than these readings were taken on.
    pub fn difference(&self, rig: &Rig) -> Option<Difference> {
        /// What writing a number down and reading it again may change.
        const ROUNDING: f64 = 1e-6;
        self.values.iter().find_map(|&(measure, read_on)| {
            let now = measure.plain(rig.parts());
            let is_same =
                now.is_some_and(|now| (now - read_on).abs() <= ROUNDING * read_on.abs().max(1.0));
            let difference = Difference {
                measure,
                read_on,
                now,
            };
            (!is_same).then_some(difference)
        })
    }

    /// The rig with the numbers that these readings were taken on.
    ///
    /// # Errors
    ///
    /// Where the rig has no such number, or is none with it.
    pub fn rig_as_read(&self, rig: &Rig) -> Result<Rig, Flaw> {
        if self.difference(rig).is_none() {
            return Ok(rig.clone());
        }
        let mut parts = rig.parts().with_folds();
        for &(measure, number) in &self.values {
            if measure.plain(rig.parts()).is_none() {
                return Err(Flaw {
                    subject: measure.subject(),
                    text: format!(
                        "the readings were taken with {}, which this rig doesn't have: take them \
                         anew",
                        number_of(measure, number)
                    ),
                });
            }
            if measure.plain(&parts) != Some(number) {
                put(measure, &mut parts, number);
            }
        }
        Rig::new(parts.spelt_like(rig.parts()))
    }

    /// Whether every reading and every prior belongs to a rig.
    ///
    /// # Errors
    ///
    /// The first that doesn't; `name` is what messages call the file.
    pub fn fit(&self, rig: &Rig, name: &str) -> Result<(), ReadingsError> {
        let wrong = |text: String| ReadingsError::whole(name, text);
        for (index, reading) in self.readings.iter().enumerate() {
            misplaced(reading, rig).map_or(Ok(()), |fault| {
                Err(wrong(format!("reading {}: {fault}", index + 1)))
            })?;
        }
        for prior in &self.priors {
            if prior.measure.plain(rig.parts()).is_none() {
                let path = prior.measure.plain_path();
                return Err(wrong(format!(
                    "`priors` names {path}, which rig {} doesn't have: leave it out",
                    quoted(rig.name())
                )));
            }
        }
        Ok(())
    }
}

fn put(measure: Measure, parts: &mut Parts, number: f64) {
    match measure {
        // A turn that is given as an angle, of parts that are given by folds.
        Measure::Seam(seam, SeamQuantity::Angle) if seam + 1 < parts.panels.len() => {
            let bend = parts.angle_rad(seam) - parts.fold_rad(seam);
            let fold = Measure::Seam(seam, SeamQuantity::Fold);
            fold.put(parts, number - bend.to_degrees());
        }
        _ => measure.put(parts, number),
    }
}

fn number_of(measure: Measure, figure: f64) -> String {
    format!("{} = {}", measure.plain_path(), number(figure))
}

/// What keeps a reading from being one of this rig.
fn misplaced(reading: &Reading, rig: &Rig) -> Option<String> {
    let line = &reading.line;
    let seams = rig.seams().len();
    if line.seam >= seams {
        return Some(format!(
            "there is no seam {}, but {}: count them from 1 at the left",
            line.seam + 1,
            count(seams, "seam")
        ));
    }
    let [left, right] = [line.seam, line.seam + 1].map(|panel| &rig.panels()[panel]);
    let columns = |panel: &Panel| f64::from(panel.pixels[0]);
    for (key, px, panel) in [
        ("left_px", line.left_px[0], left),
        ("left_px", line.left_px[1], left),
        ("right_px", line.right_px, right),
    ] {
        if !(0.0..=columns(panel)).contains(&px) {
            return Some(format!(
                "`{key}` is {}, but panel {} has columns 0 to {}, counted from its lit left edge",
                number(px),
                quoted(&panel.name),
                columns(panel)
            ));
        }
    }
    let rows = f64::from(right.pixels[1]);
    if reading.slide_px.abs() > rows {
        return Some(format!(
            "`slide_px` is {}, but panel {} has only {rows} rows",
            number(reading.slide_px),
            quoted(&right.name)
        ));
    }
    let drawn = DrawnLine::new(*line, rig.layout());
    let is_seen = drawn.is_some_and(|drawn| drawn.slide_px(rig.layout(), DVec3::ZERO).is_some());
    (!is_seen).then(|| {
        "a line with this `normal` runs upright there, so it has no row in these columns: give \
         the normal of a line that crosses the seam"
            .to_owned()
    })
}
