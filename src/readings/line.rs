//! A line of which the parts on both sides of a seam are drawn.

use crate::geometry::EyePlane;

/// A line at one seam, as it is drawn for a rig to be read there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Index of the seam, from 0 at the left.
    pub seam: usize,
    /// The plane through the eye that it is drawn in, in the seat frame of the rig
    /// that it is drawn for.
    pub plane: EyePlane,
    /// Columns of the left panel, from its lit left edge, between which its left
    /// part is drawn; fractions allowed.
    pub left_px: [f64; 2],
    /// Column of the right panel, from its lit left edge, at which it is read.
    pub right_px: f64,
}
