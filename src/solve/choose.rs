//! Which line to read next: the one whose reading is expected to leave the smallest
//! breaks.

use glam::DVec3;

use super::estimate::Estimate;
use super::near::NearSlopes;
use super::purpose::{AT_EDGE, Purpose};
use crate::geometry::{EyePlane, Layout};
use crate::least_squares::{dot, slopes};
use crate::readings::{DrawnLine, Eye, Line, Reading};
use crate::rig::Rig;

/// Most readings of a seam.
pub const MOST_A_SEAM: usize = 8;

/// Longest left part, as a share of the left panel's columns: about what a
/// straightedge in the line of sight covers.
const LEFT: f64 = 0.4;
/// Shortest left part that tells where it points.
const LEAST_LEFT: f64 = 0.08;
/// Rows that a line keeps from the glass's edges, so that its right part can slide.
const SPARE: f64 = 0.04;

/// A line to read, and what that is expected to bring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// The line.
    pub line: Line,
    /// What one slide of it is uncertain by, in rows of the right panel, 1σ.
    pub sigma_px: f64,
    /// The share of the mean square of the expected breaks that reading it twice takes
    /// away, 0 to 1.
    pub gain: f64,
}

/// The reading to take next on a rig, of which the readings so far gave `estimate`: of
/// all lines that can be drawn and aren't among those read, the one that lowers the
/// mean square of what near lines are expected to break by, kinks included, most, when it
/// is read twice by `eye`. `None` once every seam has [`MOST_A_SEAM`], or no line is left.
pub fn next(rig: &Rig, estimate: &Estimate, taken: &[Reading], eye: Eye) -> Option<Choice> {
    let seams = 0..rig.seams().len();
    let asked: Vec<(usize, Purpose)> = seams.map(|seam| (seam, Purpose::Whatever)).collect();
    next_of(rig, estimate, taken, eye, &asked)
}

/// The same among the lines at some seams that serve a purpose there.
pub fn next_of(
    rig: &Rig,
    estimate: &Estimate,
    taken: &[Reading],
    eye: Eye,
    asked: &[(usize, Purpose)],
) -> Option<Choice> {
    let layout = rig.layout();
    let count = |seam: usize| taken.iter().filter(|r| r.line.seam == seam).count();
    let is_taken = |line: &DrawnLine| {
        let mut taken = taken.iter();
        taken.any(|reading| is_same(&reading.line, line.line()))
    };
    let asked = asked.iter().filter(|(seam, _)| count(*seam) < MOST_A_SEAM);
    let lines = asked.flat_map(|(seam, purpose)| {
        let planes = purpose.planes(layout, *seam).into_iter();
        planes.filter_map(move |(plane, at)| drawn(layout, *seam, plane, at))
    });
    let candidates: Vec<DrawnLine> = lines.filter(|line| !is_taken(line)).collect();
    let built = estimate.rig().layout();
    let sigmas: Vec<Option<f64>> = candidates
        .iter()
        .map(|line| eye.sigma_px(line, built))
        .collect();
    let evaluate = |steps: &[f64], into: &mut Vec<f64>| {
        let built = estimate.space.layout(steps);
        into.extend(candidates.iter().map(|line| {
            let slide = built
                .as_ref()
                .and_then(|built| line.slide_px(built, DVec3::ZERO));
            slide.unwrap_or(f64::NAN)
        }));
    };
    let columns = slopes(evaluate, &estimate.steps);
    let stakes = Stakes::new(estimate);
    let gains = candidates
        .iter()
        .zip(sigmas)
        .enumerate()
        .filter_map(|(index, (line, sigma))| {
            let sigma_px = sigma?;
            let of_mean = sigma_px / std::f64::consts::SQRT_2;
            let row: Vec<f64> = columns
                .iter()
                .map(|column| column[index] / of_mean)
                .collect();
            let gain = stakes.gain(estimate, &row);
            gain.is_finite().then_some(Choice {
                line: *line.line(),
                sigma_px,
                gain,
            })
        });
    gains.max_by(|one, other| one.gain.total_cmp(&other.gain))
}

/// Whether two lines are drawn and read at the same place.
fn is_same(one: &Line, other: &Line) -> bool {
    const NEARLY: f64 = 1e-3;
    one.seam == other.seam
        && (one.right_px - other.right_px).abs() < 1.0
        && (one.plane.normal() - other.plane.normal()).length() < NEARLY
}

/// A line with as long a left part as fits the glass, read at a share of the right
/// panel's columns; `None` where it doesn't fit.
fn drawn(layout: &Layout, seam: usize, plane: EyePlane, at: f64) -> Option<DrawnLine> {
    const TRIES: u32 = 6;
    let [left, right] = layout.seam(seam);
    let [width, right_px] = [left.pixels[0], (at * right.pixels[0]).round()];
    (0..TRIES).find_map(|tried| {
        let share = LEFT * (LEAST_LEFT / LEFT).powf(f64::from(tried) / f64::from(TRIES - 1));
        let line = Line {
            seam,
            plane,
            left_px: [width * (1.0 - share), width * (1.0 - AT_EDGE)].map(f64::round),
            right_px,
        };
        DrawnLine::new(line, layout).filter(|line| line.is_lit(layout, SPARE))
    })
}

/// What is at stake: how the expected breaks of near lines follow from the steps.
pub(super) struct Stakes {
    /// Each near line's row times the spread.
    spread: Vec<Vec<f64>>,
    whole: f64,
}

impl Stakes {
    pub(super) fn new(estimate: &Estimate) -> Stakes {
        let near = NearSlopes::after(estimate);
        let times = |row: &Vec<f64>| estimate.spread.iter().map(|line| dot(line, row)).collect();
        let spread: Vec<Vec<f64>> = near.rows().map(times).collect();
        let whole = near.rows().zip(&spread).map(|(row, times)| dot(row, times));
        Stakes {
            whole: whole.sum(),
            spread,
        }
    }

    /// The share of the sum of the expected squares that a further reading takes away,
    /// whose change with the steps, in its own 1σ, is `row`.
    pub(super) fn gain(&self, estimate: &Estimate, row: &[f64]) -> f64 {
        if self.whole <= 0.0 {
            return 0.0;
        }
        let own = super::estimate::quadratic(&estimate.spread, row);
        let taken: f64 = self
            .spread
            .iter()
            .map(|times| dot(times, row).powi(2))
            .sum();
        taken / (1.0 + own) / self.whole
    }
}
