//! How much smaller the drawing is than the rig.

use glam::DVec2;

/// A part of the paper that shows the rig to scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    /// Where the eye is on the paper.
    pub eye: DVec2,
    /// Millimetres of the rig for one on the paper.
    pub denominator: f64,
}

impl Frame {
    /// A point on the paper for lengths to the right of the eye and below it on
    /// the page, in the rig's millimetres.
    pub(super) fn at(&self, right_mm: f64, down_mm: f64) -> DVec2 {
        self.eye + DVec2::new(right_mm, down_mm) / self.denominator
    }
}

/// The extent of what a part of the drawing shows, in the rig's millimetres from
/// the eye: x to the right, y down the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Extent {
    pub min: DVec2,
    pub max: DVec2,
}

impl Extent {
    /// The extent of the eye alone.
    pub(super) fn eye() -> Extent {
        Extent {
            min: DVec2::ZERO,
            max: DVec2::ZERO,
        }
    }

    /// Grows so that it holds a point.
    pub(super) fn add(&mut self, point: DVec2) {
        self.min = self.min.min(point);
        self.max = self.max.max(point);
    }

    pub(super) fn size(&self) -> DVec2 {
        self.max - self.min
    }
}

/// Denominators that rulers and people can work with, from the largest drawing
/// to smaller ones without end.
pub(super) fn denominators() -> impl Iterator<Item = f64> {
    const STEPS: [f64; 7] = [1.0, 1.2, 1.5, 2.0, 3.0, 5.0, 7.5];
    let round = (0..6).flat_map(|power| STEPS.map(|step| step * 10.0 * 10_f64.powi(power)));
    std::iter::once(5.0).chain(round)
}

/// A round length of the rig that takes up about so much of the paper.
pub(super) fn bar_mm(denominator: f64, paper_mm: f64) -> f64 {
    let most = denominator * paper_mm;
    let power = 10_f64.powf(most.log10().floor());
    let step = [5.0, 2.0, 1.0]
        .into_iter()
        .find(|step| step * power <= most);
    step.unwrap_or(1.0) * power
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scale_bars_are_round_and_fit() {
        assert_eq!(bar_mm(10.0, 60.0), 500.0);
        assert_eq!(bar_mm(15.0, 60.0), 500.0);
        assert_eq!(bar_mm(20.0, 60.0), 1000.0);
        assert_eq!(bar_mm(5.0, 60.0), 200.0);
    }

    #[test]
    fn denominators_grow() {
        let all: Vec<f64> = denominators().collect();
        assert!(all.windows(2).all(|pair| pair[0] < pair[1]));
        assert_eq!(&all[..4], [5.0, 10.0, 12.0, 15.0]);
    }
}
