//! The picture of a camera whose axis doesn't go through its middle.

use glam::DVec3;

use super::view::View;

/// Nearest that the eye may be to the plane of a view's corners.
const MIN_DISTANCE_MM: f64 = 1.0;

/// The frustum from the eye through three corners of a view, and the flat screen
/// that those corners make.
///
/// The formulas are those of R. Kooima, *Generalized Perspective Projection*
/// (2009). Places on the screen run from (0, 0) at its lower left corner to (1, 1)
/// at its upper right one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frustum {
    /// Left, right, bottom and top of the picture on the plane at distance 1 from
    /// the eye.
    pub near_1: [f64; 4],
    /// Unit axis along the screen, to the viewer's right, in the seat frame.
    pub right: DVec3,
    /// Unit axis up the screen.
    pub up: DVec3,
    /// Unit normal of the screen, towards the viewer.
    pub normal: DVec3,
}

impl Frustum {
    /// The frustum through a view's corners. `None` where the eye is not at least a
    /// millimetre in front of their plane, as with a view that reaches round it.
    pub fn of(view: &View) -> Option<Frustum> {
        let [a, b, c] = [(0.0, 1.0), (1.0, 1.0), (0.0, 0.0)].map(|(u, v)| view.point_mm(u, v));
        let right = (b - a).try_normalize()?;
        let up = (c - a).try_normalize()?;
        // Adding zero makes a positive one of a negative one.
        let normal = right.cross(up).try_normalize()? + DVec3::ZERO;
        let distance = -normal.dot(a);
        if distance < MIN_DISTANCE_MM {
            return None;
        }
        let near_1 = [right.dot(a), right.dot(b), up.dot(a), up.dot(c)].map(|mm| mm / distance);
        Some(Frustum {
            near_1,
            right,
            up,
            normal,
        })
    }

    /// Where on the screen the eye sees a point that lies in front of it: outside
    /// 0 to 1 where it sees the point beside the screen.
    pub fn place(&self, point: DVec3) -> [f64; 2] {
        let [left, right, bottom, top] = self.near_1;
        let depth = -self.normal.dot(point);
        let [x, y] = [self.right, self.up].map(|axis| axis.dot(point) / depth);
        [(x - left) / (right - left), (y - bottom) / (top - bottom)]
    }

    /// From the eye to a place on the screen, as far as the plane at distance 1.
    pub fn ray(&self, [x, y]: [f64; 2]) -> DVec3 {
        let [left, right, bottom, top] = self.near_1;
        self.right * (left + x * (right - left)) + self.up * (bottom + y * (top - bottom))
            - self.normal
    }
}
