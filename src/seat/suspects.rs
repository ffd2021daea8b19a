//! The values of a rig file that may be wrong, and the breaks each would cause.

use glam::DVec3;

use super::breaks::{Drawn, Reading};
use super::greedy::{Change, Residuals};
use crate::geometry::{EyePlane, Layout, edge_break};
use crate::pattern::Line;
use crate::rig::{Measure, PanelQuantity, Parts, Rig, SeamQuantity, SeatQuantity};

/// A kink counts as the displacement it grows to over this turn of the eye, in
/// radians: about a hand's width at the panels' distance.
const KINK_RUN: f64 = 0.2;
/// What a reading is taken to be uncertain by, in radians, 1σ: a hundredth of an
/// arc-minute, since breaks are computed and not read by eye. Where the root mean
/// square is below it, nothing is to be explained.
const NOISE: f64 = 3e-6;
/// A change small enough to differentiate by, in 1σ of what is usual.
const SMALL: f64 = 1e-4;

/// How far a measure is usually off, 1σ, in what [`turned`] takes: our own choice,
/// after what tapes, protractors and data sheets leave open. It decides only
/// between values that explain the same.
fn usual(measure: Measure) -> f64 {
    match measure {
        Measure::Seam(_, SeamQuantity::Gap) => 1.0,
        Measure::Seam(_, SeamQuantity::Step | SeamQuantity::Rise) => 3.0,
        Measure::Seam(..) => 1.0,
        Measure::Panel(_, PanelQuantity::Tilt) => 1.0,
        Measure::Panel(_, PanelQuantity::Roll) => 0.5,
        Measure::Panel(_, PanelQuantity::Radius) => 0.1,
        Measure::Panel(..) => 0.01,
        Measure::Seat(SeatQuantity::Distance) => 15.0,
        Measure::Seat(SeatQuantity::Height | SeatQuantity::Offset) => 10.0,
    }
}

/// Every measure that may be off, one after the other.
fn suspects(parts: &Parts) -> Vec<Measure> {
    let seams = (0..parts.seams.len()).flat_map(|seam| {
        let lengths = [SeamQuantity::Gap, SeamQuantity::Step, SeamQuantity::Rise];
        let lengths = lengths.map(|what| Measure::Seam(seam, what));
        Measure::turn(parts, seam).into_iter().chain(lengths)
    });
    let panels = (0..parts.panels.len()).flat_map(|panel| {
        [
            PanelQuantity::Tilt,
            PanelQuantity::Roll,
            PanelQuantity::Diagonal,
            PanelQuantity::Width,
        ]
        .map(|what| Measure::Panel(panel, what))
    });
    let curves = (0..parts.panels.len()).map(|i| Measure::Panel(i, PanelQuantity::Radius));
    let all = seams.chain(panels).chain(curves);
    all.chain(SeatQuantity::ALL.map(Measure::Seat))
        .filter(|measure| measure.get(parts).is_some())
        .collect()
}

/// The parts with a measure changed: in its unit; sizes by a share, both sides
/// alike; a radius by a share of its inverse, the curvature.
fn turned(mut parts: Parts, measure: Measure, by: f64) -> Parts {
    let moved = |now: f64| match measure {
        Measure::Panel(_, PanelQuantity::Diagonal | PanelQuantity::Width) => now * (1.0 + by),
        Measure::Panel(_, PanelQuantity::Radius) => now / (1.0 + by),
        _ => now + by,
    };
    // A panel that is larger than its file says keeps its shape.
    let height = match measure {
        Measure::Panel(panel, PanelQuantity::Width) => {
            Some(Measure::Panel(panel, PanelQuantity::Height))
        }
        _ => None,
    };
    for measure in std::iter::once(measure).chain(height) {
        if let Some(now) = measure.get(&parts) {
            measure.put(&mut parts, moved(now));
        }
    }
    parts
}

/// Breaks and kinks that are to be explained by wrong values of a rig file.
pub(super) struct Suspicion<'a> {
    parts: &'a Parts,
    drawn: &'a Drawn,
    measures: Vec<Measure>,
    /// Seam and plane of every reading.
    places: Vec<(usize, EyePlane)>,
    /// Break and kink of every reading, in radians.
    seen: Vec<f64>,
}

impl<'a> Suspicion<'a> {
    pub(super) fn new(
        file: &'a Rig,
        drawn: &'a Drawn,
        lines: &[Line],
        seen: &[Reading],
    ) -> Suspicion<'a> {
        let plane_of = |name: &str| lines.iter().find(|line| line.name == name);
        let (places, seen): (Vec<_>, Vec<_>) = seen
            .iter()
            .filter(|reading| reading.is_drawn())
            .filter_map(|reading| {
                let plane = plane_of(&reading.line)?.plane;
                let found = reading.found;
                Some((
                    (reading.seam, plane),
                    [found.break_rad, found.kink_rad * KINK_RUN],
                ))
            })
            .unzip();
        Suspicion {
            parts: file.parts(),
            drawn,
            measures: suspects(file.parts()),
            places,
            seen: seen.into_iter().flatten().collect(),
        }
    }

    /// How many figures are to be explained: two of every reading.
    pub(super) fn figures(&self) -> usize {
        self.seen.len()
    }

    /// The measure with a number.
    pub(super) fn measure(&self, value: usize) -> Measure {
        self.measures[value]
    }

    /// The rig file's parts with these changes.
    pub(super) fn changed(&self, changes: &[Change]) -> Parts {
        let parts = self.parts.clone();
        changes.iter().fold(parts, |parts, &(value, by)| {
            let measure = self.measures[value];
            turned(parts, measure, by * usual(measure))
        })
    }

    fn angles(&self, built: &Layout) -> Option<Vec<f64>> {
        let mut angles = Vec::with_capacity(self.seen.len());
        for &(seam, plane) in &self.places {
            let [left, right] = &self.drawn[seam];
            let found = edge_break([left, right], built.seam(seam), plane, DVec3::ZERO)?;
            angles.extend([found.break_rad, found.kink_rad * KINK_RUN]);
        }
        Some(angles)
    }
}

impl Residuals for Suspicion<'_> {
    fn values(&self) -> usize {
        self.measures.len()
    }

    fn left(&self, changes: &[Change]) -> Option<Vec<f64>> {
        let rig = Rig::new(self.changed(changes)).ok()?;
        let angles = self.angles(rig.layout())?;
        let pairs = self.seen.iter().zip(&angles);
        Some(pairs.map(|(seen, angle)| (seen - angle) / NOISE).collect())
    }

    fn column(&self, changes: &[Change], value: usize) -> Option<Vec<f64>> {
        let beside = |by: f64| {
            let mut changes = changes.to_vec();
            match changes.iter_mut().find(|(known, _)| *known == value) {
                Some((_, now)) => *now += by,
                None => changes.push((value, by)),
            }
            self.left(&changes)
        };
        let (less, more) = (beside(-SMALL)?, beside(SMALL)?);
        let pairs = less.iter().zip(&more);
        Some(pairs.map(|(a, b)| (a - b) / (2.0 * SMALL)).collect())
    }
}
