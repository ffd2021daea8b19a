//! Lattices of corners: saddles joined along the edges between cells.

use std::collections::{HashMap, VecDeque};

use glam::DVec2;
use rayon::prelude::*;

use super::saddles::{Saddle, Saddles};

/// How far a neighbour may lie off an edge's direction.
const OFF_RAD: f64 = 0.35;
/// How many of the nearest saddles may be a neighbour.
const NEAREST: usize = 60;
/// Farthest neighbour, as a share of the picture's longer side.
const FARTHEST: f64 = 0.06;
/// How unlike in strength neighbours may be.
const STRENGTHS: f32 = 5.0;
/// Shares of a link at which its edge is looked at.
const LOOKS: [f64; 5] = [0.2, 0.35, 0.5, 0.65, 0.8];
/// Of the clearest of them, the least clear one.
const LEAST_CLEAR: f32 = 0.25;
/// A link may be so many times longer than the opposite one: lattices join over a
/// narrow seam.
const LONGER: f64 = 1.35;
/// Fewest corners of a lattice.
const LEAST_CORNERS: usize = 12;

/// A lattice: corners by their places in it.
#[derive(Debug, Clone, Default)]
pub(super) struct Lattice {
    /// Where each corner is, in pixels of the whole picture. The second axis lies
    /// clockwise of the first, as rows do of columns.
    pub corners: HashMap<[i32; 2], DVec2>,
}

impl Lattice {
    /// The four corners of a cell, by the place of its first one.
    pub(super) fn cell(&self, [i, j]: [i32; 2]) -> Option<[DVec2; 4]> {
        let at = |i, j| self.corners.get(&[i, j]).copied();
        Some([at(i, j)?, at(i + 1, j)?, at(i + 1, j + 1)?, at(i, j + 1)?])
    }
}

/// Where a ray points: along the four edges of a saddle, clockwise.
fn rays(saddle: &Saddle) -> [DVec2; 4] {
    let [one, other] =
        [-1.0, 1.0].map(|sign| DVec2::from_angle(saddle.bright_rad + sign * saddle.half_rad));
    [one, other, -one, -other]
}

/// Whether it is brighter clockwise of a ray.
fn is_bright_clockwise(ray: usize) -> bool {
    // The bright direction lies between the first ray and the second.
    ray.is_multiple_of(2)
}

type Link = Option<(usize, usize)>;

/// Joins saddles to lattices, the largest first.
pub(super) fn lattices(saddles: &Saddles, longer_side_px: f64) -> Vec<Lattice> {
    let buckets = Buckets::of(&saddles.found, longer_side_px);
    let links: Vec<[Link; 4]> = (0..saddles.found.len())
        .into_par_iter()
        .map(|index| neighbours(saddles, &buckets, index))
        .collect();
    let mutual = |from: usize, ray: usize| -> Link {
        links[from][ray].filter(|&(to, back)| links[to][back] == Some((from, ray)))
    };
    let place = |index: usize| saddles.found[index].at;
    let length = |from: usize, ray: usize| -> Option<f64> {
        mutual(from, ray).map(|(to, _)| place(to).distance(place(from)))
    };
    let kept: Vec<[Link; 4]> = (0..links.len())
        .map(|from| {
            [0, 1, 2, 3].map(|ray| {
                let long = length(from, ray)?;
                let opposite = length(from, (ray + 2) % 4);
                let is_long = opposite.is_some_and(|opposite| long > LONGER * opposite);
                mutual(from, ray).filter(|_| !is_long)
            })
        })
        .collect();
    let mut taken = vec![false; kept.len()];
    let mut found = Vec::new();
    for start in 0..kept.len() {
        if !taken[start] {
            let corners = grown(&kept, &mut taken, start);
            if corners.len() >= LEAST_CORNERS {
                let corners = corners.into_iter().map(|(at, index)| (at, place(index)));
                found.push(Lattice {
                    corners: corners.collect(),
                });
            }
        }
    }
    found.sort_by_key(|lattice: &Lattice| std::cmp::Reverse(lattice.corners.len()));
    found
}

/// Everything that hangs together with a saddle, by its place in the lattice.
fn grown(links: &[[Link; 4]], taken: &mut [bool], start: usize) -> HashMap<[i32; 2], usize> {
    const STEPS: [[i32; 2]; 4] = [[1, 0], [0, 1], [-1, 0], [0, -1]];
    let mut corners = HashMap::from([([0, 0], start)]);
    taken[start] = true;
    let mut waiting = VecDeque::from([(start, [0, 0], 0)]);
    while let Some((from, [i, j], turn)) = waiting.pop_front() {
        for ray in 0..4 {
            let Some((to, back)) = links[from][ray] else {
                continue;
            };
            // A link that one side dropped is none.
            if links[to][back] != Some((from, ray)) || taken[to] {
                continue;
            }
            let axis = (ray + turn) % 4;
            let place = [i + STEPS[axis][0], j + STEPS[axis][1]];
            if corners.contains_key(&place) {
                continue;
            }
            corners.insert(place, to);
            taken[to] = true;
            // Ray `back + 2` goes on the same way.
            let onward = (back + 2) % 4;
            waiting.push_back((to, place, (axis + 4 - onward) % 4));
        }
    }
    corners
}

/// The nearest saddle along each ray that an edge leads to, and which of its rays leads
/// back.
fn neighbours(saddles: &Saddles, buckets: &Buckets, index: usize) -> [Link; 4] {
    let from = &saddles.found[index];
    let from_rays = rays(from);
    let mut links: [Link; 4] = [None; 4];
    for to in buckets.nearest(&saddles.found, index) {
        let other = &saddles.found[to];
        let ratio = other.strength / from.strength;
        if !(1.0 / STRENGTHS..STRENGTHS).contains(&ratio) {
            continue;
        }
        let way = other.at - from.at;
        let Some(ray) = along(&from_rays, way) else {
            continue;
        };
        if links[ray].is_some() {
            continue;
        }
        let Some(back) = along(&rays(other), -way) else {
            continue;
        };
        // Seen from either end, the bright side is the same one.
        let is_clockwise = is_bright_clockwise(ray);
        if is_bright_clockwise(back) == is_clockwise {
            continue;
        }
        if is_edge(saddles, from.at, way, is_clockwise) {
            links[ray] = Some((to, back));
            if links.iter().all(Option::is_some) {
                break;
            }
        }
    }
    links
}

/// The ray that a way goes along.
fn along(rays: &[DVec2; 4], way: DVec2) -> Option<usize> {
    let most = OFF_RAD.cos() * way.length();
    (0..4)
        .filter(|ray| rays[*ray].dot(way) > most)
        .max_by(|a, b| rays[*a].dot(way).total_cmp(&rays[*b].dot(way)))
}

/// Whether all along a way one side is brighter.
fn is_edge(saddles: &Saddles, from: DVec2, way: DVec2, is_bright_clockwise: bool) -> bool {
    let [from, way] = [from, way].map(|v| v / saddles.factor);
    let length = way.length();
    let aside = way.perp() / length * (0.1 * length).clamp(1.0, 4.0);
    let sign = if is_bright_clockwise { 1.0 } else { -1.0 };
    let steps = LOOKS.map(|share| {
        let at = from + way * share;
        sign * (saddles.plane.at(at + aside) - saddles.plane.at(at - aside))
    });
    let most = steps.into_iter().fold(0.0, f32::max);
    steps.iter().all(|step| *step > LEAST_CLEAR * most)
}

/// Saddles by where they are.
struct Buckets {
    side_px: f64,
    farthest: i32,
    all: HashMap<[i32; 2], Vec<usize>>,
}

impl Buckets {
    fn of(saddles: &[Saddle], longer_side_px: f64) -> Buckets {
        let farthest_px = FARTHEST * longer_side_px;
        let side_px = (farthest_px / 12.0).max(4.0);
        let mut all: HashMap<[i32; 2], Vec<usize>> = HashMap::new();
        for (index, saddle) in saddles.iter().enumerate() {
            let bucket = (saddle.at / side_px).to_array().map(|at| at as i32);
            all.entry(bucket).or_default().push(index);
        }
        Buckets {
            side_px,
            farthest: (farthest_px / side_px).ceil() as i32,
            all,
        }
    }

    /// The saddles around one, the nearest first.
    fn nearest(&self, saddles: &[Saddle], index: usize) -> Vec<usize> {
        let at = saddles[index].at;
        let [x, y] = (at / self.side_px).to_array().map(|at| at as i32);
        let mut near: Vec<(f64, usize)> = Vec::new();
        for ring in 0..=self.farthest {
            let before = near.len();
            for row in y - ring..=y + ring {
                let is_end = (row - y).abs() == ring;
                let step = if is_end || ring == 0 { 1 } else { 2 * ring };
                for column in (x - ring..=x + ring).step_by(step as usize) {
                    let bucket = self.all.get(&[column, row]).into_iter().flatten();
                    near.extend(
                        bucket
                            .filter(|other| **other != index)
                            .map(|other| (saddles[*other].at.distance_squared(at), *other)),
                    );
                }
            }
            // One ring more, since its saddles may be nearer than these corners'.
            if before >= NEAREST {
                break;
            }
        }
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        near.truncate(NEAREST);
        near.into_iter().map(|(_, other)| other).collect()
    }
}
