//! What lines are read for.

use glam::DVec3;

use super::near::{NEAR, between, crossing};
use crate::geometry::{EyePlane, Layout};

/// Heights of the crossings of far lines, as shares of half the shared height.
const HEIGHTS: [f64; 5] = [-0.84, -0.42, 0.0, 0.42, 0.84];
/// Their slopes there, in degrees.
const SLOPES: [f64; 5] = [-45.0, -25.0, 0.0, 25.0, 45.0];
/// Where they are read, as shares of the right panel's columns.
const FAR: [f64; 3] = [0.25, 0.55, 0.9];
/// Where near lines are read.
pub(super) const AT_EDGE: f64 = 0.0;

/// What a line is read for. An eye that is off along an axis leaves straight every line
/// whose plane holds that axis, so each purpose has its own lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// A rise, on the horizon, which no wrong distance or offset breaks.
    Heights,
    /// A fold, on lanes, which no wrong distance breaks.
    Folds,
    /// The distance, on lines across the floor and the sky.
    Distance,
    /// A gap, on slanted lines at the seam's edge.
    Gaps,
    /// Whatever is uncertain, on any line.
    Whatever,
}

impl Purpose {
    /// Planes of lines that serve it at a seam, each with the share of the right
    /// panel's columns at which it is read.
    pub(super) fn planes(self, layout: &Layout, seam: usize) -> Vec<(EyePlane, f64)> {
        let at_heights = |axis: DVec3, at: &[f64]| -> Vec<(EyePlane, f64)> {
            let heights = HEIGHTS.iter().filter(|share| **share != 0.0);
            heights
                .filter_map(|&share| EyePlane::through(between(layout, seam, share)?, axis))
                .flat_map(|plane| at.iter().map(move |&at| (plane, at)))
                .collect()
        };
        let near = || {
            let lines = NEAR.iter();
            lines.filter_map(|&[share, slope]| {
                Some((crossing(layout, seam, share, slope)?, AT_EDGE))
            })
        };
        match self {
            Purpose::Heights => [AT_EDGE, FAR[0]].map(|at| (EyePlane::HORIZON, at)).to_vec(),
            Purpose::Folds => at_heights(DVec3::Z, &FAR),
            Purpose::Distance => at_heights(DVec3::X, &FAR),
            Purpose::Gaps => near().collect(),
            Purpose::Whatever => {
                let far = HEIGHTS.iter().flat_map(|&share| {
                    let slopes = SLOPES.iter();
                    slopes.filter_map(move |&slope| crossing(layout, seam, share, slope))
                });
                let far = far.flat_map(|plane| FAR.map(|at| (plane, at)));
                near().chain(far).collect()
            }
        }
    }
}
