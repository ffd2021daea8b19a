//! Where a corner lies between pixels, and how well that is known.
//!
//! Around a corner of four cells every edge runs through it, so that slopes point at
//! right angles to the way from it. It is the point for which that holds best, whatever
//! the picture's tones, since the four cells are their own image when turned by half a
//! turn about it. What differs from that image is noise, and says how far the corner may
//! be off.

use glam::{DMat2, DVec2};

use crate::grey::Grey;

/// How far around a corner, in cells, pixels count.
const REACH: f64 = 0.42;
/// The same at most, in pixels.
const MOST_PX: f64 = 13.0;
/// Least way to a neighbour, in pixels, with which a corner can be told.
const LEAST_CELL_PX: f64 = 4.0;
/// Most that a corner may differ from its own image turned by half a turn, as a share of
/// its contrast.
const MOST_UNLIKE: f64 = 0.35;
/// Rounds: each begins where the one before ended.
const ROUNDS: usize = 6;
/// Least error along an axis, in pixels: a lens bends edges, and files are packed.
const FLOOR_PX: f64 = 0.02;
/// Noise that neighbouring pixels share makes as much more of an error.
const SHARED: f64 = 1.3;

/// A corner between pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Refined {
    /// Where, in the picture's pixels.
    pub at: DVec2,
    /// One sigma along each axis, in pixels.
    pub sigma_px: f64,
}

/// Finds a corner between pixels, from near it; `along` are the ways to the next corners
/// of both edges. `None` where there is none within reach.
pub(super) fn refined(grey: &Grey, near: DVec2, along: [DVec2; 2]) -> Option<Refined> {
    let lengths = along.map(DVec2::length);
    if !lengths.iter().all(|length| *length >= LEAST_CELL_PX) {
        return None;
    }
    let reach = [0, 1].map(|axis| along[axis] * (REACH.min(MOST_PX / lengths[axis])));
    let into_cells = DMat2::from_cols(reach[0], reach[1]).inverse();
    if !into_cells.is_finite() {
        return None;
    }
    let half = DVec2::new(
        reach[0].x.abs() + reach[1].x.abs(),
        reach[0].y.abs() + reach[1].y.abs(),
    );
    let most_off = lengths[0].min(lengths[1]) * 0.35;
    let mut at = near;
    for _ in 0..ROUNDS {
        let window = Window::around(grey, at, half, into_cells)?;
        let next = window.point()?;
        // Nor where it is no number.
        let is_near = next.distance(near) <= most_off.max(1.5);
        if !is_near {
            return None;
        }
        let is_there = next.distance(at) < 1e-3;
        at = next;
        if is_there {
            break;
        }
    }
    let window = Window::around(grey, at, half, into_cells)?;
    let [noise, unlike] = window.noise(grey, at)?;
    let sigma_px = window.sigma_px(at, noise)?;
    (unlike <= MOST_UNLIKE).then_some(Refined { at, sigma_px })
}

/// A pixel that counts.
struct Pixel {
    x: usize,
    y: usize,
    weight: f64,
    slope: DVec2,
}

impl Pixel {
    fn middle(&self) -> DVec2 {
        DVec2::new(self.x as f64 + 0.5, self.y as f64 + 0.5)
    }
}

/// The pixels around a corner.
struct Window {
    pixels: Vec<Pixel>,
    /// Sum of the slopes' outer products, weighted.
    matrix: DMat2,
}

impl Window {
    /// `None` where it isn't wholly inside the picture.
    fn around(grey: &Grey, at: DVec2, half: DVec2, into_cells: DMat2) -> Option<Window> {
        let [w, h] = grey.size_px().map(f64::from);
        let [from, to] = [at - half, at + half];
        let is_inside = from.x >= 1.0 && from.y >= 1.0 && to.x < w - 1.0 && to.y < h - 1.0;
        if !is_inside {
            return None;
        }
        let columns = (from.x.ceil() as usize).max(1)..(to.x as usize + 1).min(w as usize - 1);
        let rows = (from.y.ceil() as usize).max(1)..(to.y as usize + 1).min(h as usize - 1);
        let mut pixels = Vec::with_capacity(columns.len() * rows.len());
        let mut matrix = DMat2::ZERO;
        for y in rows {
            for x in columns.clone() {
                let middle = DVec2::new(x as f64 + 0.5, y as f64 + 0.5);
                let far = (into_cells * (middle - at)).length_squared();
                if far >= 1.0 {
                    continue;
                }
                let slope = slope(grey, x, y);
                let weight = (1.0 - far).powi(2);
                matrix += outer(slope, slope) * weight;
                pixels.push(Pixel {
                    x,
                    y,
                    weight,
                    slope,
                });
            }
        }
        Some(Window { pixels, matrix })
    }

    /// The point from which ways run at right angles to the slopes.
    fn point(&self) -> Option<DVec2> {
        let sum: DVec2 = self
            .pixels
            .iter()
            .map(|pixel| pixel.slope * (pixel.slope.dot(pixel.middle()) * pixel.weight))
            .sum();
        self.inverse().map(|inverse| inverse * sum)
    }

    fn inverse(&self) -> Option<DMat2> {
        let inverse = self.matrix.inverse();
        inverse.is_finite().then_some(inverse)
    }

    /// Standard deviation of a pixel's noise in codes, and how unlike its own image the
    /// corner is, both from its image turned by half a turn.
    fn noise(&self, grey: &Grey, at: DVec2) -> Option<[f64; 2]> {
        let (mut differences, mut weights) = (0.0, 0.0);
        let (mut sum, mut squares) = (0.0, 0.0);
        for pixel in &self.pixels {
            let here = f64::from(grey.row(pixel.y)[pixel.x]);
            let Some(there) = between(grey, at * 2.0 - pixel.middle()) else {
                continue;
            };
            differences += pixel.weight * (here - there).powi(2);
            weights += pixel.weight;
            sum += pixel.weight * here;
            squares += pixel.weight * here * here;
        }
        let contrast = (squares / weights - (sum / weights).powi(2)).max(0.0);
        // What is blended of several pixels has less noise than one.
        let variance = differences / weights / 1.7;
        let unlike = variance / contrast;
        (variance.is_finite() && unlike.is_finite())
            .then(|| [(variance + 1.0 / 12.0).sqrt(), unlike.sqrt()])
    }

    /// How far noise of the pixels, in codes, moves the point: linearised.
    fn sigma_px(&self, at: DVec2, noise: f64) -> Option<f64> {
        let inverse = self.inverse()?;
        let first = self.pixels.first()?;
        let (mut left, mut right, mut bottom) = (first.x, first.x, first.y);
        for pixel in &self.pixels {
            left = left.min(pixel.x);
            right = right.max(pixel.x);
            bottom = bottom.max(pixel.y);
        }
        let width = right - left + 3;
        let height = bottom - first.y + 3;
        let mut moved = vec![DVec2::ZERO; width * height];
        for pixel in &self.pixels {
            let way = pixel.middle() - at;
            // By what the sum changes with the pixel's slope.
            let by = (DMat2::IDENTITY * pixel.slope.dot(way) + outer(pixel.slope, way))
                * (pixel.weight / 8.0);
            let [column, row] = [pixel.x - left + 1, pixel.y - first.y + 1];
            for (step, factor) in [(-1, 1.0), (0, 2.0), (1, 1.0)] {
                let (x, y) = (
                    column.wrapping_add_signed(step),
                    row.wrapping_add_signed(step),
                );
                moved[y * width + column + 1] += by.x_axis * factor;
                moved[y * width + column - 1] -= by.x_axis * factor;
                moved[(row + 1) * width + x] += by.y_axis * factor;
                moved[(row - 1) * width + x] -= by.y_axis * factor;
            }
        }
        let squares: f64 = moved
            .iter()
            .map(|moved| (inverse * *moved).length_squared())
            .sum();
        let sigma = SHARED * noise * (squares / 2.0).sqrt();
        let sigma = sigma.hypot(FLOOR_PX);
        sigma.is_finite().then_some(sigma)
    }
}

/// The code at a place, by cubics through the four pixels next to it each way; `None` too
/// near to the edge.
fn between(grey: &Grey, place: DVec2) -> Option<f64> {
    let [w, h] = grey.size_px().map(f64::from);
    let [x, y] = (place - 0.5).to_array();
    let [left, top] = [x.floor(), y.floor()];
    if !(left >= 1.0 && top >= 1.0 && left < w - 2.0 && top < h - 2.0) {
        return None;
    }
    let [across, down] = [cubic(x - left), cubic(y - top)];
    let [left, top] = [left, top].map(|at| at as usize - 1);
    let rows = down.iter().enumerate().map(|(row, share)| {
        let codes = &grey.row(top + row)[left..left + 4];
        let sum: f64 = codes
            .iter()
            .zip(across)
            .map(|(&code, a)| a * f64::from(code))
            .sum();
        share * sum
    });
    Some(rows.sum())
}

/// Shares of four values in a row in what lies between the middle two, `t` of the way: the
/// cubic of E. Catmull and R. Rom (1974), from memory.
fn cubic(t: f64) -> [f64; 4] {
    [
        t * (-0.5 + t * (1.0 - 0.5 * t)),
        1.0 + t * t * (-2.5 + 1.5 * t),
        t * (0.5 + t * (2.0 - 1.5 * t)),
        t * t * (-0.5 + 0.5 * t),
    ]
}

/// The slope at a pixel that isn't at the edge, in codes a pixel.
fn slope(grey: &Grey, x: usize, y: usize) -> DVec2 {
    let [above, here, below] = [y - 1, y, y + 1].map(|row| &grey.row(row)[x - 1..=x + 1]);
    let across = |row: &[u8]| f64::from(row[2]) - f64::from(row[0]);
    let down = |column: usize| f64::from(below[column]) - f64::from(above[column]);
    DVec2::new(
        (across(above) + 2.0 * across(here) + across(below)) / 8.0,
        (down(0) + 2.0 * down(1) + down(2)) / 8.0,
    )
}

/// The matrix whose columns are `a` times each of `b`'s numbers.
fn outer(a: DVec2, b: DVec2) -> DMat2 {
    DMat2::from_cols(a * b.x, a * b.y)
}
