//! A panel cut level, from a lit edge inwards.

use glam::{DVec2, DVec3};

use crate::geometry::{LitEdge, Surface};

/// From one point of a curved panel's cut to the next; the arc between them leaves
/// their chord by less than a hundredth of a millimetre at a radius of 100 mm.
const STEP_MM: f64 = 2.0;

/// Where a level plane cuts a lit surface, seen from above: x to the right, y
/// backwards, as in the seat frame.
#[derive(Debug, Clone)]
pub(super) struct LevelCut {
    /// From the lit edge inwards.
    pub points: Vec<DVec2>,
    /// Unit direction of the cut at the lit edge, to the viewer's right.
    pub along: DVec2,
}

impl LevelCut {
    /// The cut of a surface at a height in the seat frame, from a lit edge as far
    /// inwards along the surface; less where the lit area ends sooner. `None` where
    /// the edge isn't lit at that height.
    pub(super) fn of(
        surface: &Surface,
        edge: LitEdge,
        height_mm: f64,
        reach_mm: f64,
    ) -> Option<LevelCut> {
        let [width, height] = surface.size_mm;
        let start = surface.edge_s_mm(edge);
        let inwards = -start.signum();
        let at = |from_edge: f64| -> Option<DVec3> {
            let s = start + inwards * from_edge;
            let middle = surface.point_mm(s, 0.0);
            let t = (height_mm - middle.y) / surface.y.y;
            (t.abs() <= height / 2.0 + 1e-6).then(|| surface.point_mm(s, t))
        };
        let in_plan = |point: DVec3| DVec2::new(point.x, point.z);
        let steps = (reach_mm.min(width) / STEP_MM).floor() as u32;
        let mut points: Vec<DVec2> = (0..=steps)
            .map_while(|step| at(f64::from(step) * STEP_MM))
            .map(in_plan)
            .collect();
        let first = *points.first()?;
        if surface.radius_mm.is_none() {
            points = vec![first, *points.last()?];
        }
        let tangent = surface.tangent(start);
        let along = tangent - surface.y * (tangent.y / surface.y.y);
        Some(LevelCut {
            points,
            along: in_plan(along).try_normalize()?,
        })
    }

    /// Unit normal at the lit edge, towards the viewer.
    pub(super) fn normal(&self) -> DVec2 {
        self.along.perp()
    }
}
