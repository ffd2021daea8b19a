//! One side of a seam: a panel and which of its edges.

use crate::geometry::{LitEdge, Surface};

/// One side of a seam: a panel and which of its edges.
#[derive(Debug, Clone, Copy)]
pub(super) struct SeamSide {
    pub panel: usize,
    pub edge: LitEdge,
}

impl SeamSide {
    /// The left side of a seam, and the right one.
    pub(super) fn both(seam: usize) -> [SeamSide; 2] {
        [
            SeamSide {
                panel: seam,
                edge: LitEdge::Right,
            },
            SeamSide {
                panel: seam + 1,
                edge: LitEdge::Left,
            },
        ]
    }

    /// Whether the seam is at the panel's right.
    pub(super) fn is_right_edge(self) -> bool {
        self.edge == LitEdge::Right
    }

    /// Row at which the eye sees an elevation along the lit edge.
    pub(super) fn row(self, surface: &Surface, elevation: f64) -> Option<f64> {
        surface
            .t_at_elevation(surface.edge_s_mm(self.edge), elevation)
            .map(|t| surface.py_at_t(t))
            .filter(|row| (0.0..=surface.pixels[1]).contains(row))
    }

    /// The panel's column that is so many off the edge.
    pub(super) fn px_off(self, surface: &Surface, off: f64) -> f64 {
        match self.edge {
            LitEdge::Right => surface.pixels[0] - off,
            LitEdge::Left => off,
        }
    }

    /// The panel's columns between two distances off the edge, from the left.
    pub(super) fn columns_off(self, surface: &Surface, from: f64, to: f64) -> [f64; 2] {
        let [from, to] = [from, to].map(|off| self.px_off(surface, off));
        [from.min(to), from.max(to)]
    }
}
