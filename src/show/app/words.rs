//! The words over the pattern: when they are there, and where.

use std::time::Instant;

use throughline::glass::{Stand, cap_px, notice};
use throughline::nudging::{Mode, complaint_box, main_box};
use throughline::pattern::Layer;
use throughline::rig::PxRect;
use throughline::staging::Need;

use super::App;
use super::edited::Edited;
use crate::show::stage::facing_pitch_mm;

impl App {
    /// How long there is something to be read.
    pub(super) fn need(&self) -> Need {
        if self.console.is_off() {
            Need::Never
        } else if self.console.is_waiting() {
            Need::UntilAnswered
        } else {
            Need::AWhile
        }
    }

    /// Puts the words over the windows, as they are due.
    pub(super) fn put_words(&mut self) {
        let has_words = self.visibility.put(self.need(), Instant::now());
        let Some(stage) = &mut self.stage else {
            return;
        };
        let rig = self.console.nudging.shown();
        let Some((index, area)) = stage.words_area(rig) else {
            return;
        };
        let cap = cap_px(facing_pitch_mm(rig), area.h);
        let reports = if self.console.layers().has(Layer::Scaling) {
            stage.reports(rig)
        } else {
            Vec::new()
        };
        let glass = &stage.panes[index].glass;
        let seen = self.drawing.to_be_seen();
        let mut taken: Vec<PxRect> = seen.flat_map(|area| glass.shown(area)).collect();
        let (picture, typesetter) = self.drawing.picture_and_type();
        let mut boxes = Vec::new();
        if has_words {
            let lines = main_box(
                &self.console,
                self.pointer.hover,
                self.visibility.is_start(),
                &self.offer,
                &reports,
            );
            let stand = match self.console.mode() {
                Mode::Nudge | Mode::Rungs(..) | Mode::Walk(..) | Mode::Moving(..) => Stand::Bottom,
                _ => Stand::Middle,
            };
            let words = notice(&lines, area, cap, stand, &taken, typesetter);
            taken.extend(words.iter().map(|words| words.area));
            boxes.extend(words);
        }
        let mut complaints = stage.complaints();
        complaints.extend(self.remarks.iter().cloned());
        if let Some(Edited::Unreadable(why)) = &self.edited {
            complaints.push(why.clone());
        }
        if complaints != self.complaints {
            self.console.bring_complaints_back();
            self.complaints = complaints;
        }
        if !self.console.is_off()
            && !self.console.is_answer_alone()
            && !self.console.are_complaints_away()
        {
            let lines = complaint_box(&self.complaints);
            boxes.extend(notice(&lines, area, cap, Stand::Top, &taken, typesetter));
        }
        for (at, pane) in stage.panes.iter_mut().enumerate() {
            let boxes = if at == index {
                std::mem::take(&mut boxes)
            } else {
                Vec::new()
            };
            pane.glass.overlay(picture, boxes);
        }
    }
}
