//! The canvas cut into rectangles, each the picture of one surface.
//!
//! Columns of a panel belong to its surface over the canvas's whole height, so
//! that what lies above or below it continues it. Columns between two
//! neighbours belong to the straight chord between their lit edges.

use glam::DVec3;

use super::layout::Layout;
use super::surface::{LitEdge, Surface};
use crate::parts::{Canvas, PxRect};

/// What a column of canvas pixels shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Ruling {
    /// A panel's surface, or its continuation above or below.
    Panel {
        /// Index of the panel.
        panel: usize,
        /// The panel's own rectangle on the canvas.
        lit: PxRect,
    },
    /// The chord behind a seam. At the fraction `u` of the columns from the
    /// left lit edge to the right one, and canvas row `y`, the point is
    /// `(1 − u)·(left + y·left_down) + u·(right + y·right_down)`.
    Chord {
        /// Left lit edge at canvas row 0.
        left: DVec3,
        /// Left lit edge, per canvas row.
        left_down: DVec3,
        /// Right lit edge at canvas row 0.
        right: DVec3,
        /// Right lit edge, per canvas row.
        right_down: DVec3,
        /// Canvas columns of the two lit edges.
        columns: [f64; 2],
    },
}

/// A rectangle of the canvas and what it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// The rectangle, in canvas pixels.
    pub rect: PxRect,
    /// What its columns show.
    pub ruling: Ruling,
}

/// Cuts the canvas into regions that don't overlap. Every panel's rectangle is
/// covered by regions of that panel. Areas that neither continue a panel nor lie
/// behind a seam, as an arrangement in the shape of an L can leave, get none.
pub fn regions(canvas: &Canvas, layout: &Layout) -> Vec<Region> {
    let [width, height] = canvas.size_px;
    let mut cuts: Vec<u32> = canvas
        .panels
        .iter()
        .flat_map(|p| [p.x, p.right()])
        .collect();
    cuts.extend([0, width]);
    cuts.sort_unstable();
    cuts.dedup();

    let mut regions: Vec<Region> = Vec::new();
    for pair in cuts.windows(2) {
        let (x, w) = (pair[0], pair[1] - pair[0]);
        let mut stack: Vec<usize> = (0..canvas.panels.len())
            .filter(|&i| canvas.panels[i].x <= x && canvas.panels[i].right() >= x + w)
            .collect();
        stack.sort_unstable_by_key(|&i| canvas.panels[i].y);
        let mut top = 0;
        for (place, &panel) in stack.iter().enumerate() {
            let lit = canvas.panels[panel];
            let bottom = stack.get(place + 1).map_or(height, |&below| {
                lit.bottom().midpoint(canvas.panels[below].y)
            });
            let rect = PxRect {
                x,
                y: top,
                w,
                h: bottom - top,
            };
            regions.push(Region {
                rect,
                ruling: Ruling::Panel { panel, lit },
            });
            top = bottom;
        }
        if stack.is_empty()
            && let Some(ruling) = chord(canvas, layout, x, x + w)
        {
            let rect = PxRect {
                x,
                y: 0,
                w,
                h: height,
            };
            regions.push(Region { rect, ruling });
        }
    }
    merge(regions)
}

/// The chord of the seam whose dark columns hold `from..to`.
fn chord(canvas: &Canvas, layout: &Layout, from: u32, to: u32) -> Option<Ruling> {
    let panels = &canvas.panels;
    let seam = (1..panels.len())
        .map(|i| i - 1)
        .find(|&i| panels[i].right() <= from && panels[i + 1].x >= to)?;
    let [left, right] = layout.seam(seam);
    let edge = |surface: &Surface, edge: LitEdge, lit: PxRect| {
        let s = surface.edge_s_mm(edge);
        let down = -surface.y * surface.pitch_mm()[1];
        let top = surface.point_mm(s, surface.t_at_px(0.0));
        (top - down * f64::from(lit.y), down)
    };
    let (left_at, left_down) = edge(left, LitEdge::Right, panels[seam]);
    let (right_at, right_down) = edge(right, LitEdge::Left, panels[seam + 1]);
    Some(Ruling::Chord {
        left: left_at,
        left_down,
        right: right_at,
        right_down,
        columns: [
            f64::from(panels[seam].right()),
            f64::from(panels[seam + 1].x),
        ],
    })
}

/// Joins neighbours that show the same thing, cut only by some other panel's edge.
fn merge(regions: Vec<Region>) -> Vec<Region> {
    let mut merged: Vec<Region> = Vec::new();
    for region in regions {
        let joins = |known: &&mut Region| {
            known.ruling == region.ruling
                && known.rect.right() == region.rect.x
                && (known.rect.y, known.rect.h) == (region.rect.y, region.rect.h)
        };
        match merged.iter_mut().find(joins) {
            Some(known) => known.rect.w += region.rect.w,
            None => merged.push(region),
        }
    }
    merged
}
