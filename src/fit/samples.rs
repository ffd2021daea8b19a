//! The pixels over which a model is compared with the rig.
//!
//! A sum over all pixels is an integral over each view in all but name, so a
//! Gauss-Legendre rule takes its place; sides of few pixels are summed as they
//! are.

use glam::DVec3;

use crate::geometry::View;

/// A place on a view, what it weighs, and where the eye sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    /// Place of the view among all views.
    pub view: usize,
    /// Fraction of the view's width.
    pub u: f64,
    /// Fraction of the view's height.
    pub v: f64,
    /// Share of all pixels for which it stands; all shares add up to 1.
    pub weight: f64,
}

/// How finely views are sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fineness {
    /// To find out roughly where the best fit lies.
    Coarse,
    /// As good as all pixels.
    Full,
}

/// Samples of all views, weighted by their pixels.
pub(super) fn samples(views: &[View], fineness: Fineness) -> Vec<Sample> {
    let most = match fineness {
        Fineness::Coarse => 6,
        Fineness::Full => 20,
    };
    // Rigs of dozens of views are sampled no finer than they need.
    let rows_most = match views.len() {
        0..=24 => most,
        25..=96 => most.min(10),
        _ => most.min(6),
    };
    let mut samples = Vec::new();
    for (index, view) in views.iter().enumerate() {
        let columns_most = (most / view.shares as usize).max(3);
        let across = rule(view_columns(view), view.columns(), columns_most);
        let down = rule(all_rows(view), view.rows(), rows_most);
        for &(u, wide) in &across {
            for &(v, high) in &down {
                samples.push(Sample {
                    view: index,
                    u,
                    v,
                    weight: wide * high,
                });
            }
        }
    }
    let total: f64 = samples.iter().map(|sample| sample.weight).sum();
    for sample in &mut samples {
        sample.weight /= total;
    }
    samples
}

/// First column, in panel pixels, whose centre lies in the view, and how many there are.
pub(super) fn view_columns(view: &View) -> Side {
    let wide = view.columns();
    let edge = |number: u32| ((f64::from(number) * wide - 0.5).ceil().max(0.0)) as u32;
    let (first, next) = (edge(view.id.view), edge(view.id.view + 1));
    Side {
        first,
        count: next.saturating_sub(first).max(1),
        start_px: f64::from(view.id.view) * wide,
        length_px: wide,
    }
}

/// The view's rows.
pub(super) fn all_rows(view: &View) -> Side {
    Side {
        first: 0,
        count: view.rows() as u32,
        start_px: 0.0,
        length_px: view.rows(),
    }
}

/// The pixels along one side of a view.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Side {
    /// Index of the first pixel on the panel.
    first: u32,
    /// How many there are.
    pub count: u32,
    start_px: f64,
    length_px: f64,
}

impl Side {
    /// Fraction of the view's side at the centre of a pixel, counted in the view.
    pub(super) fn centre(&self, pixel: u32) -> f64 {
        (f64::from(self.first + pixel) + 0.5 - self.start_px) / self.length_px
    }
}

/// Fractions along a side and their weights, which add up to its pixels.
fn rule(side: Side, length_px: f64, most: usize) -> Vec<(f64, f64)> {
    if side.count as usize <= most {
        return (0..side.count)
            .map(|pixel| (side.centre(pixel), 1.0))
            .collect();
    }
    gauss_legendre(most)
        .into_iter()
        .map(|(x, weight)| ((x + 1.0) / 2.0, weight / 2.0 * length_px))
        .collect()
}

/// Nodes and weights on −1 to 1, by Newton's method on Legendre's polynomials.
pub(super) fn gauss_legendre(count: usize) -> Vec<(f64, f64)> {
    let n = count as f64;
    (0..count)
        .map(|i| {
            let mut x = (std::f64::consts::PI * (i as f64 + 0.75) / (n + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..50 {
                let (mut before, mut value) = (1.0, x);
                for k in 2..=count {
                    let k = k as f64;
                    (before, value) = (
                        value,
                        ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k,
                    );
                }
                slope = n * (x * value - before) / (x * x - 1.0);
                let step = value / slope;
                x -= step;
                if step.abs() < 1e-15 {
                    break;
                }
            }
            (x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

/// From one unit direction to another: a vector along the axis of the turn, as
/// long as the angle in radians.
pub(super) fn turn_between(from: DVec3, to: DVec3) -> DVec3 {
    let axis = from.cross(to);
    let sin = axis.length();
    if sin < 1e-15 {
        // Straight behind, any axis will do.
        return if from.dot(to) < 0.0 {
            from.any_orthonormal_vector() * std::f64::consts::PI
        } else {
            axis
        };
    }
    axis * (sin.atan2(from.dot(to)) / sin)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nodes and weights of five points, from memory of the published tables.
    #[test]
    fn gauss_legendre_has_the_published_nodes() {
        let rule = gauss_legendre(5);
        let expected = [
            (0.906_179_845_938_664, 0.236_926_885_056_189),
            (0.538_469_310_105_683, 0.478_628_670_499_366),
            (0.0, 0.568_888_888_888_889),
        ];
        for (found, expected) in rule.iter().zip(expected) {
            assert!((found.0 - expected.0).abs() < 1e-14, "{found:?}");
            assert!((found.1 - expected.1).abs() < 1e-14, "{found:?}");
        }
        let total: f64 = gauss_legendre(20).iter().map(|(_, weight)| weight).sum();
        assert!((total - 2.0).abs() < 1e-13);
    }

    #[test]
    fn a_turn_is_as_long_as_its_angle() {
        for angle in [0.0, 1e-9, 0.4, 3.0] {
            let turn = turn_between(DVec3::X, DVec3::new(f64::cos(angle), angle.sin(), 0.0));
            assert!(
                (turn - DVec3::Z * angle).length() < 1e-12,
                "{angle}: {turn}"
            );
        }
        let back = turn_between(DVec3::X, DVec3::NEG_X);
        assert!((back.length() - std::f64::consts::PI).abs() < 1e-12);
    }
}
