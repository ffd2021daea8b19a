//! What a rig is made of, as plain data: panels, seams and the seat, the canvas
//! that they share, and what can be wrong with them.

mod canvas;
mod flaw;
pub(crate) mod limits;
mod model;
pub(crate) mod words;

pub use canvas::{Canvas, PxRect};
pub use flaw::{Flaw, Subject, Table};
pub use model::{Bezel, Panel, Parts, Seam, Seat, Size, Turn, ViewId};
