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
/// and so many inside an area that it takes no longer than to wake another thread.
const FEW: usize = 4 * MARKS;

/// What marks touch inside an area, and how they are drawn.
pub(super) struct Touched {
    /// The bands that the area lies in.
    pub bands: Range<usize>,
    /// Of [`MARKS`] marks each, in order.
    found: Vec<Found>,
}

/// What was found about some marks that follow one another.
struct Found {
    /// How each of them is drawn; `None` where none of it is.
    jobs: Vec<Option<Job>>,
    /// Their stretches, those of each band together and in order,
    stretches: Vec<Stretch>,
    /// and where those of each band end.
    ends: Vec<usize>,
}

impl Touched {
    /// Looks for marks inside an area.
    pub(super) fn by<M: Borrow<Mark> + Sync>(marks: &[M], area: PxRect) -> Touched {
        let bands = bands(area.y, area.bottom());
        let look = |(chunk, marks): (usize, &[M])| {
            let mut search = Search::inside(area);
            let looked = (chunk * MARKS..).zip(marks);
            let jobs = looked.map(|(index, mark)| search.look_at(index as u32, mark.borrow()));
            let jobs = jobs.collect();
            search.found(jobs)
        };
        let is_there = |mark: &&M| bounds_in((*mark).borrow(), area).is_some();
        let found = if marks.iter().filter(is_there).nth(FEW).is_none() {
            marks.chunks(MARKS).enumerate().map(look).collect()
        } else {
            marks.par_chunks(MARKS).enumerate().map(look).collect()
        };
        Touched { bands, found }
    }

    /// The stretches in one of the area's bands, in order.
    pub(super) fn in_band(&self, band: usize) -> impl Iterator<Item = &Stretch> + Clone {
        let index = band - self.bands.start;
        self.found.iter().flat_map(move |found| {
            let start = index.checked_sub(1).map_or(0, |before| found.ends[before]);
            &found.stretches[start..found.ends[index]]
        })
    }

    /// How a stretch's mark is drawn.
    pub(super) fn job(&self, stretch: &Stretch) -> Option<&Job> {
        let mark = stretch.mark as usize;
        self.found[mark / MARKS].jobs[mark % MARKS].as_ref()
    }

    /// All stretches.
    pub(super) fn stretches(&self) -> impl Iterator<Item = &Stretch> {
        self.found.iter().flat_map(|found| &found.stretches)
    }
}

/// A search for the stretches of marks inside an area.
struct Search {
    area: PxRect,
    first_band: usize,
    inks: Vec<Arc<Ink>>,
    /// Room for the columns that a mark touches in each band.
    columns: Vec<[u32; 2]>,
    /// What was found, each with its band, counted from the first one,
    stretches: Vec<(usize, Stretch)>,
    /// and how many there are in each.
    counts: Vec<usize>,
}

impl Search {
    fn inside(area: PxRect) -> Search {
        let bands = bands(area.y, area.bottom());
        Search {
            area,
            first_band: bands.start,
            inks: Vec::new(),
            columns: vec![NO_COLUMNS; bands.len()],
            stretches: Vec::new(),
            counts: vec![0; bands.len()],
        }
    }

    /// Adds a mark's stretches.
    fn look_at(&mut self, index: u32, mark: &Mark) -> Option<Job> {
        let bounds = bounds_in(mark, self.area)?;
        let before = self.stretches.len();
        for band in columns_in_bands(mark, bounds, self.first_band, &mut self.columns) {
            let [from, to] = std::mem::replace(&mut self.columns[band], NO_COLUMNS);
            if from < to {
                let mark = index;
                self.stretches.push((band, Stretch { mark, from, to }));
                self.counts[band] += 1;
            }
        }
        if self.stretches.len() == before {
            return None;
        }
        let course = match mark {
            Mark::Stroke(stroke) => Course::of(stroke),
            Mark::Bar(_) | Mark::Wedge(_) | Mark::Text(_) | Mark::Tile(_) => Course::Any,
        };
        Some(Job {
            course,
            bounds,
            ink: self.ink(mark.colour()),
        })
    }

    /// The marks' jobs with what was found.
    fn found(self, jobs: Vec<Option<Job>>) -> Found {
        // Where each band's next stretch goes.
        let mut ends = self.counts;
        let mut before = 0;
        for end in &mut ends {
            before += std::mem::replace(end, before);
        }
        let mut stretches = vec![Stretch::default(); self.stretches.len()];
        for (band, stretch) in self.stretches {
            stretches[ends[band]] = stretch;
            ends[band] += 1;
        }
        Found {
            jobs,
            stretches,
            ends,
        }
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

fn bounds_in(mark: &Mark, area: PxRect) -> Option<PxRect> {
    mark.bounds()?.intersection(area)
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
#[derive(Clone, Default)]
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
        Mark::Bar(_) | Mark::Wedge(_) | Mark::Text(_) | Mark::Tile(_) => {
            columns[all.clone()].fill([bounds.x, bounds.right()]);
        }
    }
    all
}

/// The bands that hold rows from one to, and without, another.
fn bands(from: u32, to: u32) -> Range<usize> {
    (from / BAND_ROWS) as usize..to.div_ceil(BAND_ROWS) as usize
}
