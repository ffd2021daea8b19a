//! From marks to pixels: exact area coverage, blended in linear light.

mod coverage;
mod draw;
mod filter;
mod picture;

pub use coverage::HalfPlane;
pub use draw::{changed, draw};
pub use filter::Footprint;
pub use picture::Picture;
