//! Panels folded outward from the first, then turned to face the seat.

use glam::{DMat3, DVec2, DVec3};

use super::surface::Surface;
use crate::rig::{Flaw, Panel, Parts, Rig, Subject, Table};

/// Every lit surface of a rig in the seat frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    surfaces: Vec<Surface>,
}

/// Nearest that the eye may be to the plane of a surface.
const MIN_FACING_MM: f64 = 1.0;

impl Layout {
    /// Lays a rig out. It can't fail: a [`Rig`] is one whose panels all face the eye.
    pub fn of(rig: &Rig) -> Layout {
        Layout::place(rig.parts())
    }

    /// The surfaces, from left to right.
    pub fn surfaces(&self) -> &[Surface] {
        &self.surfaces
    }

    /// The left and the right surface of a seam.
    pub fn seam(&self, seam: usize) -> [&Surface; 2] {
        [&self.surfaces[seam], &self.surfaces[seam + 1]]
    }

    /// Straight distance in millimetres between the two lit edges of a seam,
    /// at the middle of either panel's height.
    pub fn dark_mm(&self, seam: usize) -> f64 {
        let [left, right] = self.seam(seam);
        let from = left.point_mm(left.edge_s_mm(true), 0.0);
        let to = right.point_mm(right.edge_s_mm(false), 0.0);
        from.distance(to)
    }

    /// Lays parts out without asking whether the panels face the eye.
    pub(crate) fn place(parts: &Parts) -> Layout {
        let flat = in_plan(parts);
        let seat = parts.seat;
        let facing = &parts.panels[seat.view.panel];
        let view_s = view_middle_s_mm(facing, seat.view.view);
        let facing_plan = &flat[seat.view.panel];
        // The facing view's normal becomes +z, its middle the point ahead.
        let turn = -(facing_plan.yaw - turn_at(facing, view_s));
        let view_middle = facing_plan.point(facing, view_s);
        let target = DVec3::new(-seat.offset_mm, -seat.height_mm, -seat.distance_mm);

        let surfaces = parts
            .panels
            .iter()
            .zip(&flat)
            .map(|(panel, plan)| {
                let from_view = rotate_plan(plan.middle - view_middle, turn);
                let rise = plan.height - facing_plan.height;
                let axes = DMat3::from_rotation_y(plan.yaw + turn)
                    * DMat3::from_rotation_x(-panel.tilt_deg.to_radians())
                    * DMat3::from_rotation_z(panel.roll_deg.to_radians());
                Surface {
                    middle: target + DVec3::new(from_view.x, rise, from_view.y),
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

/// The first panel that doesn't face the eye with its whole lit surface.
pub fn facing_flaw(parts: &Parts) -> Option<Flaw> {
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
        return Some(Flaw { subject, text });
    }
    None
}

/// A panel in plan: x to the right, y standing for the frame's z.
struct Plan {
    middle: DVec2,
    yaw: f64,
    height: f64,
}

impl Plan {
    fn point(&self, panel: &Panel, s_mm: f64) -> DVec2 {
        self.middle + rotate_plan(plan_profile(panel, s_mm), self.yaw)
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

/// Folds the panels outward from the first, tilt and roll left out.
fn in_plan(parts: &Parts) -> Vec<Plan> {
    let mut plans: Vec<Plan> = vec![Plan {
        middle: DVec2::ZERO,
        yaw: 0.0,
        height: 0.0,
    }];
    for (index, seam) in parts.seams.iter().enumerate() {
        let (left, right) = (&parts.panels[index], &parts.panels[index + 1]);
        let before = &plans[index];
        let (left_half, right_half) = (left.size_mm()[0] / 2.0, right.size_mm()[0] / 2.0);
        let left_edge_yaw = before.yaw - turn_at(left, left_half);
        let right_edge_yaw = left_edge_yaw - parts.fold_rad(index);
        let tangent = |yaw: f64| rotate_plan(DVec2::X, yaw);
        let bisector = rotate_plan(DVec2::Y, (left_edge_yaw + right_edge_yaw) / 2.0);
        let edge = before.point(left, left_half)
            + tangent(left_edge_yaw) * (left.bezel_mm.right + seam.gap_mm / 2.0)
            + tangent(right_edge_yaw) * (right.bezel_mm.left + seam.gap_mm / 2.0)
            + bisector * seam.step_mm;
        let yaw = right_edge_yaw - turn_at(right, right_half);
        let height = before.height + seam.rise_mm;
        plans.push(Plan {
            middle: edge - rotate_plan(plan_profile(right, -right_half), yaw),
            yaw,
            height,
        });
    }
    plans
}
