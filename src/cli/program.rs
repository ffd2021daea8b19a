//! What another program draws.

use throughline::fit::Program;
use throughline::program::ProgramDrawing;
use throughline::rig::Rig;

use crate::files::Failure;

/// What a program with one camera a screen draws for.
pub(super) fn drawing(rig: &Rig, program: &Program) -> Result<ProgramDrawing, Failure> {
    ProgramDrawing::new(rig, program)
        .map_err(|flaw| Failure::new(format!("no program can draw these flat views: {flaw}")))
}
