//! Bright patches that may be the lit border of a strip.

use crate::grey::Grey;
use crate::strip_code::{BORDER, SIZE};

/// Fewest pixels from one of a border's corners to the next, upright.
const LEAST_SIDE_PX: f64 = 15.0;
/// How often longer than high a border may look, as shares of what it is: seen from the
/// side it is narrower.
const ASPECTS: [f64; 2] = [0.45, 1.6];
/// How much of the area between its corners a border may light, as shares of what it
/// does: blur and the level make it broader or thinner.
const LIT: [f64; 2] = [0.4, 2.0];

/// Pixels that hang together.
#[derive(Clone, Copy)]
struct Patch {
    count: u32,
    /// The pixels that lie farthest up left, up right, down right and down left.
    corners: [[u32; 2]; 4],
}

/// How far a pixel lies in the direction of each corner.
fn reach([x, y]: [u32; 2]) -> [i64; 4] {
    let [x, y] = [i64::from(x), i64::from(y)];
    [-x - y, x - y, x + y, y - x]
}

impl Patch {
    /// A run of pixels in a row.
    fn run(from: u32, to: u32, row: u32) -> Patch {
        let [first, last] = [[from, row], [to - 1, row]];
        Patch {
            count: to - from,
            corners: [first, last, last, first],
        }
    }

    fn join(&mut self, other: Patch) {
        self.count += other.count;
        for (index, corner) in self.corners.iter_mut().enumerate() {
            let its = other.corners[index];
            if reach(its)[index] > reach(*corner)[index] {
                *corner = its;
            }
        }
    }

    /// Its corners, where its shape may be that of a border.
    fn as_border(&self) -> Option<[[f64; 2]; 4]> {
        // The outermost points of the corners' pixels.
        let outward = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        let mut corners = self.corners.map(|corner| corner.map(f64::from));
        for (corner, by) in corners.iter_mut().zip(outward) {
            *corner = [corner[0] + by[0], corner[1] + by[1]];
        }
        let length = |i: usize, j: usize| {
            let ([a, b], [c, d]) = (corners[i], corners[j]);
            (c - a).hypot(d - b)
        };
        let across = length(0, 1).midpoint(length(3, 2));
        let down = length(0, 3).midpoint(length(1, 2));
        let [width, height] = SIZE;
        let inside = (width - 2.0 * BORDER) * (height - 2.0 * BORDER);
        let lit = 1.0 - inside / (width * height);
        let share = f64::from(self.count) / area(&corners) / lit;
        let aspect = across / down / (width / height);
        let is_one = down >= LEAST_SIDE_PX
            && (ASPECTS[0]..ASPECTS[1]).contains(&aspect)
            && (LIT[0]..LIT[1]).contains(&share);
        is_one.then_some(corners)
    }
}

/// Area between four corners, positive in the order of [`Patch`].
fn area(corners: &[[f64; 2]; 4]) -> f64 {
    let twice: f64 = (0..4)
        .map(|i| {
            let ([a, b], [c, d]) = (corners[i], corners[(i + 1) % 4]);
            a * d - b * c
        })
        .sum();
    twice / 2.0
}

/// Corners of the patches that are at least as bright as a code and may be borders.
pub(super) fn bordered(picture: &Grey, code: u8) -> Vec<[[f64; 2]; 4]> {
    let mut patches = Patches::default();
    let mut above: Vec<Run> = Vec::new();
    let mut below: Vec<Run> = Vec::new();
    for (row, codes) in picture.rows().enumerate() {
        let mut from = 0;
        let mut first = 0;
        for run in codes.chunk_by(|a, b| (*a >= code) == (*b >= code)) {
            let to = from + run.len() as u32;
            if run[0] >= code {
                let label = patches.add(Patch::run(from, to, row as u32));
                while above.get(first).is_some_and(|run| run.to <= from) {
                    first += 1;
                }
                let touching = above[first..].iter().take_while(|run| run.from < to);
                for run in touching {
                    patches.unite(label, run.label);
                }
                below.push(Run { from, to, label });
            }
            from = to;
        }
        std::mem::swap(&mut above, &mut below);
        below.clear();
    }
    patches
        .whole()
        .filter_map(|patch| patch.as_border())
        .collect()
}

/// A run of bright pixels in a row, and its patch.
struct Run {
    from: u32,
    to: u32,
    label: usize,
}

/// Patches that grow together.
#[derive(Default)]
struct Patches {
    /// Each one's own index, or that of one that it became a part of.
    parents: Vec<usize>,
    patches: Vec<Patch>,
}

impl Patches {
    fn add(&mut self, patch: Patch) -> usize {
        self.parents.push(self.patches.len());
        self.patches.push(patch);
        self.patches.len() - 1
    }

    fn root(&mut self, mut label: usize) -> usize {
        while self.parents[label] != label {
            self.parents[label] = self.parents[self.parents[label]];
            label = self.parents[label];
        }
        label
    }

    fn unite(&mut self, a: usize, b: usize) {
        let [a, b] = [self.root(a), self.root(b)];
        // The older one stays, so that ways to the root stay short.
        let [stays, goes] = [a.min(b), a.max(b)];
        if stays != goes {
            let patch = self.patches[goes];
            self.patches[stays].join(patch);
            self.parents[goes] = stays;
        }
    }

    fn whole(&self) -> impl Iterator<Item = &Patch> {
        let own = self.parents.iter().enumerate();
        own.filter(|(label, parent)| label == *parent)
            .map(|(label, _)| &self.patches[label])
    }
}
