//! What a person does at the glass, one key or movement at a time.
//!
//! Nothing here knows a window or a file: whoever runs the console carries out
//! its [`Request`]s and tells it how they went.

mod cautious;
mod choosing;
mod mode;
mod moving;
mod program;
mod reading;
mod seen;

use reading::is_of_reading;

pub use mode::{Caution, Mode, Moving, Request, RungChoice};

use crate::pattern::{Fineness, Layers, Motion};
use crate::readings::Eye;
use crate::rig::{Measure, Rig};

use super::as_program::AsProgram;
use super::guided::Guided;
use super::keys::{Key, Wish, wish};
use super::meaning::place_name;
use super::nudge::{Act, Effect, Nudging};
use super::walk::Step;

/// The person's side of `show`.
#[derive(Debug, Clone)]
pub struct Console {
    /// The rig being nudged.
    pub nudging: Nudging,
    mode: Mode,
    is_off: bool,
    message: Option<String>,
    /// Whether the message is the answer to a request, which is said whatever is off.
    is_answer: bool,
    are_complaints_away: bool,
    /// The seam chosen last, whose ladders are seen; every seam's where nobody is there
    /// to choose.
    seam: Option<usize>,
    fineness: Fineness,
    speed_deg_s: f64,
    guided: Option<Guided>,
    /// How many courses of readings were begun.
    courses: usize,
    /// What the readings come to, once they are all taken.
    advice: Vec<String>,
    /// The step that the walk was left at.
    walk_at: Step,
    program: Option<AsProgram>,
    /// Where more is to be read.
    manual: Option<String>,
}

impl Console {
    /// A console that offers an earlier run's nudges, if there are any.
    pub fn new(nudging: Nudging, offered: Vec<(Measure, f64)>) -> Console {
        let mode = if offered.is_empty() {
            Mode::Nudge
        } else {
            Mode::Offer(offered)
        };
        let mut console = Console {
            nudging,
            mode,
            is_off: false,
            message: None,
            is_answer: false,
            are_complaints_away: false,
            seam: None,
            fineness: Fineness::Coarse,
            speed_deg_s: Motion::default().speed_deg_s,
            guided: None,
            courses: 0,
            advice: Vec::new(),
            walk_at: Step::Sizes,
            program: None,
            manual: None,
        };
        console.follow();
        console
    }

    /// The same with every seam's ladders, until something is chosen or changed: for a run
    /// that nobody watches.
    pub fn unattended(self) -> Console {
        Console { seam: None, ..self }
    }

    /// What lies over the pattern.
    pub fn mode(&self) -> &Mode {
        &self.mode
    }

    /// Whether the words were switched off. What a person opened stays visible, and
    /// so does the answer to a request.
    pub fn is_off(&self) -> bool {
        self.is_off && self.mode == Mode::Nudge && !self.is_answer
    }

    /// Whether nothing but the answer to a request is to be said.
    pub fn is_answer_alone(&self) -> bool {
        self.is_off && self.mode == Mode::Nudge && self.is_answer
    }

    /// Whether the complaints were put away.
    pub fn are_complaints_away(&self) -> bool {
        self.are_complaints_away
    }

    /// The complaints are others than those put away.
    pub fn bring_complaints_back(&mut self) {
        self.are_complaints_away = false;
    }

    /// Whether something waits for an answer, so that the words must not hide.
    pub fn is_waiting(&self) -> bool {
        !matches!(self.mode, Mode::Nudge | Mode::Moving(..))
    }

    /// The last thing that went well or wrong.
    pub fn message(&self) -> Option<&str> {
        self.message.as_deref()
    }

    /// Says how a request went.
    pub fn say(&mut self, message: String) {
        self.message = Some(message);
        self.is_answer = true;
    }

    /// The rig as nudged was saved; `said` tells where.
    pub fn saved(&mut self, said: String) {
        self.nudging.note_saved();
        self.say(said);
    }

    /// Somebody else has edited the rig file, which can be read. Gives whether it
    /// asks what to do: an offer is answered first.
    pub fn ask_of_edit(&mut self) -> bool {
        let is_free = !matches!(self.mode, Mode::Offer(_));
        if is_free {
            self.mode = Mode::Edited;
        }
        is_free
    }

    /// The rig file says again what it was known to say.
    pub fn forget_edit(&mut self) {
        if self.mode == Mode::Edited {
            self.mode = Mode::Nudge;
        }
    }

    /// Goes on with the rig that the file says now. What was nudged and not saved is
    /// on offer, as far as this rig has such values; gives whether anything is.
    pub fn go_on_with(&mut self, rig: Rig, program: Option<AsProgram>) -> bool {
        self.program = program;
        let mut offered = self.nudging.unsaved();
        offered.retain(|(value, number)| {
            let said = value.get(rig.parts());
            said.is_some_and(|said| said != *number)
        });
        let has_nudges = !offered.is_empty();
        let chosen = self.nudging.chosen();
        self.nudging = Nudging::new(rig, self.nudging.layers());
        self.nudging.choose(chosen);
        let seams = self.nudging.now().seams().len();
        self.seam = self.seam.filter(|&seam| seam < seams);
        self.follow();
        self.mode = if has_nudges {
            Mode::Offer(offered)
        } else {
            Mode::Nudge
        };
        has_nudges
    }

    /// Keeps to the seam that is chosen.
    fn follow(&mut self) {
        if let Measure::Seam(seam, _) = self.nudging.chosen() {
            self.seam = Some(seam);
        }
    }

    /// A key was pressed. What it changes while it is held counts as one change.
    pub fn press(&mut self, key: Key) -> Option<Request> {
        self.nudging.end_hold();
        if let Some(request) = self.answer(key) {
            return Some(request);
        }
        let Some(wish) = wish(key) else {
            return self.obey_none();
        };
        if matches!(wish, Wish::Act(Act::Fine(_) | Act::Coarse(_))) {
            self.nudging.begin_hold();
        }
        self.obey(wish)
    }

    /// A key is held down, and is heard again.
    pub fn repeat(&mut self, key: Key) -> Option<Request> {
        let wish = wish(key)?;
        // Others would flicker, write many files, or answer what is asked next.
        let may_repeat = matches!(
            wish,
            Wish::Act(
                Act::Fine(_)
                    | Act::Coarse(_)
                    | Act::Choose(_)
                    | Act::ChoosePlace(_)
                    | Act::Undo
                    | Act::Redo
            )
        );
        if may_repeat { self.obey(wish) } else { None }
    }

    fn obey(&mut self, wish: Wish) -> Option<Request> {
        let before = self.seen();
        let request = self.obeyed(wish);
        if matches!(wish, Wish::Act(_) | Wish::Rungs) {
            self.follow();
        }
        match request {
            None | Some(Request::Words) if self.seen() != before => Some(Request::Ladders),
            request => request,
        }
    }

    fn obeyed(&mut self, wish: Wish) -> Option<Request> {
        self.message = None;
        self.is_answer = false;
        let has_numbers = self.has_numbers();
        match (&mut self.mode, wish) {
            (_, Wish::Quit) => Some(Request::Quit),
            (Mode::Offer(offered), Wish::Accept) => {
                let offered = std::mem::take(offered);
                self.mode = Mode::Nudge;
                let refused = self.take_up(&offered);
                self.message = Some(if refused.is_empty() {
                    "taken up; S saves them".to_owned()
                } else {
                    format!(
                        "not taken up, since they make no rig any more: {}",
                        refused.join(", ")
                    )
                });
                Some(Request::KeepJournal)
            }
            (Mode::Offer(_), Wish::Act(Act::ResetOne)) => {
                self.mode = Mode::Nudge;
                Some(Request::DropJournal)
            }
            (Mode::Edited, Wish::Accept) => Some(Request::Reload),
            (Mode::Edited, Wish::Act(Act::ResetOne)) => {
                self.mode = Mode::Nudge;
                Some(Request::KeepNudges)
            }
            // Anything else would mix new nudges with what is on offer.
            (Mode::Offer(_) | Mode::Edited, _) => None,
            (Mode::Moving(_), Wish::Act(Act::Fine(by))) => self.change_speed(by),
            (Mode::Moving(_), Wish::Act(Act::Coarse(by))) => self.change_speed(10.0 * by),
            (Mode::Moving(moving), _) => {
                let walk = moving.walk;
                self.stop_moving(walk);
                Some(Request::Words)
            }
            (Mode::Caution(caution), wish) => {
                let caution = *caution;
                self.answer_caution(caution, wish)
            }
            (Mode::Walk(Step::Refresh), Wish::Move) => {
                self.start_moving(Layers::NONE);
                Some(Request::Words)
            }
            (Mode::Walk(_), Wish::Move | Wish::Marks) => None,
            (_, Wish::Move) => self.caution(Caution::Motion),
            (_, Wish::Marks) => self.marks(),
            (Mode::Rungs(choice), Wish::Act(Act::Fine(by) | Act::Coarse(by))) => {
                let last = choice.rungs.len().saturating_sub(1);
                let down = -by.signum() as isize;
                choice.at = choice.at.saturating_add_signed(down).min(last);
                Some(Request::Words)
            }
            (Mode::Rungs(choice), Wish::Accept) => {
                let number = choice.rungs.get(choice.at).map(|rung| rung.number);
                self.mode = Mode::Nudge;
                let effect = self.nudging.set(number?);
                let request = self.carry_out(effect);
                if self.fineness == Fineness::Coarse && self.message.is_none() {
                    self.fineness = Fineness::Fine;
                    self.message = Some(
                        "taken; the rungs are fine now: L, and read once more (F: coarse ones)"
                            .to_owned(),
                    );
                }
                request
            }
            (Mode::Rungs(..), Wish::Rungs | Wish::Close) => {
                self.mode = Mode::Nudge;
                Some(Request::Words)
            }
            (Mode::Rungs(..), Wish::Fineness) => {
                self.fineness = self.fineness.other();
                self.open_rungs()
            }
            (_, Wish::Fineness) => {
                self.fineness = self.fineness.other();
                let text = match self.fineness {
                    Fineness::Coarse => "coarse rungs, for a first reading",
                    Fineness::Fine => "fine rungs, for the last reading",
                };
                self.message = Some(text.to_owned());
                Some(Request::Words)
            }
            (Mode::Walk(step), wish) if step.reads().is_some() && is_of_reading(wish) => {
                let step = *step;
                self.read(step, wish)
            }
            (Mode::Walk(Step::Head), Wish::Accept) => self.begin_readings(Eye::PEEP_CARD),
            (Mode::Walk(Step::Whole), Wish::Accept) if has_numbers => self.take_numbers(),
            (Mode::Walk(step), Wish::Accept | Wish::Back) => {
                let by = if wish == Wish::Accept { 1 } else { -1 };
                match step.onward(by) {
                    Some(step) => self.walk_to(step, by),
                    None if wish == Wish::Accept => self.leave_walk("that was the walk; S saves"),
                    None => {}
                }
                Some(Request::Words)
            }
            (Mode::Walk(Step::Sizes), Wish::Act(Act::ChoosePlace(by))) => {
                self.choose_size(by);
                Some(Request::Words)
            }
            (Mode::Walk(Step::Sizes), Wish::Act(Act::Choose(_))) => {
                self.choose_other_size();
                Some(Request::Words)
            }
            // What such a step doesn't show must not change unseen.
            (Mode::Walk(step), Wish::Act(act))
                if *step != Step::Sizes || matches!(act, Act::Toggle(_)) =>
            {
                None
            }
            (Mode::Walk(_), Wish::Walk | Wish::Close) => {
                self.leave_walk("W takes the walk up again");
                Some(Request::Words)
            }
            (_, Wish::Walk) => {
                self.walk_to(self.walk_at, 1);
                Some(Request::Words)
            }
            (_, Wish::Read) => {
                let due = self.readings_here().and_then(Guided::due);
                self.walk_to(due.unwrap_or(Step::Head), 1);
                Some(Request::Words)
            }
            (_, Wish::Help) => {
                self.mode = match self.mode {
                    Mode::Keys => Mode::Errors,
                    Mode::Errors => Mode::Nudge,
                    _ => Mode::Keys,
                };
                Some(Request::Words)
            }
            (Mode::Keys | Mode::Errors, Wish::Close | Wish::Accept) => {
                self.mode = Mode::Nudge;
                Some(Request::Words)
            }
            (_, Wish::Act(act)) => {
                if matches!(self.mode, Mode::Rungs(..)) {
                    self.mode = Mode::Nudge;
                }
                let effect = self.nudging.act(act);
                self.tell(act, &effect);
                self.carry_out(effect)
            }
            (_, Wish::Rungs) => self.open_rungs(),
            // They show the rig's own lines.
            (Mode::Walk(_), Wish::Program) => None,
            (_, Wish::Program) => self.change_program(),
            (_, Wish::Save) => Some(Request::Save),
            (_, Wish::Capture) => Some(Request::Capture),
            (_, Wish::Words) => {
                self.is_off = !self.is_off;
                Some(Request::Words)
            }
            (_, Wish::Complaints) => {
                self.are_complaints_away = !self.are_complaints_away;
                Some(Request::Words)
            }
            (_, Wish::Close) => {
                self.message = Some("Q quits".to_owned());
                Some(Request::Words)
            }
            (_, Wish::Accept | Wish::Back) => None,
        }
    }

    /// Takes numbers up, all at once or else those that go one by one. Gives
    /// what is left.
    fn take_up(&mut self, numbers: &[(Measure, f64)]) -> Vec<String> {
        if !matches!(self.nudging.put(numbers), Effect::Refused(_)) {
            return Vec::new();
        }
        let mut refused = Vec::new();
        for (value, number) in numbers {
            if let Effect::Refused(_) = self.nudging.put(&[(*value, *number)]) {
                let parts = self.nudging.now().parts();
                let place = place_name(*value, parts);
                refused.push(format!(
                    "{place}: {} {}",
                    value.spec().name,
                    value.spec().show(*number)
                ));
            }
        }
        refused
    }

    /// The wheel turned, or the mouse was dragged, by this many fine steps.
    pub fn turn(&mut self, steps: f64) -> Option<Request> {
        if matches!(self.mode, Mode::Offer(_) | Mode::Edited) || steps == 0.0 {
            return None;
        }
        let is_unseen = match self.mode {
            Mode::Walk(step) => step != Step::Sizes,
            Mode::Caution(_) | Mode::Moving(_) => true,
            _ => false,
        };
        if let Mode::Walk(step) = self.mode
            && step.reads().is_some()
        {
            return self.slide_by(steps);
        }
        if is_unseen {
            return None;
        }
        if let Mode::Rungs(..) = self.mode {
            return self.press(if steps > 0.0 { Key::Up } else { Key::Down });
        }
        self.message = None;
        self.is_answer = false;
        self.nudging.end_hold();
        let effect = self.nudging.act(Act::Fine(steps));
        self.carry_out(effect)
    }

    fn tell(&mut self, act: Act, effect: &Effect) {
        let text = match (act, effect) {
            (Act::Undo, Effect::None) => "nothing to undo",
            (Act::Redo, Effect::None) => "nothing to redo",
            (Act::ResetOne | Act::ResetAll, Effect::None) => "already as loaded",
            (Act::Sides, Effect::None) => "that goes by a panel's diagonal: choose one that has it",
            (Act::Sides, _) => "width and height now: Left and Right choose, and S writes them",
            (Act::Undo, _) => "undone",
            (Act::Redo, _) => "redone",
            (Act::ResetOne | Act::ResetAll, _) => "as loaded again",
            _ => return,
        };
        self.message = Some(text.to_owned());
    }

    fn carry_out(&mut self, effect: Effect) -> Option<Request> {
        match effect {
            Effect::None | Effect::Words => Some(Request::Words),
            Effect::Picture => Some(Request::Picture),
            Effect::Refused(flaw) => {
                self.message = Some(format!("no further: {}", flaw.text));
                Some(Request::Picture)
            }
        }
    }
}

#[cfg(test)]
mod tests;
