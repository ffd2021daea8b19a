//! What a person read at the seams: by how many rows the right part of a line had to
//! slide until it continued the left part, and the file that keeps it.

mod drawn;
mod error;
mod eye;
mod file;
mod line;
mod reading;
mod text;

pub use drawn::DrawnLine;
pub use error::ReadingsError;
pub use eye::Eye;
pub use file::{Difference, MAX_READINGS, MAX_READINGS_BYTES, Readings};
pub use line::Line;
pub use reading::{Prior, Reading};
