//! The rig as other programs model it, and how well such a model can match it.
//!
//! Both fits minimise the rms, over all pixels alike, of the angle between the
//! direction in which the eye sees a pixel and that in which the model has it.

mod change;
mod drawn_as;
mod eye_level;
mod figures;
mod flat_views;
mod flat_views_fit;
mod free;
mod program_rig;
mod samples;
mod shown;
mod single_view;
mod typed;
mod window_fit;
mod window_model;
mod window_rig;
mod worst;

pub use change::{GOOD_RAD, Improvement, USABLE_RAD};
pub use drawn_as::{DrawnAs, Program};
pub use eye_level::{EyeLevel, eye_level_row, level_step};
pub use figures::Figures;
pub use flat_views::{FlatViews, Screen};
pub use flat_views_fit::FlatViewsFit;
pub use free::Free;
pub use program_rig::program_rig;
pub use single_view::{SingleView, SingleViewFit};
pub use typed::Typed;
pub use window_fit::WindowFit;
pub use window_model::WindowModel;
pub use window_rig::WindowRig;
pub use worst::Worst;

pub(crate) use figures::jump;
pub(crate) use flat_views_fit::{Moving, shift};
pub(crate) use shown::{Frame, Nodes, Shown};
pub(crate) use window_fit::{Numbers, is_turn_at_limit, own_in_window, shown_in, turn_unknown};
