//! Panels folded outward from the one that the seat faces.

use glam::{DMat3, DVec2, DVec3};

use super::surface::Surface;
use crate::parts::{Flaw, Panel, Parts, Subject, Table};

/// Every lit surface of a rig in the seat frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    surfaces: Vec<Surface>,
}

/// Nearest that the eye may be to the plane of a surface.
const MIN_FACING_MM: f64 = 1.0;

impl Layout {
    /// Lays out parts whose values and counts are checked.
    ///
    /// # Errors
    ///
    /// A [`Flaw`] for the first panel that doesn't face the eye with its whole
    /// lit surface.
    pub fn facing(parts: &Parts) -> Result<Layout, Flaw> {
        let layout = Layout::place(parts);
        let panels = layout.surfaces.iter().zip(&parts.panels).enumerate();
        for (index, (surface, panel)) in panels {
            let facing = surface.facing_mm();
            if facing >= MIN_FACING_MM {
                continue;
            }
            let name = &panel.name;
            let text = if facing > -MIN_FACING_MM {
                format!(
                    "panel \"{name}\" reaches the plane of the eye, so nothing can be drawn on it; \
                     check the seat's distance and the angles of the seams"
                )
            } else {
                format!(
                    "panel \"{name}\" turns its back, or part of it, to the eye; \
                     check the seat's distance and the angles of the seams"
                )
            };
            let subject = Subject::whole(Table::Panel(index));
            return Err(Flaw { subject, text });
        }
        Ok(layout)
    }

    /// The surfaces, from left to right.
    pub fn surfaces(&self) -> &[Surface] {
        &self.surfaces
    }

    /// The left and the right surface of a seam.
    pub fn seam(&self, seam: usize) -> [&Surface; 2] {
        [&self.surfaces[seam], &self.surfaces[seam + 1]]
    }

    /// Lays parts out without asking whether the panels face the eye.
    pub(crate) fn place(parts: &Parts) -> Layout {
        let surfaces = parts
            .panels
            .iter()
            .zip(in_plan(parts))
            .map(|(panel, plan)| {
                let axes = DMat3::from_rotation_y(plan.yaw)
                    * DMat3::from_rotation_x(-panel.tilt_deg.to_radians())
                    * DMat3::from_rotation_z(panel.roll_deg.to_radians());
                Surface {
                    middle: DVec3::new(plan.middle.x, plan.height, plan.middle.y),
                    x: axes.x_axis,
                    y: axes.y_axis,
                    z: axes.z_axis,
                    size_mm: panel.size_mm(),
                    pixels: panel.pixels.map(f64::from),
                    radius_mm: panel.curve_radius_mm,
                }
            })
            .collect();
        Layout { surfaces }
    }
}

/// A panel in plan: x to the right, y standing for the frame's z.
#[derive(Clone, Copy)]
struct Plan {
    middle: DVec2,
    yaw: f64,
    height: f64,
}

impl Plan {
    /// The point at arc length `s`.
    fn point(&self, panel: &Panel, s_mm: f64) -> DVec2 {
        self.middle + rotate_plan(plan_profile(panel, s_mm), self.yaw)
    }

    /// Turn of the surface's tangent at arc length `s`.
    fn yaw_at(&self, panel: &Panel, s_mm: f64) -> f64 {
        self.yaw - turn_at(panel, s_mm)
    }

    /// The panel whose point at arc length `s` lies at `point` and has the tangent `yaw`.
    fn through(panel: &Panel, s_mm: f64, point: DVec2, yaw: f64, height: f64) -> Plan {
        let yaw = yaw + turn_at(panel, s_mm);
        let middle = point - rotate_plan(plan_profile(panel, s_mm), yaw);
        Plan {
            middle,
            yaw,
            height,
        }
    }
}

/// Right-handed turn about the vertical, of a plan vector (x, z).
fn rotate_plan(v: DVec2, yaw: f64) -> DVec2 {
    let (sin, cos) = yaw.sin_cos();
    DVec2::new(v.x * cos + v.y * sin, v.y * cos - v.x * sin)
}

/// Radians by which the surface has turned in, from its middle to arc length `s`.
fn turn_at(panel: &Panel, s_mm: f64) -> f64 {
    panel.curve_radius_mm.map_or(0.0, |radius| s_mm / radius)
}

fn plan_profile(panel: &Panel, s_mm: f64) -> DVec2 {
    match panel.curve_radius_mm {
        None => DVec2::new(s_mm, 0.0),
        Some(radius) => {
            let turn = s_mm / radius;
            let half = (turn / 2.0).sin();
            DVec2::new(radius * turn.sin(), radius * 2.0 * half * half)
        }
    }
}

/// Arc length of the middle of a view.
fn view_middle_s_mm(panel: &Panel, view: u32) -> f64 {
    let width = panel.size_mm()[0];
    ((f64::from(view) + 0.5) / f64::from(panel.views) - 0.5) * width
}

/// Folds the panels outward, tilt and roll left out.
///
/// It starts at the facing view, so that a change of one seam moves the panels
/// on its far side alone, and leaves the others' numbers as they are to the last
/// digit.
fn in_plan(parts: &Parts) -> Vec<Plan> {
    let seat = parts.seat;
    let facing = seat.view.panel;
    let panel = &parts.panels[facing];
    let ahead = DVec2::new(-seat.offset_mm, -seat.distance_mm);
    let view_s = view_middle_s_mm(panel, seat.view.view);
    let start = Plan::through(panel, view_s, ahead, 0.0, -seat.height_mm);

    let mut plans = vec![start; parts.panels.len()];
    for index in facing + 1..plans.len() {
        let seam = Across::new(parts, index - 1);
        let (left, right) = (&parts.panels[index - 1], &parts.panels[index]);
        let (before, half) = (plans[index - 1], left.size_mm()[0] / 2.0);
        let yaw = before.yaw_at(left, half);
        let edge = before.point(left, half) + rotate_plan(seam.path, yaw);
        let height = before.height + seam.rise_mm;
        plans[index] = Plan::through(
            right,
            -right.size_mm()[0] / 2.0,
            edge,
            yaw - seam.fold_rad,
            height,
        );
    }
    for index in (0..facing).rev() {
        let seam = Across::new(parts, index);
        let (left, right) = (&parts.panels[index], &parts.panels[index + 1]);
        let (after, half) = (plans[index + 1], right.size_mm()[0] / 2.0);
        let yaw = after.yaw_at(right, -half) + seam.fold_rad;
        let edge = after.point(right, -half) - rotate_plan(seam.path, yaw);
        let height = after.height - seam.rise_mm;
        plans[index] = Plan::through(left, left.size_mm()[0] / 2.0, edge, yaw, height);
    }
    plans
}

/// The way across a seam.
struct Across {
    /// From the left panel's lit edge to the right panel's, in the frame of the
    /// left edge: x along its tangent, y along its normal.
    path: DVec2,
    fold_rad: f64,
    rise_mm: f64,
}

impl Across {
    fn new(parts: &Parts, index: usize) -> Across {
        let seam = &parts.seams[index];
        let (left, right) = (&parts.panels[index], &parts.panels[index + 1]);
        let fold_rad = parts.fold_rad(index);
        let path = DVec2::X * (left.bezel_mm.right + seam.gap_mm / 2.0)
            + rotate_plan(DVec2::X, -fold_rad) * (right.bezel_mm.left + seam.gap_mm / 2.0)
            + rotate_plan(DVec2::Y, -fold_rad / 2.0) * seam.step_mm;
        Across {
            path,
            fold_rad,
            rise_mm: seam.rise_mm,
        }
    }
}
