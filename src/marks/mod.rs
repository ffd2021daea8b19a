//! Marks for photographs: a field of checks on every panel, each corner of which can be
//! told from every other.

mod field;

pub use field::{CELL_MM, CELLS_PX, DOT_SHARE, Field, mixed};
