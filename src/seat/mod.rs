//! What the eye sees when the pattern made for one rig is shown on panels that
//! stand as another says: as a picture and in figures.

mod breaks;
mod camera;
mod camera_error;
mod cause;
mod render;
mod scene;

pub use breaks::{Drawn, Reading, at_seams, at_seams_of_views, readings, worst};
pub use camera::{Camera, Framing, Projection, Ray};
pub use camera_error::CameraError;
pub use cause::{Cause, likeliest};
pub use render::render;
pub use scene::Scene;
