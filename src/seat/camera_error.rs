//! Why a camera can't be as it is wanted.

use std::error::Error;
use std::fmt;

use super::camera::{MAX_AREA_PX, MAX_SIDE_PX, Projection};

/// Why a camera can't be as it is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CameraError {
    /// The picture would have no pixel, or too many; columns and rows.
    Size([u32; 2]),
    /// The field of view is wider than its projection shows, or too narrow; both in
    /// radians.
    FieldOfView {
        /// What was wanted.
        wanted: f64,
        /// Widest that can be shown.
        widest: f64,
        /// How it would be drawn.
        projection: Projection,
    },
    /// It would look more than once around, or past straight up or down.
    Look,
    /// It would look too far up or down for an upright cylinder.
    Steep,
}

impl fmt::Display for CameraError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CameraError::Size([w, h]) => write!(
                f,
                "a view of {w} x {h} pixels can't be drawn, only 1 to {MAX_SIDE_PX} a side and at most {MAX_AREA_PX} in all"
            ),
            CameraError::FieldOfView {
                wanted,
                widest,
                projection,
            } => write!(
                f,
                "the field of view is {}°, but a {} view shows 0.01° to {:.0}°",
                wanted.to_degrees(),
                projection.name(),
                widest.to_degrees()
            ),
            CameraError::Look => {
                f.write_str("a view looks at most 360° to either side and 90° up or down")
            }
            CameraError::Steep => f.write_str("a cylindrical view looks at most 80° up or down"),
        }
    }
}

impl Error for CameraError {}
