//! From a photograph to the marks that it shows.

use std::collections::HashMap;

use glam::DVec2;
use rayon::prelude::*;

use super::cells::{self, Cell};
use super::complete::complete;
use super::decode::{Fields, OfAny, OfRig, Told, laid, pieces, tell};
use super::field::Field;
use super::lattice::{Lattice, lattices};
use super::refine::{Refined, refined};
use super::saddles::{factor, saddles};
use super::smooth::{Corners, keep_smooth};
use super::unusable::Unusable;
use crate::grey::Grey;
use crate::rig::Rig;

/// Fewest marks with which a photograph can serve.
const LEAST_MARKS: usize = 24;
/// Fewest cells with a sure dot, or surely none, of a lattice whose dots must fit
/// somewhere.
const MUST_FIT: f64 = 42.0;
/// How much coarser blurred checks are looked for, and how many corners they must have.
const COARSER: usize = 4;
const LEAST_BLURRED: usize = 24;
/// Codes from which on a pixel counts as white, and the share of them that is too much.
const WHITE: u8 = 252;
const MOST_WHITE: f64 = 0.08;
/// What corners of a screen picture are off whole pixels at most, on the average.
const EXACT_PX: f64 = 0.02;

/// A corner of the field, seen in a photograph.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sighting {
    /// The panel, from 0 at the left.
    pub panel: usize,
    /// Where on the panel, in its pixels from its lit top left corner.
    pub panel_px: DVec2,
    /// Where in the photograph, in its pixels; the top left one's middle is (0.5, 0.5).
    pub photo_px: DVec2,
    /// One sigma of that along each axis, in pixels.
    pub sigma_px: f64,
}

/// The marks that a photograph shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Columns and rows of the photograph.
    pub size_px: [u32; 2],
    /// The marks, by panel, row and column. None is there twice.
    pub sightings: Vec<Sighting>,
}

/// Finds a rig's marks in a photograph of its layer `marks`, whichever way up it is.
///
/// # Errors
///
/// Why the photograph can't serve.
pub fn find(grey: &Grey, rig: &Rig) -> Result<Found, Unusable> {
    let fields: Vec<Field> = (0..rig.panels().len())
        .map(|panel| Field::of(rig, panel))
        .collect();
    let read = read(grey, &OfRig(fields.clone()), factor(grey));
    let mut sightings = Vec::new();
    for (panel, field) in fields.iter().enumerate() {
        let corners = placed(grey, &read, panel, field);
        let mut places: Vec<_> = corners.into_iter().collect();
        places.sort_by_key(|([i, j], _)| [*j, *i]);
        sightings.extend(places.into_iter().map(|([i, j], corner)| Sighting {
            panel,
            panel_px: field.corner_px([i, j].map(|at| at as u32)),
            photo_px: corner.at,
            sigma_px: corner.sigma_px,
        }));
    }
    if is_of_another_rig(&read) {
        return Err(Unusable::OtherRig);
    }
    if sightings.len() < LEAST_MARKS {
        return Err(why_none(grey, &read));
    }
    if is_screenshot(&sightings, rig.panels().len()) {
        return Err(Unusable::Screenshot);
    }
    Ok(Found {
        size_px: grey.size_px(),
        sightings,
    })
}

/// A lattice of a photograph, its cells, and what of it was told.
struct Read {
    lattice: Lattice,
    cells: HashMap<[i32; 2], Cell>,
    told: Vec<Told>,
}

impl Read {
    /// Cells around no corner that was told.
    fn left(&self) -> HashMap<[i32; 2], Cell> {
        let mut left = self.cells.clone();
        for told in &self.told {
            for [i, j] in &told.corners {
                for [x, y] in [[0, 0], [1, 0], [0, 1], [1, 1]] {
                    left.remove(&[i - x, j - y]);
                }
            }
        }
        left
    }
}

/// Reads all lattices of a photograph, the largest first.
fn read(grey: &Grey, fields: &(impl Fields + Sync), factor: usize) -> Vec<Read> {
    let Some(saddles) = saddles(grey, factor) else {
        return Vec::new();
    };
    let [w, h] = grey.size_px().map(f64::from);
    let lattices = lattices(&saddles, w.max(h));
    drop(saddles);
    lattices
        .into_par_iter()
        .map(|lattice| {
            let cells = cells::look(grey, &lattice);
            let told = tell(&lattice, &cells, fields);
            Read {
                lattice,
                cells,
                told,
            }
        })
        .collect()
}

/// A panel's corners that were told, between pixels, but for doubtful ones.
fn placed(grey: &Grey, read: &[Read], panel: usize, field: &Field) -> Corners {
    let mut all = Corners::new();
    for Read { lattice, told, .. } in read {
        for Told { laid, corners } in told.iter().filter(|told| told.laid.panel == panel) {
            let found: Vec<([i32; 2], Refined)> = corners
                .par_iter()
                .filter_map(|place| {
                    let at = laid.corner(*place);
                    let is_one =
                        at.iter().all(|at| *at > 0) && field.has_corner(at.map(|at| at as u32));
                    let along = ways(lattice, *place).filter(|_| is_one)?;
                    let corner = refined(grey, lattice.corners[place], along)?;
                    Some((at, corner))
                })
                .collect();
            for (at, corner) in found {
                // Of two at one place the earlier one is of the larger lattice.
                all.entry(at).or_insert(corner);
            }
        }
    }
    keep_smooth(&mut all);
    complete(grey, field, &mut all);
    all
}

/// The ways from a corner to its next ones along both axes: the shorter one each.
fn ways(lattice: &Lattice, [i, j]: [i32; 2]) -> Option<[DVec2; 2]> {
    let at = |i, j| lattice.corners.get(&[i, j]).copied();
    let from = at(i, j)?;
    let shorter = |one: Option<DVec2>, other: Option<DVec2>| {
        let ways = [one.map(|to| to - from), other.map(|to| from - to)];
        let ways = ways.into_iter().flatten();
        ways.min_by(|a, b| a.length().total_cmp(&b.length()))
    };
    Some([
        shorter(at(i + 1, j), at(i - 1, j))?,
        shorter(at(i, j + 1), at(i, j - 1))?,
    ])
}

/// The largest piece of what wasn't told that must fit somewhere, if it is of marks.
fn largest_left(read: &[Read]) -> Option<Vec<([i32; 2], Cell)>> {
    let left = read.iter().flat_map(|read| {
        let mut squares = pieces(&read.left());
        squares.truncate(1);
        squares
    });
    let said = |piece: &[([i32; 2], Cell)]| piece.iter().map(|(_, cell)| cell.dot.abs()).sum();
    let mut left: Vec<(f64, Vec<_>)> = left.map(|piece| (said(&piece), piece)).collect();
    left.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (said, piece) = left.into_iter().next()?;
    (said >= MUST_FIT).then_some(piece)
}

/// Whether marks are seen that no panel of the rig has.
fn is_of_another_rig(read: &[Read]) -> bool {
    largest_left(read).is_some_and(|piece| laid(&piece, &OfAny, false).is_some())
}

/// Why there are no marks to be told.
fn why_none(grey: &Grey, read: &[Read]) -> Unusable {
    let is_mirrored =
        || largest_left(read).is_some_and(|piece| laid(&piece, &OfAny, true).is_some());
    let white: usize = (0..grey.size_px()[1] as usize)
        .map(|row| grey.row(row).iter().filter(|&&code| code >= WHITE).count())
        .sum();
    let [w, h] = grey.size_px().map(f64::from);
    let count = |lattices: &mut dyn Iterator<Item = &Lattice>| -> usize {
        lattices.map(|lattice| lattice.corners.len()).sum()
    };
    let sharp = count(&mut read.iter().map(|read| &read.lattice));
    // Marks that are told and have no clear corners are blurred, too.
    let told = read.iter().flat_map(|read| &read.told);
    let told: usize = told.map(|told| told.corners.len()).sum();
    let is_blurred = || {
        let coarse = saddles(grey, factor(grey) * COARSER);
        let coarse = coarse.map_or_else(Vec::new, |coarse| lattices(&coarse, w.max(h)));
        let coarse = count(&mut coarse.iter());
        coarse >= LEAST_BLURRED && 5 * coarse > 6 * sharp
    };
    if is_mirrored() {
        Unusable::Mirrored
    } else if white as f64 > MOST_WHITE * w * h {
        Unusable::Overexposed
    } else if told >= LEAST_MARKS || is_blurred() {
        Unusable::Blurred
    } else {
        Unusable::NoMarks
    }
}

/// Whether on every panel marks lie as exactly as no lens shows them: rows and columns
/// along the picture's, evenly, with nothing but rounding off.
fn is_screenshot(sightings: &[Sighting], panels: usize) -> bool {
    (0..panels).all(|panel| {
        let marks: Vec<&Sighting> = sightings.iter().filter(|s| s.panel == panel).collect();
        let axes = [
            line(marks.iter().map(|s| [s.panel_px.x, s.photo_px.x])),
            line(marks.iter().map(|s| [s.panel_px.y, s.photo_px.y])),
        ];
        axes.into_iter().all(|off_px| off_px < EXACT_PX)
    })
}

/// What values are off the line through them that fits best: the root of the mean square.
fn line(points: impl Iterator<Item = [f64; 2]> + Clone) -> f64 {
    let count = points.clone().count().max(1) as f64;
    let mean = |axis: usize| points.clone().map(|point| point[axis]).sum::<f64>() / count;
    let means = [mean(0), mean(1)];
    let sum = |a: usize, b: usize| -> f64 {
        let terms = points.clone();
        terms
            .map(|point| (point[a] - means[a]) * (point[b] - means[b]))
            .sum()
    };
    let slope = sum(0, 1) / sum(0, 0).max(1e-9);
    let left = sum(1, 1) - slope * sum(0, 1);
    (left.max(0.0) / count).sqrt()
}
