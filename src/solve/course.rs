//! Reading after reading: what to read next, and what is known so far.

use super::choose::{Choice, MOST_A_SEAM, next, next_of};
use super::estimate::{Estimate, solve};
use super::moves::Advice;
use super::priors::Priors;
use super::purpose::Purpose;
use crate::readings::{Eye, Line, Reading, Readings, ReadingsError};
use crate::rig::Rig;

/// How often a line is asked for again: who sees worse than was taken for granted is
/// not held up for ever.
const MOST_AGAIN: usize = 4;

/// A line to read once more.
fn again(reading: &Reading) -> Choice {
    Choice {
        line: reading.line,
        sigma_px: reading.sigma_px * std::f64::consts::SQRT_2,
        gain: 0.0,
    }
}

/// A course of readings on one rig.
#[derive(Debug, Clone)]
pub struct Course {
    rig: Rig,
    eye: Eye,
    priors: Priors,
    readings: Readings,
    estimate: Estimate,
    /// How often the last line was read again.
    again: usize,
    /// Lines that were read again because they didn't go with the others.
    doubted: Vec<Line>,
}

impl Course {
    /// Begins on a rig that is drawn as its file says, read by `eye`.
    pub fn new(rig: Rig, eye: Eye) -> Course {
        let readings = Readings::new(&rig);
        let priors = Priors::new(&rig, &[]);
        Course::of(rig, eye, priors, readings)
    }

    /// Goes on with readings that were taken before, on the same numbers.
    ///
    /// # Errors
    ///
    /// Where they are not of this rig as it is; `name` is what messages call them.
    pub fn resumed(
        rig: Rig,
        eye: Eye,
        readings: Readings,
        name: &str,
    ) -> Result<Course, ReadingsError> {
        readings.fit(&rig, name)?;
        if let Some(difference) = readings.difference(&rig) {
            return Err(ReadingsError::whole(name, difference.to_string()));
        }
        let priors = Priors::new(&rig, &readings.priors);
        Ok(Course::of(rig, eye, priors, readings))
    }

    fn of(rig: Rig, eye: Eye, priors: Priors, readings: Readings) -> Course {
        let estimate = solve(&rig, &readings.readings, &priors);
        Course {
            rig,
            eye,
            priors,
            readings,
            estimate,
            again: 0,
            doubted: Vec::new(),
        }
    }

    /// The line to read next: the last one once more where its two slides differ too
    /// much, else the one that is expected to bring most, and after all of them those
    /// that don't go with the others, once. `None` when all are read.
    pub fn next(&self) -> Option<Choice> {
        let all = &self.readings.readings;
        self.again()
            .or_else(|| next(&self.rig, &self.estimate, all, self.eye))
            .or_else(|| self.doubtful())
    }

    /// The same among the lines at one seam that serve a purpose.
    pub fn next_for(&self, purpose: Purpose, seam: usize) -> Option<Choice> {
        let (taken, asked) = (&self.readings.readings, [(seam, purpose)]);
        self.again()
            .or_else(|| next_of(&self.rig, &self.estimate, taken, self.eye, &asked))
    }

    /// The last line once more, where its two slides differ too much.
    pub fn again(&self) -> Option<Choice> {
        let last = self.readings.readings.last();
        last.filter(|last| last.is_apart() && self.again < MOST_AGAIN)
            .map(again)
    }

    /// The first reading that doesn't go with the others, once more, if it wasn't taken
    /// again yet.
    pub fn doubtful(&self) -> Option<Choice> {
        let pairs = self.readings.readings.iter().zip(self.estimate.fits());
        let doubtful = pairs
            .filter(|(_, fit)| fit.repeat)
            .map(|(reading, _)| reading);
        let mut open = doubtful.filter(|reading| !self.doubted.contains(&reading.line));
        open.next().map(again)
    }

    /// Takes up a line that was read twice, sliding from above and from below;
    /// `sigma_px` is of one slide, as [`Choice`] gives it. A line that was read before
    /// is read anew.
    pub fn add(&mut self, line: Line, slides_px: [f64; 2], sigma_px: f64) {
        let reading = Reading::twice(line, slides_px, sigma_px);
        let all = &mut self.readings.readings;
        let before = all.iter().position(|known| known.line == line);
        self.again = if before.is_some() { self.again + 1 } else { 0 };
        if let Some(before) = before {
            all.remove(before);
            self.doubted.push(line);
        }
        all.push(reading);
        self.estimate = solve(&self.rig, &self.readings.readings, &self.priors);
    }

    /// How many lines were read at a seam.
    pub fn count(&self, seam: usize) -> usize {
        let at_seam = self.readings.readings.iter();
        at_seam.filter(|reading| reading.line.seam == seam).count()
    }

    /// A second course on the rig as its file says it by now, corrected by this one,
    /// which goes by all that this one knows.
    #[must_use]
    pub fn corrected(&self, rig: Rig) -> Course {
        let priors = Priors::after(&self.estimate);
        let readings = Readings::new(&rig);
        Course::of(rig, self.eye, priors, readings)
    }

    /// Drops the last reading; `None` where there is none.
    pub fn undo(&mut self) -> Option<Reading> {
        let dropped = self.readings.readings.pop()?;
        self.again = 0;
        self.estimate = solve(&self.rig, &self.readings.readings, &self.priors);
        Some(dropped)
    }

    /// How many readings are left, at most.
    pub fn left(&self) -> usize {
        let all = self.rig.seams().len() * MOST_A_SEAM;
        all.saturating_sub(self.readings.readings.len())
    }

    /// What is known so far.
    pub fn estimate(&self) -> &Estimate {
        &self.estimate
    }

    /// What to do about it.
    pub fn advice(&self) -> Advice {
        Advice::new(
            &self.rig,
            &self.readings.readings,
            &self.priors,
            &self.estimate,
        )
    }

    /// The rig that the lines are drawn for.
    pub fn rig(&self) -> &Rig {
        &self.rig
    }

    /// All readings, as their file keeps them.
    pub fn readings(&self) -> &Readings {
        &self.readings
    }
}
