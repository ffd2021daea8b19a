//! What the eye sees when the pattern made for one rig is shown on panels that
//! stand as another says: as a picture and in figures.

mod breaks;
mod camera;
mod camera_error;
mod cause;
mod continued;
mod greedy;
mod render;
mod scene;
mod suspects;

pub use breaks::{Drawn, Reading, at_seams, at_seams_of_pieces, readings, worst};
pub use camera::{Camera, Framing, Projection, Ray};
pub use camera_error::CameraError;
pub use cause::{Cause, Causes, likeliest};
pub use continued::{Continued, continued, draw_continued};
pub use greedy::{Change, Explanation, LEAST_GAIN, Residuals, explanations, fitted};
pub use render::render;
pub use scene::Scene;
