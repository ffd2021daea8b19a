//! How a seat view looks, as a note in the picture.

use glam::DVec3;
use serde::{Deserialize, Serialize};
use throughline::seat::Camera;

/// Camera and eye of a seat view.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct ViewNote {
    projection: String,
    look_deg: [f64; 2],
    fov_deg: f64,
    size_px: [u32; 2],
    eye_mm: [f64; 3],
}

impl ViewNote {
    /// The note of a camera at an eye.
    pub(super) fn of(camera: &Camera, eye: DVec3) -> ViewNote {
        ViewNote {
            projection: camera.projection().name().to_owned(),
            look_deg: camera.look().map(f64::to_degrees),
            fov_deg: camera.fov().to_degrees(),
            size_px: camera.size_px(),
            eye_mm: eye.to_array(),
        }
    }

    /// The note as text.
    pub(super) fn text(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Reads a note; `None` where it is none.
    pub(super) fn read(text: &str) -> Option<(Camera, DVec3)> {
        let note: ViewNote = serde_json::from_str(text).ok()?;
        let camera = Camera::new(
            note.projection.parse().ok()?,
            note.look_deg.map(f64::to_radians),
            note.fov_deg.to_radians(),
            note.size_px,
        );
        let eye = DVec3::from_array(note.eye_mm);
        Some((camera.ok()?, eye)).filter(|(_, eye)| eye.is_finite())
    }
}
