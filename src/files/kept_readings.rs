//! The readings that are taken at the glass, kept beside the rig.

use std::fs;
use std::path::PathBuf;

use throughline::readings::Readings;

use super::failure::Failure;
use super::needed::{Files, Output};
use super::output::write_file;
use super::readings_file::readings_text;

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
