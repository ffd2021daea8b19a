//! The rig: what stands on the desk, as its owner measured it.
//!
//! A rig file's text becomes a tree with places, the command line's settings
//! change that tree, the tree becomes [`Parts`], and the parts, once checked,
//! are a [`Rig`].

mod check;
mod checked;
mod demos;
mod document;
mod edit;
mod edit_plan;
mod error;
mod figures;
mod read;
mod settings;
mod slips;
mod toml_text;
pub(crate) mod turns;
mod window;
mod write;

pub(crate) use figures::on_its_side;

pub use checked::Rig;
pub use demos::{Demo, demos};
pub use edit::{EditError, with_values_of};
pub use edit_plan::with_plan_of;
pub use error::{Place, ReadError};
pub use read::{MAX_TEXT_BYTES, read};
pub(crate) use write::window_values;
pub use write::write;

pub use crate::parts::words::visible;
pub use crate::parts::{
    Ahead, Bezel, Canvas, Flaw, Limit, Measure, Misread, Panel, PanelQuantity, Parts, PxRect, Seam,
    SeamQuantity, Seat, SeatQuantity, Size, Spec, Subject, Table, Turn, Unit, ViewId, Window,
};
