//! What was measured in another way, with its covariance: the JSON of `measure`, or of
//! an earlier `solve`.

use serde::Deserialize;

use crate::least_squares::whitening;
use crate::parts::{Measure, SeamQuantity};
use crate::readings::{MAX_READINGS_BYTES, ReadingsError};

const REMEDY: &str = "write the file anew with `throughline measure RIG PHOTO --json`";

/// Numbers of a rig with their covariance.
///
/// # Guarantees
///
/// The covariance is one: symmetric, positive, as many rows as values.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    measures: Vec<Measure>,
    values: Vec<f64>,
    covariance: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
struct Text {
    values: Vec<Value>,
    covariance: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
struct Value {
    path: Path,
    #[serde(alias = "solved")]
    measured: f64,
}

#[derive(Deserialize)]
#[serde(try_from = "String")]
struct Path(Measure);

impl TryFrom<String> for Path {
    type Error = String;

    fn try_from(path: String) -> Result<Path, String> {
        let found = Measure::from_plain_path(&path);
        let found = found.filter(|found| !matches!(found, Measure::Seam(_, SeamQuantity::Angle)));
        found
            .map(Path)
            .ok_or_else(|| format!("there is no value \"{}\"", path.escape_debug()))
    }
}

impl Measured {
    /// Reads the text of a file; `name` is what messages call it.
    ///
    /// # Errors
    ///
    /// What is wrong first, with its line and column where there is one.
    pub fn read(text: &str, name: &str) -> Result<Measured, ReadingsError> {
        let wrong = |text: &str| ReadingsError::whole(name, format!("{text}; {REMEDY}"));
        if text.len() > MAX_READINGS_BYTES {
            return Err(wrong("the file is too long for what `measure` writes"));
        }
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let text: Text = serde_json::from_str(text)
            .map_err(|error| ReadingsError::of_json(name, &error, REMEDY))?;
        let count = text.values.len();
        let is_square =
            text.covariance.len() == count && text.covariance.iter().all(|row| row.len() == count);
        if !is_square {
            return Err(wrong(
                "`covariance` must have a row and a column for each of `values`, in their order",
            ));
        }
        let measures: Vec<Measure> = text.values.iter().map(|value| value.path.0).collect();
        if (1..count).any(|i| measures[..i].contains(&measures[i])) {
            return Err(wrong("`values` names a value twice"));
        }
        let is_symmetric = (0..count).all(|i| {
            (0..i).all(|j| {
                let (one, other) = (text.covariance[i][j], text.covariance[j][i]);
                (one - other).abs() <= 1e-6 * one.abs().max(other.abs())
            })
        });
        if !is_symmetric || whitening(&text.covariance).is_none() {
            return Err(wrong(
                "`covariance` is none: it must be symmetric, and no mix of values may have a \
                 variance below 0",
            ));
        }
        Ok(Measured {
            measures,
            values: text.values.iter().map(|value| value.measured).collect(),
            covariance: text.covariance,
        })
    }

    pub(super) fn place(&self, measure: Measure) -> Option<usize> {
        self.measures.iter().position(|known| *known == measure)
    }

    pub(super) fn value(&self, place: usize) -> f64 {
        self.values[place]
    }

    pub(super) fn covariance(&self, one: usize, other: usize) -> f64 {
        self.covariance[one][other]
    }
}
