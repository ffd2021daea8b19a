//! A small picture of shares that a mark lays down pixel by pixel.

use std::sync::Arc;

use crate::light::Colour;
use crate::rig::PxRect;

/// Shares of one colour, pixel by pixel.
#[derive(Debug, Clone, PartialEq)]
pub struct Tile {
    /// Where it lies on the canvas.
    pub area: PxRect,
    /// How much of each pixel is covered, 0 to 255, row by row.
    pub shares: Arc<[u8]>,
    /// The part of the canvas it may touch.
    pub clip: PxRect,
    /// Its colour.
    pub colour: Colour,
}

/// What a patch of pixels shows: in which pixels it is lit, from its top left one.
pub(super) fn shares([width, height]: [u32; 2], share: impl Fn(u32, u32) -> f64) -> Arc<[u8]> {
    let rows = (0..height).flat_map(|y| (0..width).map(move |x| [x, y]));
    rows.map(|[x, y]| (share(x, y).clamp(0.0, 1.0) * 255.0).round() as u8)
        .collect()
}
