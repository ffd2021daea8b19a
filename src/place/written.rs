//! A plan as a rig file.

use super::plan::Plan;
use crate::rig::{self, Rig};

/// The rig.
pub fn written(_text: &str, _rig: &Rig, plan: &Plan) -> String {
    rig::write(&plan.rig)
}
