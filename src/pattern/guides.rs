//! The lines that run over the whole rig, chosen from its geometry.

use glam::DMat3;

use super::{Layer, diagonals, grid};
use crate::geometry::EyePlane;
use crate::rig::Rig;

/// A line over the whole rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Guide {
    /// Unique among the guides.
    pub name: String,
    /// [`Layer::Grid`], [`Layer::Diagonals`] or [`Layer::Horizon`].
    pub layer: Layer,
    /// Its plane through the eye.
    pub plane: EyePlane,
}

/// The lines of the grid, the diagonals and the horizon.
///
/// They stand in the seat frame. Whoever moves a rig's panels a little keeps
/// the guides, so that the lines stay where they are and only the moved
/// panels' pictures change.
#[derive(Debug, Clone, PartialEq)]
pub struct Guides(Vec<Guide>);

impl Guides {
    /// The guides that suit a rig, in drawing order.
    pub fn of(rig: &Rig) -> Guides {
        let layout = rig.layout();
        let mut guides = grid::guides();
        guides.extend(diagonals::guides(layout));
        guides.push(Guide {
            name: "horizon".to_owned(),
            layer: Layer::Horizon,
            plane: EyePlane::HORIZON,
        });
        Guides(guides)
    }

    /// The same lines in a frame that is turned about the vertical, in radians to the
    /// right, from the seat's.
    pub fn turned(&self, heading_rad: f64) -> Guides {
        let turned = DMat3::from_rotation_y(heading_rad);
        let guide = |guide: &Guide| Guide {
            plane: EyePlane::new(turned * guide.plane.normal()).unwrap_or(guide.plane),
            ..guide.clone()
        };
        if heading_rad == 0.0 {
            return self.clone();
        }
        Guides(self.0.iter().map(guide).collect())
    }

    /// The guides, in drawing order.
    pub fn iter(&self) -> impl Iterator<Item = &Guide> {
        self.0.iter()
    }
}
