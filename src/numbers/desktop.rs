//! Where each display belongs on the desktop, up and down, so that what leaves
//! one panel enters the next at the height at which it left.

use crate::geometry::{LitEdge, Surface, edge_heights_mm, shared_heights_mm};
use crate::rig::Rig;

/// One panel's place on the desktop, up and down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DesktopPlace {
    /// Top row in whole pixels, told from the facing panel's top row; positive
    /// below it. At that place equal physical heights meet at the seam towards
    /// the facing panel, midway up what both panels have in common there.
    pub top_px: i64,
    /// Top row as the rig has it, told in the same way.
    pub top_now_px: i64,
    /// Most by which heights on one desktop row differ across that seam, over
    /// what both panels have in common: what differing pitches and whole pixels
    /// leave. `None` for the facing panel.
    pub residual_mm: Option<f64>,
}

/// Every panel's place, from left to right; `None` from the first panel on, as
/// told from the facing one, whose edge at the seam is not upright enough to
/// have rows.
pub fn desktop_places(rig: &Rig) -> Vec<Option<DesktopPlace>> {
    let facing = rig.seat().view.panel;
    let canvas = rig.canvas();
    let top_now_px =
        |panel: usize| i64::from(canvas.panels[panel].y) - i64::from(canvas.panels[facing].y);
    let mut places = vec![None; rig.panels().len()];
    places[facing] = Some(DesktopPlace {
        top_px: 0,
        top_now_px: 0,
        residual_mm: None,
    });
    let rightwards = (facing + 1..places.len()).map(|panel| (panel - 1, panel));
    let leftwards = (0..facing).rev().map(|panel| (panel + 1, panel));
    for (from, to) in rightwards.chain(leftwards) {
        let towards = if to > from {
            LitEdge::Right
        } else {
            LitEdge::Left
        };
        let (Some(DesktopPlace { top_px, .. }), Some(near), Some(far)) = (
            places[from],
            EdgeRows::of(&rig.layout().surfaces()[from], towards),
            EdgeRows::of(&rig.layout().surfaces()[to], towards.opposite()),
        ) else {
            continue;
        };
        let [low, high] = shared_heights_mm(near.ends_mm, far.ends_mm);
        let middle_mm = f64::midpoint(low, high);
        let top = top_px as f64 + near.row(middle_mm) - far.row(middle_mm);
        let top = top.round();
        let off_mm = |height_mm: f64| {
            let row = top_px as f64 + near.row(height_mm) - top;
            (far.height_mm(row) - height_mm).abs()
        };
        places[to] = Some(DesktopPlace {
            top_px: top as i64,
            top_now_px: top_now_px(to),
            residual_mm: Some(off_mm(low).max(off_mm(high))),
        });
    }
    places
}

/// A lit edge beside a seam: heights in the seat frame and the rows there.
struct EdgeRows {
    /// Lowest and highest.
    ends_mm: [f64; 2],
    top_mm: f64,
    /// Down one row; may be negative for a panel that stands on its head.
    row_mm: f64,
}

impl EdgeRows {
    fn of(surface: &Surface, edge: LitEdge) -> Option<EdgeRows> {
        let s = surface.edge_s_mm(edge);
        Some(EdgeRows {
            ends_mm: edge_heights_mm(surface, edge)?,
            top_mm: surface.point_mm(s, surface.t_at_px(0.0)).y,
            row_mm: surface.y.y * surface.pitch_mm()[1],
        })
    }

    fn row(&self, height_mm: f64) -> f64 {
        (self.top_mm - height_mm) / self.row_mm
    }

    fn height_mm(&self, row: f64) -> f64 {
        self.top_mm - row * self.row_mm
    }
}
