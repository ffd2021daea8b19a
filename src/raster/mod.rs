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
mod redraw;
mod rows;
mod runs;
mod search;
mod spans;
mod stream;

pub use draw::draw;
pub use filter::Footprint;
pub use ink::BLACK;
pub use picture::Picture;
pub use redraw::update;
pub use runs::{Run, differing};
pub use stream::{draw_rows, drawn};
