//! What is known of the rig's numbers before anything is read.

use super::estimate::Estimate;
use super::measured::Measured;
use crate::least_squares::whitening;
use crate::parts::{Measure, PanelQuantity, Parts, SeamQuantity, SeatQuantity};
use crate::readings::Prior;
use crate::rig::Rig;

/// How far a rig's file is usually off where nothing else is known, 1σ in the value's
/// unit; `None` for what is held unless a prior names it.
fn usual(measure: Measure, parts: &Parts) -> Option<f64> {
    let is_facing = |panel: usize| panel == parts.seat.view.panel;
    match measure {
        Measure::Seat(SeatQuantity::Distance | SeatQuantity::Height) => Some(15.0),
        Measure::Seat(SeatQuantity::Offset) => Some(10.0),
        Measure::Seam(_, SeamQuantity::Fold) => Some(2.0),
        Measure::Seam(_, SeamQuantity::Gap) => Some(1.0),
        Measure::Seam(_, SeamQuantity::Step | SeamQuantity::Rise) => Some(2.0),
        // Turning the whole rig breaks no line: a level tells the facing panel's.
        Measure::Panel(panel, _) if is_facing(panel) => None,
        Measure::Panel(_, PanelQuantity::Roll) => Some(0.5),
        Measure::Panel(_, PanelQuantity::Tilt) => Some(1.0),
        Measure::Seam(..) | Measure::Panel(..) => None,
    }
}

/// What is known of a rig's numbers beforehand: which may be otherwise than its file
/// says, where each is expected, and how surely.
///
/// # Guarantees
///
/// Every number is one that the rig has, once; sigmas are finite and above 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Priors {
    pub(crate) measures: Vec<Measure>,
    pub(super) centre: Vec<f64>,
    pub(crate) sigma: Vec<f64>,
    /// W with W · (value − centre) of covariance 1, by rows.
    pub(super) whitening: Vec<Vec<f64>>,
}

impl Priors {
    /// The usual ones of a rig, about what its file says, with those that are named
    /// instead. A named one that the rig doesn't have counts nothing.
    pub fn new(rig: &Rig, named: &[Prior]) -> Priors {
        let parts = rig.parts();
        let sigma_of = |measure: Measure| {
            let own = named.iter().rev().find(|prior| prior.measure == measure);
            own.map(|prior| prior.sigma)
                .or_else(|| usual(measure, parts))
        };
        let mut priors = Priors {
            measures: Vec::new(),
            centre: Vec::new(),
            sigma: Vec::new(),
            whitening: Vec::new(),
        };
        for measure in Measure::of_surfaces(parts) {
            let sigma = sigma_of(measure).filter(|sigma| sigma.is_finite() && *sigma > 0.0);
            if let (Some(sigma), Some(file)) = (sigma, measure.plain(parts)) {
                priors.measures.push(measure);
                priors.centre.push(file);
                priors.sigma.push(sigma);
            }
        }
        let count = priors.measures.len();
        priors.whitening = (0..count)
            .map(|i| {
                let mut row = vec![0.0; count];
                row[i] = priors.sigma[i].recip();
                row
            })
            .collect();
        priors
    }

    /// The same with what was measured in another way, for the numbers that both
    /// know; the others stay as they are.
    #[must_use]
    pub fn measured(mut self, measured: &Measured) -> Priors {
        let places: Vec<(usize, usize)> = (self.measures.iter().enumerate())
            .filter_map(|(own, measure)| Some((own, measured.place(*measure)?)))
            .collect();
        for &(own, theirs) in &places {
            self.centre[own] = measured.value(theirs);
            self.sigma[own] = measured.covariance(theirs, theirs).sqrt();
        }
        let part: Vec<Vec<f64>> = places
            .iter()
            .map(|&(_, i)| {
                places
                    .iter()
                    .map(|&(_, j)| measured.covariance(i, j))
                    .collect()
            })
            .collect();
        // A part of a covariance is one too.
        if let Some(white) = whitening(&part) {
            for (row, &(own, _)) in white.iter().zip(&places) {
                self.whitening[own].fill(0.0);
                for (entry, &(other, _)) in row.iter().zip(&places) {
                    self.whitening[own][other] = *entry;
                }
            }
        }
        self
    }

    /// The same without the seat's numbers, which are held then.
    #[must_use]
    pub(crate) fn without_seat(mut self) -> Priors {
        let is_kept: Vec<bool> = (self.measures.iter())
            .map(|measure| !matches!(measure, Measure::Seat(_)))
            .collect();
        fn keep<T>(all: &mut Vec<T>, is_kept: &[bool]) {
            let mut kept = is_kept.iter();
            all.retain(|_| kept.next().is_some_and(|kept| *kept));
        }
        keep(&mut self.measures, &is_kept);
        keep(&mut self.centre, &is_kept);
        keep(&mut self.sigma, &is_kept);
        keep(&mut self.whitening, &is_kept);
        for row in &mut self.whitening {
            keep(row, &is_kept);
        }
        self
    }

    /// What an estimate knows, about the rig that it solved.
    pub fn after(estimate: &Estimate) -> Priors {
        let before = &estimate.space.priors;
        let covariance = estimate.covariance();
        Priors {
            measures: before.measures.clone(),
            centre: estimate.values().iter().map(|value| value.solved).collect(),
            sigma: estimate.values().iter().map(|value| value.sigma).collect(),
            whitening: whitening(&covariance).unwrap_or_else(|| before.whitening.clone()),
        }
    }

    /// The numbers that may be otherwise than the file says, in the rig file's order:
    /// the seat, the panels, the seams.
    pub fn measures(&self) -> &[Measure] {
        &self.measures
    }
}
