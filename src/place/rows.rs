//! Where every display goes on the desktop, so that eye level runs through one row.

use crate::fit::Frame;
use crate::geometry::{EyePlane, Layout, LitEdge};
use crate::rig::{Parts, Rig};

/// Displays that adjoin, with eye level in one row of the desktop.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Rows {
    /// Every panel's left and top edge, told from the facing panel's.
    pub places: Vec<[f64; 2]>,
    /// The row of eye level, told in the same way.
    pub middle: f64,
    /// From that row to the nearest edge of any panel; negative where one lies beyond it.
    pub inside: f64,
    /// From that row to the farthest edge of any panel.
    pub hanging: f64,
}

/// Where a panel's left edge lies, told from the facing panel's, where displays adjoin;
/// columns hidden behind seams count.
pub(crate) fn lefts(parts: &Parts) -> Vec<i64> {
    let mut left = 0;
    let lefts: Vec<i64> = (parts.panels.iter().enumerate())
        .map(|(panel, part)| {
            let here = left;
            let hidden = parts.seams.get(panel).map_or(0, |seam| seam.hidden_px);
            left += i64::from(part.pixels[0]) + i64::from(hidden);
            here
        })
        .collect();
    let facing = lefts[parts.seat.view.panel];
    lefts.into_iter().map(|left| left - facing).collect()
}

impl Rows {
    /// The rows of parts that are laid out; `None` where the eye doesn't see eye level cross
    /// an edge. `tops` are the panels' tops on the canvas, which displays that share hidden
    /// columns keep among themselves.
    pub(crate) fn of(parts: &Parts, layout: &Layout, tops: &[f64]) -> Option<Rows> {
        let count = parts.panels.len();
        let mut eye_rows = Vec::with_capacity(count);
        for panel in 0..count {
            eye_rows.push(eye_row(layout, panel, count)?);
        }
        let group = |panel: usize| {
            let hides = |seam: usize| parts.seams[seam].hidden_px > 0;
            let first = (0..panel)
                .rev()
                .find(|&seam| !hides(seam))
                .map_or(0, |seam| seam + 1);
            let last = (panel..count - 1)
                .find(|&seam| !hides(seam))
                .unwrap_or(count - 1);
            first..=last
        };
        // Eye level's row on the desktop, told from a panel's top, as its group has it.
        let row = |panel: usize| {
            let rows: Vec<f64> = group(panel)
                .map(|other| tops[other] - tops[panel] + eye_rows[other])
                .collect();
            rows.iter().sum::<f64>() / rows.len() as f64
        };
        let middle = row(parts.seat.view.panel);
        let (mut inside, mut hanging) = (f64::INFINITY, 0.0_f64);
        let lefts = lefts(parts);
        let mut places = Vec::with_capacity(count);
        for (panel, &left) in lefts.iter().enumerate() {
            let above = row(panel);
            let below = f64::from(parts.panels[panel].pixels[1]) - above;
            inside = inside.min(above).min(below);
            hanging = hanging.max(above).max(below);
            places.push([left as f64, middle - above]);
        }
        (middle.is_finite() && hanging.is_finite()).then_some(Rows {
            places,
            middle,
            inside,
            hanging,
        })
    }

    /// A window of columns around eye level.
    pub(crate) fn frame(&self, x: f64, column: f64, count: usize, half: f64) -> Frame {
        Frame {
            x,
            column,
            count,
            y: self.middle - half,
            height: 2.0 * half,
            places: self.places.clone(),
            whole: false,
        }
    }
}

/// Row of a panel that eye level crosses, averaged over its edges at seams; at its middle
/// column where it has none.
fn eye_row(layout: &Layout, panel: usize, count: usize) -> Option<f64> {
    let surface = &layout.surfaces()[panel];
    let row = |s: f64| {
        surface
            .t_on(EyePlane::HORIZON, s)
            .map(|t| surface.py_at_t(t))
    };
    let mut rows = Vec::new();
    if panel > 0 {
        rows.push(row(surface.edge_s_mm(LitEdge::Left))?);
    }
    if panel + 1 < count {
        rows.push(row(surface.edge_s_mm(LitEdge::Right))?);
    }
    if rows.is_empty() {
        return row(0.0);
    }
    Some(rows.iter().sum::<f64>() / rows.len() as f64)
}

/// Desktop rows, told from the facing panel's top, in which eye level crosses each panel of
/// a rig; a panel that it doesn't cross has its middle row.
pub(crate) fn eye_level_rows(rig: &Rig) -> Vec<f64> {
    let canvas = &rig.canvas().panels;
    let facing = f64::from(canvas[rig.seat().view.panel].y);
    (canvas.iter().enumerate())
        .map(|(panel, lit)| {
            let row = eye_row(rig.layout(), panel, canvas.len());
            f64::from(lit.y) - facing + row.unwrap_or(f64::from(lit.h) / 2.0)
        })
        .collect()
}
