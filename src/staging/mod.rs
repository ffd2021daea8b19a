//! What windows go by, without being windows: what falls due when, when words
//! stand, what the mouse does, and how windows settle where they belong.

mod deadlines;
mod pointer;
mod settling;
mod visibility;

pub use deadlines::Deadlines;
pub use pointer::{Pointer, PointerAt, Scroll};
pub use settling::{Look, SETTLE, Settling, Step};
pub use visibility::{Need, Visibility};
