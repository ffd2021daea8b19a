//! What a rig is made of, as plain data: panels, seams and the seat, the list of
//! their numbers, the canvas that they share, and what can be wrong with them.

mod canvas;
mod flaw;
pub(crate) mod limits;
mod measure;
mod misread;
mod model;
mod plain;
mod quantity;
mod unit;
mod window;
pub(crate) mod words;

pub use canvas::{Canvas, PxRect};
pub use flaw::{Flaw, Subject, Table};
pub use limits::Limit;
pub use measure::Measure;
pub use misread::Misread;
pub use model::{Bezel, Panel, Parts, Seam, Seat, Size, Turn, ViewId};
pub use quantity::{PanelQuantity, SeamQuantity, SeatQuantity, Spec};
pub(crate) use unit::MM_PER_INCH;
pub use unit::Unit;
pub use window::{Ahead, Window};
