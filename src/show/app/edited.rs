//! A rig file that somebody else edits while it is on the glass.

use throughline::glass::Drawing;
use throughline::nudging::{AsProgram, EDITED};
use throughline::rig::Rig;

use super::App;
use super::moving::choices;
use crate::files::{Look, tell};

/// What another has made of the rig file.
pub(super) enum Edited {
    /// A rig, which is on offer.
    Rig {
        text: String,
        rig: Box<Rig>,
        program: Option<AsProgram>,
        is_asked: bool,
    },
    /// Nothing that can be shown, and why.
    Unreadable(String),
}

impl App {
    /// Looks whether the file is another, and asks what to do.
    pub(super) fn look_at_file(&mut self) {
        let look = self.store.look();
        if look == Some(Look::AsKnown) && self.edited.take().is_some() {
            self.console.forget_edit();
            // The mode may have changed, and with it what is drawn.
            self.is_picture_due = true;
            self.words_changed();
        }
        if let Some(Look::Edited(text)) = look {
            self.console.forget_edit();
            self.edited = Some(self.read(text));
            self.words_changed();
        }
        if let Some(Edited::Rig { is_asked, .. }) = &mut self.edited
            && !*is_asked
            && self.console.ask_of_edit()
        {
            *is_asked = true;
            self.is_picture_due = true;
            tell(EDITED);
            self.words_changed();
        }
    }

    fn read(&self, text: String) -> Edited {
        match (self.reader)(&text) {
            Ok((rig, program)) => Edited::Rig {
                text,
                rig: Box::new(rig),
                program,
                is_asked: false,
            },
            Err(error) => {
                let why = format!("{EDITED}, and is not shown: {error}");
                tell(&why);
                Edited::Unreadable(why)
            }
        }
    }

    fn words_changed(&mut self) {
        self.follow_sweep();
        self.are_words_due = true;
        self.redraw();
    }

    /// Goes on with the rig that the file says now.
    pub(super) fn reload(&mut self) {
        let Some(Edited::Rig {
            text, rig, program, ..
        }) = self.edited.take()
        else {
            return;
        };
        let has_nudges = self.console.go_on_with((*rig).clone(), program);
        let choices = choices(&self.console, None);
        let (layers, program) = (self.console.layers(), self.console.program());
        self.drawing = Drawing::new(&rig, layers, choices, program);
        self.store.go_by(text, &rig, has_nudges);
        "The rig file has been changed since they were made.".clone_into(&mut self.offer);
        self.is_laid_out = false;
        self.console
            .say("this is the rig as the file says now".to_owned());
    }

    /// Keeps to the rig on the glass; saving goes over the other's text.
    pub(super) fn keep_nudges(&mut self) {
        if let Some(Edited::Rig { text, .. }) = self.edited.take() {
            self.store.keep_to_own(&text);
        }
    }
}
