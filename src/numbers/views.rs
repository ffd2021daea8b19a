//! Where the eye sees each view, and from how far.

use glam::DVec3;

use crate::geometry::{View, azimuth, elevation};
use crate::rig::{Rig, ViewId};

/// One view's numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ViewNumbers {
    /// Which view.
    pub id: ViewId,
    /// Azimuths of the left and the right edge at mid height, in radians.
    pub azimuth_rad: [f64; 2],
    /// Elevations of the bottom and the top edge at the middle column, in radians.
    pub elevation_rad: [f64; 2],
    /// Eye to the view's middle.
    pub distance_mm: f64,
    /// Eye to the plane that touches the surface at the view's middle.
    pub square_mm: f64,
    /// Width and height of a pixel.
    pub pitch_mm: [f64; 2],
    /// Columns and rows that fill one degree, as the eye sees the view's middle.
    pub px_per_deg: [f64; 2],
}

/// The numbers of every view, from left to right.
pub fn views(rig: &Rig) -> Vec<ViewNumbers> {
    rig.views().iter().map(numbers).collect()
}

fn numbers(view: &View) -> ViewNumbers {
    let middle = view.middle_mm();
    let pitch_mm = view.surface.pitch_mm();
    let along = view.surface.tangent(view.s_mm(0.5)) * pitch_mm[0];
    let up = view.surface.y * pitch_mm[1];
    ViewNumbers {
        id: view.id,
        azimuth_rad: [
            azimuth(view.point_mm(0.0, 0.5)),
            azimuth(view.point_mm(1.0, 0.5)),
        ],
        elevation_rad: [
            elevation(view.point_mm(0.5, 1.0)),
            elevation(view.point_mm(0.5, 0.0)),
        ],
        distance_mm: middle.length(),
        square_mm: view.normal().dot(middle).abs(),
        pitch_mm,
        px_per_deg: [along, up].map(|step| 1.0 / seen_rad(middle, step).to_degrees()),
    }
}

/// Angle that a short step at a point takes up for the eye, in radians.
fn seen_rad(point: DVec3, step: DVec3) -> f64 {
    point.cross(step).length() / point.length_squared()
}
