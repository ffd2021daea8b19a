//! How a line drawn for one rig breaks at a seam when the panels stand as another says.

use glam::DVec3;

use super::layout::Layout;
use super::plane::EyePlane;
use super::surface::{LitEdge, Surface};

/// A line's break at a seam, seen from the eye.
///
/// The reference is the great circle that continues the line's tangent at the
/// left panel's lit edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineBreak {
    /// Angle in radians of the line's first lit point on the right panel above
    /// the reference; positive up.
    pub break_rad: f64,
    /// The same in the right panel's rows; positive up.
    pub break_px: f64,
    /// Turn in radians, −π/2 to π/2, from the reference to the line's tangent on
    /// the right panel, neither of which has a direction; positive when the right
    /// part rises.
    pub kink_rad: f64,
}

/// The break at `seam` of the line in `plane`, drawn for `drawn` and shown on
/// `built`, with the eye of `built` at `eye` in the seat frame. `None` where
/// the drawn line doesn't reach both lit edges, or runs along one of them.
///
/// Both layouts are of rigs with the same panels in the same pixels.
pub fn line_break(
    drawn: &Layout,
    built: &Layout,
    seam: usize,
    plane: EyePlane,
    eye: DVec3,
) -> Option<LineBreak> {
    edge_break(drawn.seam(seam), built.seam(seam), plane, eye)
}

/// As [`line_break`], between a left and a right surface: as drawn and as built.
/// What is drawn may be a part of a panel that reaches its edge at the seam, of
/// the same height.
pub fn edge_break(
    [drawn_left, drawn_right]: [&Surface; 2],
    [built_left, built_right]: [&Surface; 2],
    plane: EyePlane,
    eye: DVec3,
) -> Option<LineBreak> {
    let left = seen_at_edge(drawn_left, built_left, plane, LitEdge::Right)?;
    let right = seen_at_edge(drawn_right, built_right, plane, LitEdge::Left)?;
    let (from, to) = (left.point - eye, right.point - eye);

    let plane = left.tangent.cross(from).try_normalize()?;
    // On a panel that stands on its head, columns are counted to the left.
    let reference = if plane.y < 0.0 { -plane } else { plane };
    let ahead = to.try_normalize()?;
    let along_reference = ahead.cross(reference).try_normalize()?;
    let up = along_reference.cross(ahead);
    let (rise, run) = (right.tangent.dot(up), right.tangent.dot(along_reference));

    // Where the reference meets the right panel's first column, in its rows.
    let column = built_right.point_mm(built_right.edge_s_mm(LitEdge::Left), 0.0) - eye;
    let reference_t = -reference.dot(column) / reference.dot(built_right.y);
    let break_rad = reference.dot(ahead).clamp(-1.0, 1.0).asin();
    Some(LineBreak {
        break_rad,
        break_px: (built_right.py_at_t(reference_t) - right.row).copysign(break_rad),
        kink_rad: (rise * run.signum()).atan2(run.abs()),
    })
}

/// The plane through the eye that continues, across a lit edge, the line of
/// `plane` drawn for `drawn` and shown on `built`; `None` as in [`line_break`].
pub fn continuation(
    drawn: &Surface,
    built: &Surface,
    plane: EyePlane,
    edge: LitEdge,
) -> Option<EyePlane> {
    let seen = seen_at_edge(drawn, built, plane, edge)?;
    EyePlane::through(seen.point, seen.tangent)
}

struct Seen {
    point: DVec3,
    tangent: DVec3,
    row: f64,
}

fn seen_at_edge(drawn: &Surface, built: &Surface, plane: EyePlane, edge: LitEdge) -> Option<Seen> {
    let s = drawn.edge_s_mm(edge);
    let row = drawn.py_at_t(drawn.t_on(plane, s)?);
    if !(0.0..=drawn.pixels[1]).contains(&row) {
        return None;
    }
    let slope = -plane.normal().dot(drawn.tangent(s)) / plane.normal().dot(drawn.y);
    let [pitch_x, pitch_y] = drawn.pitch_mm();
    let rows_per_column = -slope * pitch_x / pitch_y;

    let [built_x, built_y] = built.pitch_mm();
    let built_s = built.edge_s_mm(edge);
    Some(Seen {
        point: built.point_mm(built_s, built.t_at_px(row)),
        tangent: built.tangent(built_s) * built_x - built.y * (rows_per_column * built_y),
        row,
    })
}
