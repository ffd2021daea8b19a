//! Marks for photographs: a field of checks on every panel, each corner of which can be
//! told from every other, and the reader that finds them in a photograph.
//!
//! Corners of checks are saddles of brightness, which neither slant nor bloom displaces.
//! Saddles are joined along edges to lattices, cells are looked at for dots, and pieces of
//! a lattice are laid on the fields of all panels in all ways until one fits by far best.
//! A mirror image fits nowhere. What stands beside a lattice's own smooth shape is left
//! out.

mod cells;
mod complete;
mod decode;
mod field;
mod find;
mod half_turn;
mod lattice;
mod refine;
mod saddles;
mod smooth;
mod unusable;

pub use field::{CELL_MM, CELLS_PX, DOT_SHARE, Field, mixed};
pub use find::{Found, Sighting, find};
pub use unusable::Unusable;
