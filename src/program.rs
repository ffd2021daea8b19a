//! What a program with one camera a screen draws on a rig's canvas, in its views or in its
//! window.

use crate::fit::{FlatViews, Program, WindowRig, program_rig};
use crate::pattern::{Guides, Layers, Pattern};
use crate::rig::{Flaw, PxRect, Rig};
use crate::seat::{Drawn, at_seams_of_pieces};
use crate::typeset::Typesetter;

/// What a program draws for.
#[derive(Debug, Clone, PartialEq)]
pub struct ProgramDrawing {
    /// Each panel is a part of one of its screens.
    rig: Rig,
    /// How many of them each real panel shows.
    pieces: Vec<usize>,
    /// From its frame to the seat's, about the vertical, to the right.
    heading_rad: f64,
    black: Vec<PxRect>,
}

impl ProgramDrawing {
    /// What a program draws for `rig`.
    ///
    /// # Errors
    ///
    /// The [`Flaw`] of numbers that make no rig.
    pub fn new(rig: &Rig, program: &Program) -> Result<ProgramDrawing, Flaw> {
        match program {
            Program::Views(model) => Ok(ProgramDrawing {
                rig: program_rig(rig, model)?,
                pieces: rig
                    .panels()
                    .iter()
                    .map(|panel| panel.views as usize)
                    .collect(),
                heading_rad: 0.0,
                black: Vec::new(),
            }),
            Program::Window(window, model) => {
                let drawn = WindowRig::new(rig, window, model)?;
                Ok(ProgramDrawing {
                    rig: drawn.rig,
                    pieces: drawn.pieces,
                    heading_rad: drawn.heading_rad,
                    black: drawn.black,
                })
            }
        }
    }

    /// The pattern along guides of the real rig, as the program draws it. Its lines' planes
    /// stand in the frame of [`ProgramDrawing::at_seams`].
    pub fn pattern(&self, guides: &Guides, layers: Layers, typesetter: &mut Typesetter) -> Pattern {
        let guides = guides.turned(self.heading_rad);
        let pattern = Pattern::new(&self.rig, &guides, layers.guides(), typesetter);
        pattern.blackened(&self.black)
    }

    /// The surfaces that it is drawn for at the real rig's seams.
    pub fn at_seams(&self) -> Drawn {
        at_seams_of_pieces(self.rig.layout(), &self.pieces)
    }
}

impl Program {
    /// The screens.
    pub fn screens(&self) -> &FlatViews {
        match self {
            Program::Views(model) => model,
            Program::Window(_, model) => &model.flat,
        }
    }
}
