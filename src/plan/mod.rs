//! The rig drawn to scale, to take to the desk with a tape measure: from above,
//! from the right, and its heights side by side.
//!
//! A rig becomes a [`Drawing`] of strokes and labels in millimetres of paper;
//! that becomes SVG text, a picture, or a page of a PDF file.

mod above;
mod drawing;
mod heights;
mod look;
mod paper;
mod pdf;
mod picture;
mod placing;
mod scale;
mod shapes;
mod side;
mod svg;

pub(crate) use drawing::HEADING_MM;
pub use drawing::{Drawing, Label, PaperRect, Path, Stroke};
pub use paper::{PAPER_MM, draw};
pub use pdf::{Leaf, pdf};
pub use picture::{PictureError, picture};
pub use svg::svg;
