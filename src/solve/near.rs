//! The lines at a seam's edge by which an estimate is judged: how far they still break.

use glam::DVec3;

use super::estimate::{Estimate, quadratic};
use crate::geometry::{
    EyePlane, Layout, LitEdge, azimuth, edge_break, edge_heights_mm, elevation, shared_heights_mm,
};
use crate::least_squares::slopes;

/// Where a near line crosses the seam, as a share of half the height that both edges
/// reach, and how steeply it rises there in degrees.
pub(super) const NEAR: [[f64; 2]; 4] = [[-0.84, -45.0], [-0.42, 30.0], [0.42, -30.0], [0.84, 45.0]];

/// A kink counts as the break that it grows to over this turn of the eye, in radians:
/// an own choice, about as far beyond the seam as the near lines' left parts reach
/// before it. Without it a fold would count for nothing, since it bends lines at the
/// seam and hardly breaks them.
const KINK_RUN: f64 = 0.1;

/// The plane of a line that crosses a seam at a share of half the height that both
/// lit edges reach, rising to the right by `slope_deg` there; `None` where the edges
/// are hardly upright.
pub(super) fn crossing(
    layout: &Layout,
    seam: usize,
    share: f64,
    slope_deg: f64,
) -> Option<EyePlane> {
    let middle = between(layout, seam, share)?;
    let slope = slope_deg.to_radians();
    Some(EyePlane::at_slope(
        azimuth(middle),
        elevation(middle),
        slope,
    ))
}

/// The point half-way between both lit edges at a share of half the height that they
/// share, in millimetres in the seat frame; `None` where the edges are hardly upright.
pub(super) fn between(layout: &Layout, seam: usize, share: f64) -> Option<DVec3> {
    let [left, right] = layout.seam(seam);
    let sides = [(left, LitEdge::Right), (right, LitEdge::Left)];
    let [one, other] = sides.map(|(surface, edge)| edge_heights_mm(surface, edge));
    let [low, high] = shared_heights_mm(one?, other?);
    let height = f64::midpoint(low, high) + share * (high - low) / 2.0;
    let [from, to] = sides.map(|(surface, edge)| {
        let s = surface.edge_s_mm(edge);
        surface.point_mm(s, (height - surface.point_mm(s, 0.0).y) / surface.y.y)
    });
    Some((from + to) / 2.0)
}

/// Seam and plane of every near line of a laid-out rig.
fn near(layout: &Layout) -> Vec<(usize, EyePlane)> {
    let seams = 0..layout.surfaces().len().saturating_sub(1);
    seams
        .flat_map(|seam| {
            let lines = NEAR.iter();
            lines.filter_map(move |&[share, slope]| {
                Some((seam, crossing(layout, seam, share, slope)?))
            })
        })
        .collect()
}

/// How far near lines drawn for one rig break on another, in radians, positive up, and
/// then how far their kinks lead them astray; 0 for those that don't reach both edges.
fn breaks(lines: &[(usize, EyePlane)], drawn: &Layout, built: &Layout, into: &mut Vec<f64>) {
    let found = lines.iter().map(|&(seam, plane)| {
        let found = edge_break(drawn.seam(seam), built.seam(seam), plane, DVec3::ZERO)?;
        Some([found.break_rad, found.kink_rad * KINK_RUN])
    });
    let found: Vec<[f64; 2]> = found.map(Option::unwrap_or_default).collect();
    into.extend(found.iter().map(|[at_edge, _]| at_edge));
    into.extend(found.iter().map(|[_, astray]| astray));
}

/// How far near lines break at a seam, as far as is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamBreaks {
    /// Index of the seam, from 0 at the left.
    pub seam: usize,
    /// The largest break, in radians, of lines drawn for the file.
    pub before_rad: f64,
    /// What that is uncertain by, 1σ.
    pub before_sigma_rad: f64,
    /// What lines drawn for the solved rig are still expected to break by, 1σ, of the
    /// line that is known least.
    pub after_rad: f64,
}

/// How every near line's break changes with the steps around the estimate, and how far
/// its kink leads it astray, in radians.
pub(super) struct NearSlopes {
    seams: Vec<usize>,
    /// One row a line.
    breaks: Vec<Vec<f64>>,
    /// One row a line.
    kinks: Vec<Vec<f64>>,
}

impl NearSlopes {
    /// Of lines drawn for `drawn`, near the estimate.
    fn new(estimate: &Estimate, drawn: &Layout) -> NearSlopes {
        let lines = near(drawn);
        let evaluate = |steps: &[f64], into: &mut Vec<f64>| match estimate.space.layout(steps) {
            Some(built) => breaks(&lines, drawn, &built, into),
            None => into.extend((0..2 * lines.len()).map(|_| f64::NAN)),
        };
        let columns = slopes(evaluate, &estimate.steps);
        let row = |line: usize| columns.iter().map(|column| column[line]).collect();
        let count = lines.len();
        NearSlopes {
            breaks: (0..count).map(row).collect(),
            kinks: (count..2 * count).map(row).collect(),
            seams: lines.iter().map(|(seam, _)| *seam).collect(),
        }
    }

    /// All that counts.
    pub(super) fn rows(&self) -> impl Iterator<Item = &Vec<f64>> {
        self.breaks.iter().chain(&self.kinks)
    }

    /// Of lines drawn for the estimate itself: what is left once the file says it.
    pub(super) fn after(estimate: &Estimate) -> NearSlopes {
        NearSlopes::new(estimate, estimate.rig().layout())
    }
}

impl Estimate {
    /// What near lines break by at every seam: drawn for the file that the readings
    /// were taken on, whose laid-out rig is `file`, and drawn for the solved rig.
    pub fn breaks(&self, file: &Layout) -> Vec<SeamBreaks> {
        let lines = near(file);
        let mut found = Vec::new();
        breaks(&lines, file, self.rig().layout(), &mut found);
        let before = NearSlopes::new(self, file);
        let after = NearSlopes::after(self);
        let sigma = |row: &Vec<f64>| quadratic(&self.spread, row).max(0.0).sqrt();
        (0..file.surfaces().len().saturating_sub(1))
            .map(|seam| {
                let here = (0..lines.len()).filter(|&line| lines[line].0 == seam);
                let worst = here.max_by(|&a, &b| found[a].abs().total_cmp(&found[b].abs()));
                let left = after.seams.iter().zip(&after.breaks);
                let left = left
                    .filter(|(of, _)| **of == seam)
                    .map(|(_, row)| sigma(row));
                SeamBreaks {
                    seam,
                    before_rad: worst.map_or(0.0, |line| found[line].abs()),
                    before_sigma_rad: worst.map_or(0.0, |line| sigma(&before.breaks[line])),
                    after_rad: left.fold(0.0, f64::max),
                }
            })
            .collect()
    }

    /// What the worst near line of all seams is still expected to break by once the
    /// file says the solved rig, in radians, 1σ.
    pub fn left_rad(&self) -> f64 {
        let after = NearSlopes::after(self);
        let squares = after.breaks.iter().map(|row| quadratic(&self.spread, row));
        squares.fold(0.0, f64::max).sqrt()
    }
}
