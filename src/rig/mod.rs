//! The rig: what stands on the desk, as its owner measured it.
//!
//! A rig file's text becomes a tree with places, the command line's settings
//! change that tree, the tree becomes [`Parts`], and the parts, once checked,
//! are a [`Rig`].

mod canvas;
mod check;
mod demos;
mod document;
mod error;
mod flaw;
mod limits;
mod model;
mod read;
mod settings;
mod toml_text;
mod words;
mod write;

pub use canvas::{Canvas, PxRect};
pub use demos::{Demo, demos};
pub use error::{Place, ReadError};
pub use flaw::{Flaw, Subject, Table};
pub use model::{Bezel, Panel, Parts, Rig, Seam, Seat, Size, Turn, ViewId};
pub use read::{MAX_TEXT_BYTES, read};
pub use write::write;
