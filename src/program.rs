//! What a program with one camera a screen draws on a rig's canvas, in its views or in its
//! window.

use glam::DVec3;

use crate::fit::{FlatViews, Program, WindowRig, program_rig};
use crate::geometry::Layout;
use crate::pattern::{Guides, Layers, Line, Pattern};
use crate::rig::{Flaw, PxRect, Rig};
use crate::seat::{Drawn, Reading, at_seams_of_pieces, readings};
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
    /// Rows of each real panel, from and to, that it draws on.
    rows: Vec<[f64; 2]>,
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
                rows: (rig.panels().iter())
                    .map(|panel| [0.0, f64::from(panel.pixels[1])])
                    .collect(),
            }),
            Program::Window(window, model) => {
                let drawn = WindowRig::new(rig, window, model)?;
                Ok(ProgramDrawing {
                    rig: drawn.rig,
                    pieces: drawn.pieces,
                    heading_rad: drawn.heading_rad,
                    black: drawn.black,
                    rows: drawn.rows,
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

    /// Every line's break at every seam both of whose lit edges it reaches in what is
    /// drawn: see [`readings`].
    pub fn readings(&self, built: &Layout, lines: &[Line], eye: DVec3) -> Vec<Reading> {
        let at_seams = self.at_seams();
        let is_drawn = |reading: &Reading| {
            let line = lines.iter().find(|line| line.name == reading.line);
            let [left, right] = &at_seams[reading.seam];
            let edges = [(left, left.pixels[0], 0), (right, 0.0, 1)];
            line.is_some_and(|line| {
                edges.iter().all(|&(surface, column, side)| {
                    let [from, to] = self.rows[reading.seam + side];
                    let row = surface.py_on(line.plane, column);
                    row.is_some_and(|row| (from..=to).contains(&row))
                })
            })
        };
        let mut found = readings(&at_seams, built, lines, eye);
        found.retain(is_drawn);
        found
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
