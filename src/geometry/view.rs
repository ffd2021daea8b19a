//! One view: an equal share of a panel's columns.

use glam::DVec3;

use super::layout::Layout;
use super::surface::Surface;
use crate::parts::{Parts, ViewId};

/// A view and the surface that shows it.
///
/// Fractions run from (0, 0) at the view's top-left corner to (1, 1) at its
/// bottom-right one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// Which one it is.
    pub id: ViewId,
    /// The whole panel's surface.
    pub surface: Surface,
    /// How many views share the panel.
    pub shares: u32,
}

impl View {
    /// Arc length on the panel at a fraction of the view's width.
    pub fn s_mm(&self, u: f64) -> f64 {
        ((f64::from(self.id.view) + u) / f64::from(self.shares) - 0.5) * self.surface.size_mm[0]
    }

    /// Height on the panel at a fraction of the view's height.
    pub fn t_mm(&self, v: f64) -> f64 {
        (0.5 - v) * self.surface.size_mm[1]
    }

    /// The point at fractions of the view's width and height, in the seat frame.
    pub fn point_mm(&self, u: f64, v: f64) -> DVec3 {
        self.surface.point_mm(self.s_mm(u), self.t_mm(v))
    }

    /// The view's middle in the seat frame.
    pub fn middle_mm(&self) -> DVec3 {
        self.point_mm(0.5, 0.5)
    }

    /// Unit normal at the view's middle, towards the viewer.
    pub fn normal(&self) -> DVec3 {
        self.surface.normal(self.s_mm(0.5))
    }

    /// Width along the surface, in millimetres.
    pub fn width_mm(&self) -> f64 {
        self.surface.size_mm[0] / f64::from(self.shares)
    }

    /// Columns: not whole where the panel's columns don't divide by its views.
    pub fn columns(&self) -> f64 {
        self.surface.pixels[0] / f64::from(self.shares)
    }

    /// Rows.
    pub fn rows(&self) -> f64 {
        self.surface.pixels[1]
    }
}

impl Layout {
    /// Every view of every panel, from left to right, of the parts that were
    /// laid out.
    pub fn views(&self, parts: &Parts) -> Vec<View> {
        let panels = parts.panels.iter().zip(self.surfaces()).enumerate();
        panels
            .flat_map(|(panel, (part, surface))| {
                (0..part.views).map(move |view| View {
                    id: ViewId { panel, view },
                    surface: *surface,
                    shares: part.views,
                })
            })
            .collect()
    }
}
