//! From marks to pixels: exact area coverage, blended in linear light.

mod band;
mod coverage;
mod draw;
mod filter;
mod ink;
mod picture;

pub use coverage::Crossing;
pub use draw::{changed, draw};
pub use filter::Footprint;
pub use picture::Picture;
