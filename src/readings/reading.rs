//! One reading, and what is known of a value beforehand.

use super::line::Line;
use crate::parts::Measure;

/// By how much the right part of a line had to slide to continue the left one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The line.
    pub line: Line,
    /// Rows of the right panel; up is positive. The mean, where it was taken twice.
    pub slide_px: f64,
    /// What `slide_px` is uncertain by, 1σ, in the same rows; above 0.
    pub sigma_px: f64,
    /// The slides that it is the mean of: once sliding from above, once from below.
    pub slides_px: Option<[f64; 2]>,
}

impl Reading {
    /// A line's reading, taken twice; `sigma_px` is of one slide.
    pub fn twice(line: Line, slides_px: [f64; 2], sigma_px: f64) -> Reading {
        let [from_above, from_below] = slides_px;
        Reading {
            line,
            slide_px: f64::midpoint(from_above, from_below),
            sigma_px: sigma_px / std::f64::consts::SQRT_2,
            slides_px: Some(slides_px),
        }
    }

    /// Most sigmas that the difference of two sound slides comes to.
    const MOST_APART: f64 = 3.5;

    /// Whether its two slides differ by more than chance makes them, so that it
    /// should be taken again.
    pub fn is_apart(&self) -> bool {
        // Each slide is uncertain by √2 times their mean, their difference by twice.
        self.slides_px.is_some_and(|[one, other]| {
            (one - other).abs() > Reading::MOST_APART * 2.0 * self.sigma_px
        })
    }
}

/// How well a value is known before anything is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// Which value; a turn is a fold.
    pub measure: Measure,
    /// 1σ in its unit; above 0.
    pub sigma: f64,
}
