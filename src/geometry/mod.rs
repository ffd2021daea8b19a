//! Where the rig's surfaces stand around the eye, and what a straight line
//! looks like on them.
//!
//! The seat frame is right-handed, in millimetres: the eye is the origin, +x
//! points right, +y up against gravity and −z ahead.

mod breaks;
mod dark;
mod direction;
mod frustum;
mod layout;
mod plane;
mod region;
mod surface;
mod view;

pub use breaks::{LineBreak, continuation, edge_break, line_break};
pub(crate) use dark::{edge_heights_mm, shared_heights_mm};
pub use direction::{azimuth, direction, elevation};
pub use frustum::Frustum;
pub use layout::Layout;
pub use plane::EyePlane;
pub use region::{Region, Ruling, regions};
pub use surface::{LitEdge, Surface};
pub use view::View;
