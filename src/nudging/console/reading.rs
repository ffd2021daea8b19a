//! Reading lines at the glass: a right part is slid until it continues the left one.

use super::{Console, Mode, Request};
use crate::nudging::guided::{Answer, Guided, Taken};
use crate::nudging::keys::{Key, Wish};
use crate::nudging::nudge::{Act, Effect, values};
use crate::nudging::walk::Step;
use crate::readings::{Eye, Readings, ReadingsError};
use crate::rig::{Measure, SeamQuantity, SeatQuantity};
use crate::solve::{Purpose, for_file};

/// Fine steps of a slide to a coarse one.
const COARSE: f64 = 16.0;

/// Whether a wish means something else while a line is read.
pub(super) fn is_of_reading(wish: Wish) -> bool {
    matches!(wish, Wish::Accept | Wish::Back | Wish::Act(_))
}

impl Console {
    /// Takes up readings that an earlier run took on this rig.
    ///
    /// # Errors
    ///
    /// Where they are another rig's, or of other numbers; `name` is what messages call
    /// them.
    pub fn resume_readings(&mut self, readings: Readings, name: &str) -> Result<(), ReadingsError> {
        let rig = self.nudging.now().clone();
        self.guided = Some(Guided::resumed(rig, readings, name)?);
        Ok(())
    }

    /// The readings so far, and the number of their course: 0 for an earlier run's.
    pub fn readings(&self) -> Option<(usize, &Readings)> {
        let guided = self.guided.as_ref()?;
        Some((self.courses, guided.course().readings()))
    }

    /// The course of readings of the rig as it is now.
    pub(super) fn readings_here(&self) -> Option<&Guided> {
        let guided = self.guided.as_ref();
        guided.filter(|guided| guided.course().rig() == self.nudging.now())
    }

    /// The course of readings that is on the glass.
    pub fn guided(&self) -> Option<&Guided> {
        self.guided.as_ref()
    }

    /// What the readings come to, sentence by sentence.
    pub fn advice(&self) -> &[String] {
        &self.advice
    }

    /// Puts a step's next line on the glass; `false` where there is none left.
    pub(super) fn enter_readings(&mut self, step: Step) -> bool {
        if self.readings_here().is_none() {
            return false;
        }
        let shown = self.guided.as_mut().is_some_and(|guided| guided.show(step));
        if shown {
            self.choose_read(step);
        }
        shown
    }

    /// Chooses the value that a step's line tells chiefly.
    fn choose_read(&mut self, step: Step) {
        let seam = self.guided.as_ref().and_then(Guided::seam);
        let (Some(seam), Some((purpose, _))) = (seam, step.reads()) else {
            return;
        };
        let value = match purpose {
            Purpose::Heights => Some(Measure::Seam(seam, SeamQuantity::Rise)),
            Purpose::Folds => Measure::turn(self.nudging.now().parts(), seam),
            Purpose::Distance => Some(Measure::Seat(SeatQuantity::Distance)),
            Purpose::Gaps => Some(Measure::Seam(seam, SeamQuantity::Gap)),
            Purpose::Whatever => None,
        };
        if let Some(value) = value {
            self.nudging.choose(value);
        }
    }

    /// Begins to read, or goes on.
    pub(super) fn begin_readings(&mut self, eye: Eye) -> Option<Request> {
        let goes_on = self
            .readings_here()
            .is_some_and(|guided| !guided.is_taken());
        if !goes_on {
            let now = self.nudging.now().clone();
            self.guided = Some(match &self.guided {
                Some(before) => before.once_more(now, eye),
                None => Guided::new(now, eye),
            });
            self.courses += 1;
        }
        let due = self.guided.as_ref().and_then(Guided::due);
        self.walk_to(due.unwrap_or(Step::Whole), 1);
        Some(Request::Words)
    }

    /// An answer by its digit, where one is asked for.
    pub(super) fn answer(&mut self, key: Key) -> Option<Request> {
        let Mode::Walk(step) = self.mode else {
            return None;
        };
        let Key::Char(digit @ '1'..='3') = key else {
            return None;
        };
        if step == Step::Head && digit == '2' {
            let request = self.begin_readings(Eye::HEADREST);
            return request.map(|_| Request::Ladders);
        }
        step.reads()?;
        self.message = None;
        self.is_answer = false;
        let answer = match digit {
            '1' => Answer::Higher,
            '3' => Answer::Lower,
            _ => return self.take_line(step).map(|_| Request::KeepReadings),
        };
        self.guided.as_mut()?.answer(answer);
        Some(Request::Ladders)
    }

    /// What a person does about the line on the glass.
    pub(super) fn read(&mut self, step: Step, wish: Wish) -> Option<Request> {
        match wish {
            Wish::Accept => self.take_line(step),
            Wish::Act(Act::Fine(by)) => self.slide_by(by),
            Wish::Act(Act::Coarse(by)) => self.slide_by(COARSE * by),
            Wish::Act(Act::Choose(by) | Act::ChoosePlace(by)) if by > 0 => {
                if let Some(guided) = &mut self.guided {
                    guided.skip();
                }
                self.walk_to(step, 1);
                Some(Request::Words)
            }
            Wish::Back | Wish::Act(Act::Choose(_) | Act::ChoosePlace(_)) => self.read_back(step),
            _ => None,
        }
    }

    pub(super) fn slide_by(&mut self, steps: f64) -> Option<Request> {
        self.message = None;
        self.is_answer = false;
        self.guided.as_mut()?.slide_by(steps);
        Some(Request::Ladders)
    }

    fn take_line(&mut self, step: Step) -> Option<Request> {
        let text = match self.guided.as_mut()?.take() {
            Taken::Nothing => return None,
            Taken::FromAbove => {
                self.message = Some("once more, now from below".to_owned());
                return Some(Request::Words);
            }
            Taken::Read => None,
            Taken::Apart => {
                Some("the two differ by more than an eye does: the same line once more")
            }
        };
        self.message = text.map(str::to_owned);
        self.walk_to(step, 1);
        Some(Request::KeepReadings)
    }

    fn read_back(&mut self, step: Step) -> Option<Request> {
        if self.guided.as_mut()?.back() {
            let due = self.guided.as_ref().and_then(Guided::due);
            let step = due.filter(|_| self.guided.as_ref().is_some_and(|g| !g.is_second()));
            if let Some(step) = step {
                self.mode = Mode::Walk(step);
                self.walk_at = step;
                self.choose_read(step);
            }
            return Some(Request::KeepReadings);
        }
        let before = Step::ALL.into_iter().take_while(|known| *known != step);
        let before = before.filter(|step| step.reads().is_none()).last();
        self.walk_to(before.unwrap_or(Step::Head), -1);
        Some(Request::Words)
    }

    /// Whether there are solved numbers that the rig hasn't.
    pub(super) fn has_numbers(&self) -> bool {
        let guided = self.readings_here();
        guided.is_some_and(|guided| {
            !guided.is_taken() && !guided.course().readings().readings.is_empty()
        })
    }

    pub(super) fn sum_up(&mut self) {
        self.advice = match self.readings_here() {
            Some(guided) if self.has_numbers() => {
                let course = guided.course();
                let how = "with Enter, then S";
                course.advice().steps(&course.readings().readings, how)
            }
            _ => Vec::new(),
        };
    }

    /// Takes the solved numbers into the rig, as nudges that can be undone.
    pub(super) fn take_numbers(&mut self) -> Option<Request> {
        let now = self.nudging.now();
        let solved = self.guided.as_ref()?.course().estimate().rig();
        let numbers: Vec<(Measure, f64)> = match for_file(solved, now) {
            Ok(rig) => values(now.parts())
                .into_iter()
                .filter_map(|value| Some((value, value.get(rig.parts())?)))
                .filter(|(value, number)| value.get(now.parts()) != Some(*number))
                .collect(),
            Err(why) => {
                self.message = Some(why);
                return Some(Request::Words);
            }
        };
        let effect = self.nudging.put(&numbers);
        if let Effect::Refused(flaw) = effect {
            self.message = Some(format!("the solved numbers make no rig: {}", flaw.text));
            return Some(Request::Words);
        }
        if let Some(guided) = &mut self.guided {
            guided.note_taken(self.nudging.now().clone());
        }
        self.advice.clear();
        self.message = Some(
            "the solved numbers are taken: S saves them, Backspace undoes them, G reads once more"
                .to_owned(),
        );
        Some(Request::Picture)
    }
}

#[cfg(test)]
mod tests;
