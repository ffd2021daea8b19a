//! What windows go by, without being windows: what falls due when, the clock of what
//! moves, when words stand, what the mouse does, and how windows settle where they
//! belong.

mod beat;
mod deadlines;
mod pointer;
mod settling;
mod visibility;

pub use beat::Beat;
pub use deadlines::Deadlines;
pub use pointer::{Pointer, PointerAt, Scroll};
pub use settling::{Look, SETTLE, Settling, Step};
pub use visibility::{Need, Visibility};
