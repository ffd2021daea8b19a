//! Dashes that continue each line's left part straight across a seam, as far as
//! the right panel's middle: the other half shows the left part of the next seam.

use glam::DVec3;
use rayon::prelude::*;

use super::breaks::{Drawn, Reading};
use super::camera::Camera;
use super::scene::{Part, Scene};
use crate::geometry::{EyePlane, Layout, LitEdge, Surface, continuation};
use crate::light::{Colour, Tables};
use crate::pattern::{Layer, Line};
use crate::raster::Picture;

/// Colour of the dashes: orange, as rungs of ladders, which are not continued.
const DASHES: Colour = Colour([230, 159, 0]);
/// Half the width of a dash, in pixels.
const HALF_PX: f64 = 0.6;
/// Length of a dash, and of the space after it, in pixels at the picture's middle.
const DASH_PX: f64 = 9.0;

/// A line's left part at a seam, continued over the right panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Continued {
    /// Index of the panel that it runs over.
    pub panel: usize,
    /// The plane through the eye that it runs in.
    pub plane: EyePlane,
    /// The direction in that plane, from the eye, in which the right panel's lit
    /// edge is, of length one.
    pub start: DVec3,
    /// Normal of the plane through the eye and the panel's middle column, towards
    /// `start`.
    pub near: DVec3,
}

/// The left part of every line that `readings` found at a seam, continued, with
/// the eye at `eye` in the seat frame of `built`. Rungs of ladders are left out,
/// since all but one of them are drawn broken.
pub fn continued(
    drawn: &Drawn,
    built: &Layout,
    lines: &[Line],
    readings: &[Reading],
    eye: DVec3,
) -> Vec<Continued> {
    let seen = |surface: &Surface| Surface {
        middle: surface.middle - eye,
        ..*surface
    };
    readings
        .iter()
        .filter(|reading| reading.layer != Layer::Ladders)
        .filter_map(|reading| {
            let line = lines.iter().find(|line| line.name == reading.line)?;
            let [left, right] = built.seam(reading.seam).map(seen);
            let plane = continuation(&drawn[reading.seam][0], &left, line.plane, LitEdge::Right)?;
            let s = right.edge_s_mm(LitEdge::Left);
            let start = right.point_mm(s, right.t_on(plane, s)?).try_normalize()?;
            let middle = right.middle.cross(right.y);
            Some(Continued {
                panel: reading.seam + 1,
                plane,
                start,
                near: middle * middle.dot(start).signum(),
            })
        })
        .collect()
}

/// Draws continued lines, dashed, into the view of a scene by a camera. They
/// cover the picture of their own panel only.
pub fn draw_continued(lines: &[Continued], scene: Scene, camera: &Camera, view: &mut Picture) {
    let scene = scene.bounded(camera);
    let tables = Tables::get();
    let dashes = DASHES.linear();
    let stride = view.stride().max(4);
    view.bytes_mut()
        .par_chunks_mut(stride)
        .enumerate()
        .for_each(|(row, bytes)| {
            let y = row as f64 + 0.5;
            let screens = scene.in_row(y);
            if screens.is_empty() {
                return;
            }
            for (column, pixel) in bytes.as_chunks_mut::<4>().0.iter_mut().enumerate() {
                let x = column as f64 + 0.5;
                let ray = camera.ray(x, y).towards;
                let Some((meeting, Part::Glass)) = scene.nearest(ray, &screens) else {
                    continue;
                };
                let here = lines.iter().filter(|line| line.panel == meeting.screen);
                let covered = here
                    .map(|line| line.cover(camera, [x, y]))
                    .fold(0.0, f32::max);
                if covered > 0.0 {
                    for (code, dash) in pixel.iter_mut().zip(dashes) {
                        let below = tables.linear(*code);
                        *code = tables.code(below + (dash - below) * covered);
                    }
                }
            }
        });
}

impl Continued {
    /// How much of a pixel with this middle a dash covers, 0 to 1.
    fn cover(&self, camera: &Camera, [x, y]: [f64; 2]) -> f32 {
        let ray = camera.ray(x, y);
        let normal = self.plane.normal();
        let per_px = normal.dot(ray.per_column).hypot(normal.dot(ray.per_row));
        let away_px = normal.dot(ray.towards) / per_px;
        let covered = (HALF_PX + 0.5 - away_px.abs()).clamp(0.0, 1.0);
        if covered <= 0.0
            || self.near.dot(ray.towards) < 0.0
            || self.phase(camera, ray.towards) >= 0.5
        {
            return 0.0;
        }
        covered as f32
    }

    /// How far a direction lies within its dash and the space after it, 0 to 1.
    fn phase(&self, camera: &Camera, towards: DVec3) -> f64 {
        let sideways = self.start.cross(self.plane.normal());
        let turn = towards.dot(sideways).atan2(towards.dot(self.start));
        (turn * camera.focal_px() / (2.0 * DASH_PX)).rem_euclid(1.0)
    }
}
