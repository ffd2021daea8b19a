//! The rig: what stands on the desk, as its owner measured it.

mod model;

pub use model::{Bezel, Panel, Parts, Rig, Seam, Seat, Size, Turn, ViewId};
