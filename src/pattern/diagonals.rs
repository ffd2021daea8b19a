//! Long diagonals that cross every seam, rising and falling, at several heights.
//!
//! Every seam has slots: four heights, each with a rising and a falling line.
//! Lines through the slots are tried at several slopes, and the one that serves
//! the most open slots of all seams is taken, until every slot is served. So
//! the lines' nodes, where they meet the horizon, spread over many azimuths.

use super::{Guide, Layer};
use crate::geometry::{EyePlane, Layout, LitEdge, Surface, azimuth, elevation};

/// Heights of the slots, as fractions of a seam's lit height that both sides share.
const HEIGHTS: [f64; 4] = [0.14, 0.38, 0.62, 0.86];
/// A line serves a slot when it crosses the seam this near to its height.
const NEAR: f64 = 0.09;
/// Slopes tried, in degrees.
const SLOPES_DEG: [f64; 5] = [34.0, 28.0, 22.0, 40.0, 16.0];
/// Slopes, in degrees, at which a crossing is of use.
const USEFUL_DEG: std::ops::RangeInclusive<f64> = 14.0..=60.0;

/// A place to be crossed: a seam's two lit edges, or the middle of a lone panel.
pub(super) struct Crossing<'a> {
    sides: [(&'a Surface, f64); 2],
    /// Azimuth in radians midway.
    pub azimuth: f64,
    /// Lowest and highest elevation in radians that is lit on both sides.
    pub elevations: [f64; 2],
}

impl<'a> Crossing<'a> {
    /// The crossing over a seam.
    pub(super) fn seam(layout: &'a Layout, seam: usize) -> Crossing<'a> {
        let [left, right] = layout.seam(seam);
        Crossing::between(
            (left, left.edge_s_mm(LitEdge::Right)),
            (right, right.edge_s_mm(LitEdge::Left)),
        )
    }

    fn between(left: (&'a Surface, f64), right: (&'a Surface, f64)) -> Crossing<'a> {
        let sides = [left, right];
        let ends = sides.map(|(surface, s)| {
            let half = surface.size_mm[1] / 2.0;
            [-half, half].map(|t| elevation(surface.point_mm(s, t)))
        });
        let [from, to] = sides.map(|(surface, s)| surface.point_mm(s, 0.0));
        Crossing {
            sides,
            azimuth: azimuth((from + to) / 2.0),
            elevations: [ends[0][0].max(ends[1][0]), ends[0][1].min(ends[1][1])],
        }
    }

    /// Whether any elevation is lit on both sides.
    pub(super) fn is_shared(&self) -> bool {
        self.elevations[0] < self.elevations[1]
    }

    /// Elevation in radians at a fraction of the shared height, from below.
    pub(super) fn elevation(&self, fraction: f64) -> f64 {
        let [low, high] = self.elevations;
        low + fraction * (high - low)
    }

    /// Where a plane crosses, as a fraction of the shared height, if it is lit
    /// on both sides.
    pub(super) fn fraction(&self, plane: EyePlane) -> Option<f64> {
        let mut sum = 0.0;
        for (surface, s) in self.sides {
            let t = surface.t_on(plane, s)?;
            if t.abs() > 0.49 * surface.size_mm[1] {
                return None;
            }
            sum += elevation(surface.point_mm(s, t));
        }
        let [low, high] = self.elevations;
        Some((sum / 2.0 - low) / (high - low))
    }

    /// Slope in degrees of a plane where it crosses, positive where it rises to
    /// the right.
    fn slope_deg(&self, plane: EyePlane) -> f64 {
        let n = plane.normal();
        let (sin, cos) = self.azimuth.sin_cos();
        // Elevation on the plane is atan(−(n.x·sin a − n.z·cos a) / n.y).
        let height = -(n.x * sin - n.z * cos) / n.y;
        let rise = -(n.x * cos + n.z * sin) / n.y;
        (rise / (1.0 + height * height).sqrt()).atan().to_degrees()
    }

    /// The slots that a plane serves, one bit each.
    fn served(&self, plane: EyePlane) -> u8 {
        let slope = self.slope_deg(plane);
        let Some(fraction) = self
            .fraction(plane)
            .filter(|_| USEFUL_DEG.contains(&slope.abs()))
        else {
            return 0;
        };
        let near = HEIGHTS
            .iter()
            .position(|height| (height - fraction).abs() < NEAR);
        near.map_or(0, |height| 1 << (2 * height + usize::from(slope > 0.0)))
    }
}

/// The diagonals that suit a layout.
pub(super) fn guides(layout: &Layout) -> Vec<Guide> {
    let crossings = crossings(layout);
    let mut candidates = Vec::new();
    for crossing in &crossings {
        for height in HEIGHTS {
            for slope in SLOPES_DEG.iter().flat_map(|&slope| [slope, -slope]) {
                let plane = EyePlane::at_slope(
                    crossing.azimuth,
                    crossing.elevation(height),
                    slope.to_radians(),
                );
                let served: Vec<u8> = crossings.iter().map(|c| c.served(plane)).collect();
                candidates.push((plane, served));
            }
        }
    }

    let mut open: Vec<u8> = vec![u8::MAX; crossings.len()];
    let mut chosen: Vec<EyePlane> = Vec::new();
    loop {
        let gain = |served: &[u8]| -> u32 {
            served
                .iter()
                .zip(&open)
                .map(|(s, o)| (s & o).count_ones())
                .sum()
        };
        // Of equals the first: the steeper slope, at the leftmost seam.
        let best = candidates
            .iter()
            .rev()
            .max_by_key(|(_, served)| gain(served));
        let Some((plane, served)) = best.filter(|(_, served)| gain(served) > 0) else {
            break;
        };
        chosen.push(*plane);
        for (open, served) in open.iter_mut().zip(served) {
            *open &= !served;
        }
    }
    chosen
        .into_iter()
        .enumerate()
        .map(|(index, plane)| Guide {
            name: format!("diagonal-{}", index + 1),
            layer: Layer::Diagonals,
            plane,
        })
        .collect()
}

fn crossings(layout: &Layout) -> Vec<Crossing<'_>> {
    let surfaces = layout.surfaces();
    if let [lone] = surfaces {
        return vec![Crossing::between((lone, 0.0), (lone, 0.0))];
    }
    (0..surfaces.len() - 1)
        .map(|seam| Crossing::seam(layout, seam))
        .filter(Crossing::is_shared)
        .collect()
}
