//! The rig that another program draws for.

use throughline::fit::{FlatViews, program_rig};
use throughline::rig::Rig;

use crate::files::Failure;

/// The rig that a program with one camera a screen draws for.
pub(super) fn rig(rig: &Rig, model: &FlatViews) -> Result<Rig, Failure> {
    program_rig(rig, model)
        .map_err(|flaw| Failure::new(format!("no program can draw these flat views: {flaw}")))
}
