//! From marks to pixels: exact area coverage, blended in linear light.

mod band;
mod changes;
mod cover;
mod coverage;
mod draw;
#[cfg(test)]
mod exactness;
mod filter;
mod ink;
mod picture;
mod rows;
mod search;
mod stream;
mod tiles;

pub use draw::{draw, update};
pub use filter::Footprint;
pub use picture::Picture;
pub use stream::draw_rows;
pub use tiles::Tiles;
