//! Plans for people.

use super::plans::Plans;
use crate::rig::Rig;

/// All plans.
pub fn words(_rig: &Rig, plans: &Plans) -> String {
    format!("{plans:#?}")
}
