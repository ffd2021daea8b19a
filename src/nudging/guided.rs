//! Readings at the glass, line by line: which line is shown, how far its right part was
//! slid, and what is known by it.

use glam::DVec3;

use super::walk::Step;
use crate::parts::words::count;
use crate::pattern::Slide;
use crate::readings::{DrawnLine, Eye, Readings, ReadingsError};
use crate::rig::{Rig, Table};
use crate::solve::{Choice, Course, Value};

/// Finest slide, in rows.
const FINE_PX: f64 = 0.25;
/// Least rows by which the right part is off when a slide begins.
const LEAST_START_PX: f64 = 12.0;
/// The same in what a slide is uncertain by.
const START_SIGMAS: f64 = 8.0;
/// Most values that are told of at once.
const MOST_KNOWN: usize = 4;
/// How much nearer the second slide begins, so that counted keys tell nothing.
const SECOND_START: f64 = 0.8;

/// What a person says of the right part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// It is higher than the straightedge.
    Higher,
    /// It is lower.
    Lower,
}

/// A right part on its way.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Sliding {
    choice: Choice,
    /// The slide from above, once it was taken.
    from_above: Option<f64>,
    up_px: f64,
    start_px: f64,
    /// How far an answer moves it, and what the last one was.
    step_px: f64,
    last: Option<Answer>,
}

/// What became of a line that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// The same line is read once more, from below.
    FromAbove,
    /// It is read.
    Read,
    /// It is read, and its two slides differ too much: once more.
    Apart,
    /// There was none.
    Nothing,
}

/// A course of readings on the glass.
#[derive(Debug, Clone)]
pub struct Guided {
    course: Course,
    /// Lines that were left out, for every seam.
    skipped: Vec<usize>,
    sliding: Option<Sliding>,
    /// The rig that its solved numbers were taken into.
    taken: Option<Rig>,
    known: Vec<String>,
}

impl Guided {
    /// Begins, on a rig that is drawn as it is.
    pub fn new(rig: Rig, eye: Eye) -> Guided {
        Guided::of(Course::new(rig, eye))
    }

    /// Goes on with readings that were taken before on this rig.
    ///
    /// # Errors
    ///
    /// Where they were taken on another rig, or with other numbers.
    pub fn resumed(rig: Rig, readings: Readings, name: &str) -> Result<Guided, ReadingsError> {
        Course::resumed(rig, Eye::PEEP_CARD, readings, name).map(Guided::of)
    }

    fn of(course: Course) -> Guided {
        let mut guided = Guided {
            skipped: vec![0; course.rig().seams().len()],
            course,
            sliding: None,
            taken: None,
            known: Vec::new(),
        };
        guided.learn();
        guided
    }

    /// What is known so far: of the seam read last first, and what is left to read.
    pub fn known(&self) -> &[String] {
        &self.known
    }

    fn learn(&mut self) {
        let readings = &self.course.readings().readings;
        let seam = readings.last().map(|reading| reading.line.seam);
        let estimate = self.course.estimate();
        let parts = self.course.rig().parts();
        let told = estimate
            .values()
            .iter()
            .filter(|value| value.is_determined());
        let is_here = |table: Table| match (table, seam) {
            (Table::Seam(of), Some(seam)) => of == seam,
            (Table::Panel(of), Some(seam)) => of == seam || of == seam + 1,
            _ => false,
        };
        let (here, others): (Vec<&Value>, Vec<&Value>) =
            told.partition(|v| is_here(v.measure.table()));
        let all = here.into_iter().chain(others);
        self.known = all
            .take(MOST_KNOWN)
            .map(|value| value.words(parts))
            .collect();
        if !readings.is_empty() {
            let arcmin = estimate.left_rad().to_degrees() * 60.0;
            let left = count(self.course.left(), "reading");
            self.known.push(format!(
                "With this in the file, lines at the seams would be off by {arcmin:.1}\u{2032} (1σ); \
                 at most {left} left."
            ));
        }
    }

    /// The readings and what is known by them.
    pub fn course(&self) -> &Course {
        &self.course
    }

    /// Whether its solved numbers were taken into a rig.
    pub fn is_taken(&self) -> bool {
        self.taken.is_some()
    }

    /// Its solved numbers were taken into this rig.
    pub fn note_taken(&mut self, rig: Rig) {
        self.taken = Some(rig);
    }

    /// A second course, on a rig as it is now: it goes by all that this one knows where
    /// its numbers were taken into that rig.
    pub fn once_more(&self, rig: Rig, eye: Eye) -> Guided {
        if self.taken.as_ref() == Some(&rig) {
            Guided::of(self.course.corrected(rig))
        } else {
            Guided::new(rig, eye)
        }
    }

    /// The line that is on the glass.
    pub fn slide(&self) -> Option<Slide> {
        let sliding = self.sliding.as_ref()?;
        Some(Slide {
            line: sliding.choice.line,
            up_px: sliding.up_px,
        })
    }

    /// The seam of the line on the glass.
    pub fn seam(&self) -> Option<usize> {
        Some(self.sliding.as_ref()?.choice.line.seam)
    }

    /// Whether the line on the glass was slid from above already.
    pub fn is_second(&self) -> bool {
        let sliding = self.sliding.as_ref();
        sliding.is_some_and(|sliding| sliding.from_above.is_some())
    }

    /// How many lines of a seam are read or left out.
    fn done(&self, seam: usize) -> usize {
        self.course.count(seam) + self.skipped[seam]
    }

    /// The first step that still has a line to read.
    pub fn due(&self) -> Option<Step> {
        let has_lines = |step: &Step| {
            let quota = step.reads().map_or(0, |(_, quota)| quota);
            (0..self.skipped.len()).any(|seam| self.done(seam) < quota)
        };
        Step::ALL.into_iter().find(has_lines)
    }

    /// Puts the next line of a step on the glass; `false` where the step has none left.
    pub fn show(&mut self, step: Step) -> bool {
        self.sliding = None;
        let Some((purpose, quota)) = step.reads() else {
            return false;
        };
        for seam in 0..self.skipped.len() {
            while self.done(seam) < quota || self.course.again().is_some() {
                if let Some(choice) = self.course.next_for(purpose, seam) {
                    self.begin(choice);
                    return true;
                }
                self.skipped[seam] += 1;
            }
        }
        let doubtful = self.course.doubtful().filter(|_| step == Step::Rest);
        if let Some(choice) = doubtful {
            self.begin(choice);
        }
        doubtful.is_some()
    }

    fn begin(&mut self, choice: Choice) {
        let drawn = DrawnLine::new(choice.line, self.course.rig().layout());
        let built = self.course.estimate().rig().layout();
        let expected = drawn.and_then(|line| line.slide_px(built, DVec3::ZERO));
        let start_px = (START_SIGMAS * choice.sigma_px).max(LEAST_START_PX);
        self.sliding = Some(Sliding {
            choice,
            from_above: None,
            up_px: fine(expected.unwrap_or(0.0) + start_px),
            start_px,
            step_px: start_px / 2.0,
            last: None,
        });
    }

    /// Slides the right part by so many fine steps, up where positive.
    pub fn slide_by(&mut self, steps: f64) {
        if let Some(sliding) = &mut self.sliding {
            sliding.up_px = fine(sliding.up_px + steps * FINE_PX);
        }
    }

    /// Moves the right part by what an answer says, by half as much once answers go to
    /// and fro.
    pub fn answer(&mut self, answer: Answer) {
        let Some(sliding) = &mut self.sliding else {
            return;
        };
        if sliding.last.is_some_and(|last| last != answer) {
            sliding.step_px = (sliding.step_px / 2.0).max(FINE_PX);
        }
        sliding.last = Some(answer);
        sliding.up_px = fine(match answer {
            Answer::Higher => sliding.up_px - sliding.step_px,
            Answer::Lower => sliding.up_px + sliding.step_px,
        });
    }

    /// The right part continues the left one where it is.
    pub fn take(&mut self) -> Taken {
        let Some(sliding) = &mut self.sliding else {
            return Taken::Nothing;
        };
        match sliding.from_above {
            None => {
                sliding.from_above = Some(sliding.up_px);
                sliding.up_px = fine(sliding.up_px - SECOND_START * sliding.start_px);
                sliding.step_px = sliding.start_px / 2.0;
                sliding.last = None;
                Taken::FromAbove
            }
            Some(from_above) => {
                let Choice { line, sigma_px, .. } = sliding.choice;
                let slides_px = [from_above, sliding.up_px];
                self.sliding = None;
                self.course.add(line, slides_px, sigma_px);
                self.learn();
                if self.course.again().is_some() {
                    Taken::Apart
                } else {
                    Taken::Read
                }
            }
        }
    }

    /// Leaves the line out.
    pub fn skip(&mut self) {
        if let Some(sliding) = self.sliding.take() {
            self.skipped[sliding.choice.line.seam] += 1;
        }
    }

    /// Goes back: to the slide from above, else to the line before; `false` where there
    /// is none.
    pub fn back(&mut self) -> bool {
        if let Some(sliding) = self.sliding.filter(|s| s.from_above.is_some()) {
            self.begin(sliding.choice);
            return true;
        }
        let Some(dropped) = self.course.undo() else {
            return false;
        };
        self.learn();
        self.begin(Choice {
            line: dropped.line,
            sigma_px: dropped.sigma_px * std::f64::consts::SQRT_2,
            gain: 0.0,
        });
        true
    }
}

fn fine(px: f64) -> f64 {
    (px / FINE_PX).round() * FINE_PX
}
