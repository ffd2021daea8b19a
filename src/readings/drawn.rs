//! What is drawn of a line, and where the eye sees it on panels that stand elsewhere.

use glam::{DMat3, DVec3};

use super::line::Line;
use crate::geometry::{EyePlane, Layout, Surface};

/// Points of the left part that its plane is fitted to.
const POINTS: usize = 5;

/// The pixels of a line drawn for one rig.
///
/// Whoever reads it sees those pixels on the panels as they stand. The left part is
/// taken as five points, evenly spaced in columns from end to end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnLine {
    line: Line,
    left: [[f64; 2]; POINTS],
    right: [f64; 2],
}

impl DrawnLine {
    /// A line drawn for a laid-out rig; `None` where there is no such seam, its left
    /// part has no length, or it has no row in one of these columns.
    pub fn new(line: Line, drawn: &Layout) -> Option<DrawnLine> {
        let surfaces = drawn.surfaces();
        let (left, right) = (surfaces.get(line.seam)?, surfaces.get(line.seam + 1)?);
        let [from, to] = line.left_px;
        let mut points = [[0.0; 2]; POINTS];
        for (number, point) in points.iter_mut().enumerate() {
            let px = from + (to - from) * number as f64 / (POINTS - 1) as f64;
            *point = [px, left.py_on(line.plane, px)?];
        }
        let right = [line.right_px, right.py_on(line.plane, line.right_px)?];
        let is_finite = points
            .iter()
            .chain([&right])
            .flatten()
            .all(|px| px.is_finite());
        (is_finite && from != to).then_some(DrawnLine {
            line,
            left: points,
            right,
        })
    }

    /// The line.
    pub fn line(&self) -> &Line {
        &self.line
    }

    /// Column and row of the points of the left part, on the left panel.
    pub fn left_px(&self) -> &[[f64; 2]] {
        &self.left
    }

    /// Column and row on the right panel where it is read.
    pub fn right_px(&self) -> [f64; 2] {
        self.right
    }

    /// Whether the eye of a laid-out rig sees all of it on lit glass, with rows to
    /// spare above and below: the share `spare` of the panels' rows.
    pub fn is_lit(&self, drawn: &Layout, spare: f64) -> bool {
        let [left, right] = drawn.seam(self.line.seam);
        let is_on = |surface: &Surface, [px, py]: [f64; 2]| {
            let [columns, rows] = surface.pixels;
            (0.0..=columns).contains(&px) && (rows * spare..=rows * (1.0 - spare)).contains(&py)
        };
        self.left.iter().all(|point| is_on(left, *point)) && is_on(right, self.right)
    }

    /// How many rows of the right panel the right part has to move up until it
    /// continues the left one, on panels that stand as `built` says, seen from `eye`
    /// in its seat frame. `None` where nothing in that column continues it.
    pub fn slide_px(&self, built: &Layout, eye: DVec3) -> Option<f64> {
        let [left, right] = built.seam(self.line.seam);
        let plane = self.continued(left, eye)?;
        let seen = Surface {
            middle: right.middle - eye,
            ..*right
        };
        let [column, row] = self.right;
        Some(row - seen.py_on(plane, column)?).filter(|slide| slide.is_finite())
    }

    /// Rows of the right panel to a radian by which the eye sees the right part
    /// leave the plane that continues the left one, from `eye`.
    pub fn px_per_rad(&self, built: &Layout, eye: DVec3) -> Option<f64> {
        let [left, right] = built.seam(self.line.seam);
        let plane = self.continued(left, eye)?;
        let [column, row] = self.right;
        let at = |row: f64| {
            let seen = right.point_px(column, row) - eye;
            Some(plane.distance_mm(seen.try_normalize()?).asin())
        };
        let per_px = at(row - 0.5)? - at(row + 0.5)?;
        Some(per_px.recip().abs()).filter(|rows| rows.is_finite())
    }

    /// The plane through the eye that fits the directions of the left part's points
    /// best: its normal is the smallest right singular vector of them.
    fn continued(&self, left: &Surface, eye: DVec3) -> Option<EyePlane> {
        let mut squares = DMat3::ZERO;
        for [px, py] in self.left {
            let towards = (left.point_px(px, py) - eye).try_normalize()?;
            squares += DMat3::from_cols(
                towards * towards.x,
                towards * towards.y,
                towards * towards.z,
            );
        }
        EyePlane::new(least_axis(squares))
    }
}

/// The eigenvector of the smallest eigenvalue of a symmetric matrix, by Jacobi's
/// rotations.
fn least_axis(matrix: DMat3) -> DVec3 {
    const SWEEPS: usize = 12;
    const PAIRS: [[usize; 3]; 3] = [[0, 1, 2], [0, 2, 1], [1, 2, 0]];
    let mut m = matrix.to_cols_array_2d();
    let mut axes = DMat3::IDENTITY.to_cols_array_2d();
    for _ in 0..SWEEPS {
        if PAIRS.iter().all(|&[i, j, _]| m[i][j] == 0.0) {
            break;
        }
        for [i, j, k] in PAIRS {
            let off = m[i][j];
            if off.abs() <= f64::EPSILON * f64::EPSILON * (m[i][i].abs() + m[j][j].abs()) {
                (m[i][j], m[j][i]) = (0.0, 0.0);
                continue;
            }
            let theta = (m[j][j] - m[i][i]) / (2.0 * off);
            let tan = theta.signum() / (theta.abs() + theta.hypot(1.0));
            let cos = tan.hypot(1.0).recip();
            let sin = tan * cos;
            m[i][i] -= tan * off;
            m[j][j] += tan * off;
            (m[i][j], m[j][i]) = (0.0, 0.0);
            let (a, b) = (m[i][k], m[j][k]);
            (m[i][k], m[j][k]) = (cos * a - sin * b, sin * a + cos * b);
            (m[k][i], m[k][j]) = (m[i][k], m[j][k]);
            let turned = DVec3::from_array(axes[i]) * cos - DVec3::from_array(axes[j]) * sin;
            let other = DVec3::from_array(axes[i]) * sin + DVec3::from_array(axes[j]) * cos;
            (axes[i], axes[j]) = (turned.to_array(), other.to_array());
        }
    }
    let least = (0..3).min_by(|&i, &j| m[i][i].total_cmp(&m[j][j]));
    DVec3::from_array(axes[least.unwrap_or(0)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_axis_is_turned_by_no_more_than_rounding() {
        let turn = DMat3::from_rotation_y(0.7) * DMat3::from_rotation_x(-1.1);
        for least in [0.0, 1e-12, 1e-4, 0.05] {
            let matrix =
                turn * DMat3::from_diagonal(DVec3::new(3.0, least, 0.06)) * turn.transpose();
            let found = least_axis(matrix);
            assert!(
                found.cross(turn.y_axis).length() < 1e-13,
                "{least}: {found}"
            );
        }
        let already = DMat3::from_diagonal(DVec3::new(2.0, 1.0, 0.5));
        assert_eq!(least_axis(already), DVec3::Z);
    }
}
