//! The text of a readings file, or of another JSON file that a command goes by.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use throughline::readings::{MAX_READINGS_BYTES, Readings};

use super::failure::Failure;
use super::needed::{Files, Output};
use super::output::write_file;

/// Reads it, and keeps the run from writing over it.
pub(crate) fn readings_text(path: &Path, files: &mut Files) -> Result<String, Failure> {
    files.need(path)?;
    let failed = |error: std::io::Error| Failure::file("read", path, &error);
    let mut bytes = Vec::new();
    // One byte past the limit is enough to be refused for its length.
    let most = MAX_READINGS_BYTES as u64 + 1;
    File::open(path)
        .and_then(|file| file.take(most).read_to_end(&mut bytes))
        .map_err(failed)?;
    String::from_utf8(bytes).map_err(|_| {
        Failure::new(format!(
            "{}: this is not UTF-8 text; save the file as UTF-8",
            path.display()
        ))
    })
}

/// Where a run keeps the readings that are taken at its glass: beside the rig, a file for
/// every course of readings.
#[derive(Debug)]
pub(crate) struct KeptReadings {
    stem: PathBuf,
    /// The course whose readings the file holds; 0 for those that the run found.
    course: usize,
}

impl KeptReadings {
    /// Those of a rig whose files are called after `stem`.
    ///
    /// # Errors
    ///
    /// Where the run was asked to write that file.
    pub(crate) fn new(stem: PathBuf, files: &mut Files) -> Result<KeptReadings, Failure> {
        let kept = KeptReadings { stem, course: 0 };
        files.need(&kept.path())?;
        Ok(kept)
    }

    /// The file that holds the last course.
    pub(crate) fn path(&self) -> PathBuf {
        self.named(".readings.json")
    }

    fn named(&self, end: &str) -> PathBuf {
        let mut name = self.stem.as_os_str().to_owned();
        name.push(end);
        PathBuf::from(name)
    }

    /// What an earlier run left; `None` where there is no such file.
    pub(crate) fn found(&self, files: &mut Files) -> Option<Result<Readings, Failure>> {
        let path = self.path();
        path.exists().then(|| {
            let text = readings_text(&path, files)?;
            Readings::read(&text, &path.display().to_string()).map_err(Failure::new)
        })
    }

    /// Writes a course's readings. Those of another course are kept under a number.
    ///
    /// # Errors
    ///
    /// One sentence; what was kept before is as it was.
    pub(crate) fn keep(&mut self, course: usize, readings: &Readings) -> Result<(), Failure> {
        let path = self.path();
        if self.course != course && path.exists() {
            let numbered = (1..).map(|number: u32| self.named(&format!(".readings-{number}.json")));
            if let Some(free) = numbered.into_iter().find(|path| !path.exists()) {
                fs::rename(&path, &free).map_err(|error| Failure::file("write", &free, &error))?;
            }
        }
        write_file(&Output::own(&path), |out| {
            out.write_all(readings.write().as_bytes())
        })?;
        self.course = course;
        Ok(())
    }
}

/// Whether a file begins as a JSON document does; one that can't be read doesn't, and
/// is told of by whoever reads it.
pub(crate) fn is_json(path: &Path) -> bool {
    const ENOUGH: u64 = 256;
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(ENOUGH).read_to_end(&mut bytes));
    let text = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(&bytes);
    let first = text.iter().find(|byte| !byte.is_ascii_whitespace());
    read.is_ok() && first == Some(&b'{')
}
