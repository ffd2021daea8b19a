//! What a window shows: the canvas as it is drawn now, pieces of it in the
//! window's picture, and boxes of words over them. Pictures in memory only;
//! windows are somebody else's.

mod drawing;
mod overlay;
mod pieces;
mod sketch;

pub use drawing::{Drawing, Redrawn};
pub use overlay::{BoxLine, DIM, LOUD, PLAIN, Stand, Words, cap_px, notice};
pub use pieces::{Glass, Notice, Piece, Stale};
pub use sketch::Sketch;
