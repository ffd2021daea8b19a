//! The search for what marks touch: which columns of which bands.

use std::borrow::Borrow;
use std::ops::Range;
use std::sync::Arc;

use rayon::prelude::*;

use super::band::Course;
use super::cover::{BAND_ROWS, cover};
use super::ink::Ink;
use crate::light::Colour;
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Marks that are looked through in one go,
const MARKS: usize = 64;
/// and so many that it takes no longer than to wake another thread.
const FEW: usize = 8 * MARKS;

/// What was found about some marks.
#[derive(Default)]
pub(super) struct Found {
    /// How each of them is drawn; `None` where none of it is.
    pub jobs: Vec<Option<Job>>,
    /// Their stretches, each with its band.
    pub stretches: Vec<(usize, Stretch)>,
}

impl Found {
    /// Looks for marks inside an area: some of them at a time, in order.
    pub(super) fn of<M: Borrow<Mark> + Sync>(marks: &[M], area: PxRect) -> Vec<Found> {
        let look = |(chunk, marks): (usize, &[M])| {
            let mut found = Found::default();
            let mut search = Search::inside(area);
            for (index, mark) in (chunk * MARKS..).zip(marks) {
                let job = search.look_at(index as u32, mark.borrow(), &mut found.stretches);
                found.jobs.push(job);
            }
            found
        };
        if marks.len() <= FEW {
            return marks.chunks(MARKS).enumerate().map(look).collect();
        }
        marks.par_chunks(MARKS).enumerate().map(look).collect()
    }
}

/// A search for the stretches of marks inside an area.
struct Search {
    area: PxRect,
    first_band: usize,
    inks: Vec<Arc<Ink>>,
    /// Room for the columns that a mark touches in each band.
    columns: Vec<[u32; 2]>,
}

impl Search {
    fn inside(area: PxRect) -> Search {
        let bands = bands(area.y, area.bottom());
        Search {
            area,
            first_band: bands.start,
            inks: Vec::new(),
            columns: vec![NO_COLUMNS; bands.len()],
        }
    }

    /// Adds a mark's stretches.
    fn look_at(
        &mut self,
        index: u32,
        mark: &Mark,
        stretches: &mut Vec<(usize, Stretch)>,
    ) -> Option<Job> {
        let bounds = mark.bounds()?.intersection(self.area)?;
        let before = stretches.len();
        for band in columns_in_bands(mark, bounds, self.first_band, &mut self.columns) {
            let [from, to] = std::mem::replace(&mut self.columns[band], NO_COLUMNS);
            if from < to {
                let mark = index;
                stretches.push((self.first_band + band, Stretch { mark, from, to }));
            }
        }
        if stretches.len() == before {
            return None;
        }
        let course = match mark {
            Mark::Stroke(stroke) => Course::of(stroke),
            Mark::Bar(_) | Mark::Wedge(_) | Mark::Letter(_) | Mark::Tile(_) => Course::Any,
        };
        Some(Job {
            course,
            bounds,
            ink: self.ink(mark.colour()),
        })
    }

    fn ink(&mut self, colour: Colour) -> Arc<Ink> {
        let known = self.inks.iter().find(|ink| ink.colour() == colour);
        if let Some(ink) = known {
            return Arc::clone(ink);
        }
        let ink = Ink::of(colour);
        self.inks.push(Arc::clone(&ink));
        ink
    }
}

/// How a mark is drawn.
pub(super) struct Job {
    /// How a stroke runs.
    pub course: Course,
    /// The pixels that it may touch.
    pub bounds: PxRect,
    /// Its colour.
    pub ink: Arc<Ink>,
}

/// A band's stretch of a mark: the columns that it may touch there.
#[derive(Clone)]
pub(super) struct Stretch {
    /// Index of the mark.
    pub mark: u32,
    from: u32,
    to: u32,
}

impl Stretch {
    /// The columns that the mark may touch, from the first one to the first past them.
    pub(super) fn columns(&self) -> [u32; 2] {
        [self.from, self.to]
    }

    /// The part of a part of the band that the mark may touch.
    pub(super) fn in_part(&self, part: PxRect) -> Option<PxRect> {
        let (x, right) = (part.x.max(self.from), part.right().min(self.to));
        let w = right.checked_sub(x).filter(|&w| w > 0)?;
        Some(PxRect { x, w, ..part })
    }
}

/// Stretches, those of each of some bands together, in order.
pub(super) fn by_band(
    stretches: impl IntoIterator<Item = (usize, Stretch)>,
    bands: &Range<usize>,
) -> Vec<Vec<Stretch>> {
    let mut all = vec![Vec::new(); bands.len()];
    for (band, stretch) in stretches {
        all[band - bands.start].push(stretch);
    }
    all
}

/// Columns, from and to, of which there are none.
const NO_COLUMNS: [u32; 2] = [u32::MAX, 0];

/// Finds the columns of every band that a mark may touch inside `bounds`. They are
/// noted in `columns`, whose first entry is for the band `first`; the result says
/// for which entries.
fn columns_in_bands(
    mark: &Mark,
    bounds: PxRect,
    first: usize,
    columns: &mut [[u32; 2]],
) -> Range<usize> {
    let index_of = |rows: Range<usize>| rows.start - first..rows.end - first;
    let all = index_of(bands(bounds.y, bounds.bottom()));
    match mark {
        Mark::Stroke(stroke) => {
            cover(stroke, bounds, |[left, top, right, bottom]| {
                for [from, to] in &mut columns[index_of(bands(top, bottom))] {
                    (*from, *to) = (left.min(*from), right.max(*to));
                }
            });
        }
        Mark::Bar(_) | Mark::Wedge(_) | Mark::Letter(_) | Mark::Tile(_) => {
            columns[all.clone()].fill([bounds.x, bounds.right()]);
        }
    }
    all
}

/// The bands that hold rows from one to, and without, another.
pub(super) fn bands(from: u32, to: u32) -> Range<usize> {
    (from / BAND_ROWS) as usize..to.div_ceil(BAND_ROWS) as usize
}
