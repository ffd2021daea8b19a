//! The rig as other programs model it, and how well such a model can match it.
//!
//! Both fits minimise the rms, over all pixels alike, of the angle between the
//! direction in which the eye sees a pixel and that in which the model has it.

mod change;
mod drawn_as;
mod eye_level;
mod flat_views;
mod flat_views_fit;
mod free;
mod program_rig;
mod samples;
mod single_view;
mod typed;
mod worst;

pub use change::{GOOD_RAD, Improvement, USABLE_RAD};
pub use drawn_as::DrawnAs;
pub use eye_level::{EyeLevel, eye_level_row, level_step};
pub use flat_views::{FlatViews, Screen};
pub use flat_views_fit::FlatViewsFit;
pub use free::Free;
pub use program_rig::program_rig;
pub use single_view::{SingleView, SingleViewFit};
pub use typed::Typed;
pub use worst::Worst;
