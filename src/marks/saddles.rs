//! Places where a picture has the shape of a saddle, as it has where four cells meet.
//!
//! Looked for on a smaller picture, which has less noise; [`super::refine`] goes back to
//! the whole one.

use glam::DVec2;
use rayon::prelude::*;

use crate::grey::Grey;

/// Pixels in which saddles are looked for at most: a larger picture is reduced first.
const SEARCH_PX: u64 = 3_300_000;
/// Taps of the smoothing, from the middle on: a bell curve of about one pixel.
const TAPS: [f32; 4] = [0.399, 0.242, 0.054, 0.0045];
/// Least curvature across a saddle, in codes per square pixel.
const LEAST_CURVATURE: f32 = 1.0;
/// Half the angle that a bright cell may seem to fill: more or less fills what lies
/// between a dot and an edge.
const HALF_RAD: [f64; 2] = [0.5, 1.07];
/// Most saddles that are kept, the strongest first.
const MOST: usize = 40_000;
/// How far from a corner it must be bright and dark, in pixels, and by how many codes at
/// least for each of its curvature.
const AROUND_PX: f64 = 3.0;
const LEAST_STEP: f32 = 0.8;
const LEAST_IF_WHITE: f32 = 4.0;
/// How far other maxima must be.
const APART_PX: usize = 2;

/// A saddle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Saddle {
    /// Where, in pixels of the whole picture.
    pub at: DVec2,
    /// Geometric mean of its two curvatures.
    pub strength: f32,
    /// Direction, an angle in radians, along which it is brightest.
    pub bright_rad: f64,
    /// From there to the lines on which it neither rises nor falls, both ways.
    pub half_rad: f64,
}

/// A picture of codes between whole ones.
pub(super) struct Plane {
    width: usize,
    height: usize,
    codes: Vec<f32>,
}

impl Plane {
    /// The mean code of each square of `factor` pixels, smoothed.
    fn of(grey: &Grey, factor: usize) -> Plane {
        let [w, h] = grey.size_px().map(|side| side as usize);
        let [width, height] = [w / factor, h / factor];
        let mut codes = vec![0.0_f32; width * height];
        let share = 1.0 / (factor * factor) as f32;
        codes
            .par_chunks_mut(width)
            .enumerate()
            .for_each(|(y, row)| {
                for line in y * factor..(y + 1) * factor {
                    let line = grey.row(line);
                    for (sum, square) in row.iter_mut().zip(line.chunks_exact(factor)) {
                        let total: u32 = square.iter().map(|&code| u32::from(code)).sum();
                        *sum += total as f32;
                    }
                }
                row.iter_mut().for_each(|sum| *sum *= share);
            });
        Plane {
            width,
            height,
            codes,
        }
        .smoothed()
    }

    fn smoothed(mut self) -> Plane {
        let [width, height] = [self.width, self.height];
        self.codes.par_chunks_mut(width).for_each(|row| {
            let line = row.to_vec();
            for (x, code) in row.iter_mut().enumerate() {
                *code = smoothed(x, width, |x| line[x]);
            }
        });
        let codes = &self.codes;
        let mut down = vec![0.0_f32; codes.len()];
        down.par_chunks_mut(width).enumerate().for_each(|(y, row)| {
            for (x, code) in row.iter_mut().enumerate() {
                *code = smoothed(y, height, |y| codes[y * width + x]);
            }
        });
        Plane {
            codes: down,
            ..self
        }
    }

    /// The code at a place, blended from the four pixels around it; at the picture's edge
    /// its outermost pixels go on.
    pub(super) fn at(&self, place: DVec2) -> f32 {
        let [x, y] = (place - 0.5).to_array();
        let [left, top] = [x.floor(), y.floor()];
        let [right, low] = [(x - left) as f32, (y - top) as f32];
        let pixel = |x: f64, y: f64| {
            // Casts take what lies outside to the nearer edge.
            let [x, y] = [x as usize, y as usize];
            self.codes[y.min(self.height - 1) * self.width + x.min(self.width - 1)]
        };
        let along = |y: f64| {
            let [one, other] = [pixel(left, y), pixel(left + 1.0, y)];
            one + (other - one) * right
        };
        let [upper, lower] = [along(top), along(top + 1.0)];
        upper + (lower - upper) * low
    }

    /// Slopes and curvatures at a pixel that isn't at the edge.
    fn shape(&self, x: usize, y: usize) -> Shape {
        let row = |y: usize| &self.codes[y * self.width + x - 1..y * self.width + x + 2];
        let [a, b, c] = [row(y - 1), row(y), row(y + 1)];
        Shape {
            slopes: [(b[2] - b[0]) / 2.0, (c[1] - a[1]) / 2.0],
            xx: b[2] - 2.0 * b[1] + b[0],
            xy: (c[2] - c[0] - a[2] + a[0]) / 4.0,
            yy: c[1] - 2.0 * b[1] + a[1],
        }
    }
}

/// A value smoothed along one axis.
fn smoothed(at: usize, length: usize, value: impl Fn(usize) -> f32) -> f32 {
    let mut sum = TAPS[0] * value(at);
    for (by, tap) in TAPS.iter().enumerate().skip(1) {
        let [before, after] = [at.saturating_sub(by), (at + by).min(length - 1)];
        sum += tap * (value(before) + value(after));
    }
    sum
}

struct Shape {
    slopes: [f32; 2],
    xx: f32,
    xy: f32,
    yy: f32,
}

impl Shape {
    /// Less the determinant of the curvatures: positive on a saddle.
    fn saddle(&self) -> f32 {
        self.xy * self.xy - self.xx * self.yy
    }
}

/// The picture in which saddles were looked for, and those found.
pub(super) struct Saddles {
    /// The picture, smaller by `factor`.
    pub plane: Plane,
    /// Pixels of the whole picture to one of that.
    pub factor: f64,
    /// The saddles, the strongest first.
    pub found: Vec<Saddle>,
}

/// How many times a picture is reduced before saddles are looked for.
pub(super) fn factor(grey: &Grey) -> usize {
    let [w, h] = grey.size_px().map(u64::from);
    let fits = |factor: &usize| w * h / (*factor as u64).pow(2) <= SEARCH_PX;
    (1..).find(fits).unwrap_or(1)
}

/// Looks for saddles in a picture reduced by a factor.
pub(super) fn saddles(grey: &Grey, factor: usize) -> Option<Saddles> {
    let least = 2 * APART_PX + 3;
    let [w, h] = grey.size_px().map(|side| side as usize / factor);
    if w < least || h < least {
        return None;
    }
    let plane = Plane::of(grey, factor);
    let mut found: Vec<Saddle> = (APART_PX..h - APART_PX)
        .into_par_iter()
        .flat_map_iter(|y| in_row(&plane, y))
        .collect();
    found.sort_by(|a, b| b.strength.total_cmp(&a.strength));
    found.truncate(MOST);
    let factor = factor as f64;
    for saddle in &mut found {
        saddle.at *= factor;
    }
    Some(Saddles {
        plane,
        factor,
        found,
    })
}

fn in_row(plane: &Plane, y: usize) -> Vec<Saddle> {
    let least = LEAST_CURVATURE * LEAST_CURVATURE;
    let mut found = Vec::new();
    for x in APART_PX + 1..plane.width - APART_PX - 1 {
        if y <= APART_PX || y + APART_PX + 1 >= plane.height {
            break;
        }
        let shape = plane.shape(x, y);
        let here = shape.saddle();
        if here < least {
            continue;
        }
        let mut around = (y - APART_PX..=y + APART_PX)
            .flat_map(|row| (x - APART_PX..=x + APART_PX).map(move |column| [column, row]));
        let is_most = around.all(|[column, row]| {
            let there = plane.shape(column, row).saddle();
            // Of equals the last one.
            here > there || (here == there && [row, column] <= [y, x])
        });
        if is_most {
            let saddle = saddle(&shape, here, [x, y]);
            found.extend(saddle.filter(|saddle| is_corner(plane, saddle)));
        }
    }
    found
}

/// Whether it goes on being bright both ways and dark both ways, as no noise does.
fn is_corner(plane: &Plane, saddle: &Saddle) -> bool {
    let way = DVec2::from_angle(saddle.bright_rad) * AROUND_PX;
    let both = |way: DVec2| [way, -way].map(|way| plane.at(saddle.at + way));
    let ([a, b], [c, d]) = (both(way), both(way.perp()));
    let here = plane.at(saddle.at);
    let [bright, dark] = [a.min(b), c.max(d)];
    let [up, down] = [bright - here, here - dark];
    let is_between = up.min(down) >= LEAST_STEP * saddle.strength;
    // In an overexposed picture white grows over the middle, which is flat then.
    let is_white = up + down >= LEAST_IF_WHITE * saddle.strength && up.abs() < 0.2 * down;
    is_between || is_white
}

fn saddle(shape: &Shape, here: f32, [x, y]: [usize; 2]) -> Option<Saddle> {
    let Shape { xx, xy, yy, .. } = *shape;
    let [sx, sy] = shape.slopes;
    // Where both slopes vanish.
    let off = [(yy * sx - xy * sy) / here, (xx * sy - xy * sx) / here].map(f64::from);
    if !off.iter().all(|off| off.abs() <= 1.5) {
        return None;
    }
    let [xx, xy, yy] = [xx, xy, yy].map(f64::from);
    let mean = xx.midpoint(yy);
    let spread = ((xx - yy) / 2.0).hypot(xy);
    let bright_rad = (2.0 * xy).atan2(xx - yy) / 2.0;
    let half_rad = ((spread + mean) / (spread - mean)).sqrt().atan();
    if !(HALF_RAD[0]..HALF_RAD[1]).contains(&half_rad) {
        return None;
    }
    Some(Saddle {
        at: DVec2::new(x as f64 + 0.5 + off[0], y as f64 + 0.5 + off[1]),
        strength: here.sqrt(),
        bright_rad,
        half_rad,
    })
}
