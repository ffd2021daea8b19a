//! What the drawing shows of a panel, as points in the seat frame.

use glam::DVec3;

use crate::geometry::{LitEdge, Surface};
use crate::rig::{Bezel, Panel};

/// Points along a curved surface's width.
const STEPS: u32 = 48;

/// The lit surface along its width at a height.
pub(super) fn lit(surface: &Surface, t_mm: f64) -> Vec<DVec3> {
    let steps = if surface.radius_mm.is_some() {
        STEPS
    } else {
        1
    };
    (0..=steps)
        .map(|step| {
            let s = (f64::from(step) / f64::from(steps) - 0.5) * surface.size_mm[0];
            surface.point_mm(s, t_mm)
        })
        .collect()
}

/// The case's front along its width at mid height: the lit surface and what the
/// bezels add at either end.
pub(super) fn case_front(surface: &Surface, panel: &Panel) -> Vec<DVec3> {
    let Bezel { left, right, .. } = panel.bezel_mm;
    let [start, end] = LitEdge::BOTH.map(|edge| surface.edge_s_mm(edge));
    let mut points = vec![surface.point_mm(start, 0.0) - surface.tangent(start) * left];
    points.extend(lit(surface, 0.0));
    points.push(surface.point_mm(end, 0.0) + surface.tangent(end) * right);
    points
}

/// The case as an area behind its front; its depth is the drawing's own.
pub(super) fn case_band(surface: &Surface, panel: &Panel, depth_mm: f64) -> Vec<DVec3> {
    let front = case_front(surface, panel);
    let [start, end] = LitEdge::BOTH.map(|edge| surface.normal(surface.edge_s_mm(edge)));
    let back: Vec<DVec3> = front
        .iter()
        .enumerate()
        .map(|(index, &point)| {
            let along = index as f64 / (front.len() - 1) as f64;
            // Between the ends a circle's normals turn evenly.
            let normal = start.lerp(end, along).normalize_or(surface.z);
            point - normal * depth_mm
        })
        .collect();
    front
        .iter()
        .copied()
        .chain(back.into_iter().rev())
        .collect()
}

/// A panel cut upright at an arc length: bottom and top of what is lit, and of the case.
#[derive(Debug, Clone, Copy)]
pub(super) struct Section {
    pub lit: [DVec3; 2],
    pub case: [DVec3; 2],
    pub normal: DVec3,
}

impl Section {
    pub(super) fn at(surface: &Surface, panel: &Panel, s_mm: f64) -> Section {
        let half = surface.size_mm[1] / 2.0;
        let Bezel { top, bottom, .. } = panel.bezel_mm;
        Section {
            lit: [-half, half].map(|t| surface.point_mm(s_mm, t)),
            case: [-half - bottom, half + top].map(|t| surface.point_mm(s_mm, t)),
            normal: surface.normal(s_mm),
        }
    }
}

/// The outline of a lit surface.
pub(super) fn outline(surface: &Surface) -> Vec<DVec3> {
    let half = surface.size_mm[1] / 2.0;
    let mut points = lit(surface, half);
    points.extend(lit(surface, -half).into_iter().rev());
    points.push(points[0]);
    points
}
