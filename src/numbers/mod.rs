//! The numbers that a rig's owner types into other programs.
//!
//! Radians and millimetres, all told from the seat frame; see each type.

mod desktop;
mod fov;
mod frusta;
mod pixels;
mod seams;
mod views;
mod warp;
mod window;

pub use desktop::{DesktopPlace, desktop_places};
pub(crate) use fov::span_rad;
pub use fov::{Fov, fov};
pub use frusta::{Straying, ViewFrustum, frusta};
pub use pixels::{PixelRate, pixel_rate};
pub use seams::{SeamNumbers, seams};
pub use views::{ViewNumbers, views};
pub use warp::Warp;
pub use window::window_px;
