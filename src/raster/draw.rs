//! Draws marks into a picture, band by band on all cores.

use std::ops::Range;
use std::sync::Arc;

use rayon::prelude::*;

use super::band::{Band, same_crossing};
use super::changes::changed;
use super::coverage::Crossing;
use super::ink::Ink;
use super::picture::Picture;
use super::strips::{BAND_ROWS, strips};
use crate::light::Colour;
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Draws `marks`, in order, on black inside `area`, and leaves the rest of the
/// picture as it is. The area lies inside the picture.
pub fn draw(marks: &[Mark], picture: &mut Picture, area: PxRect) {
    if let Some(work) = Work::new(marks, area) {
        work.draw_all(picture);
    }
}

/// Turns a picture of `before` into one of `after`, and gives the parts that were
/// drawn anew: rectangles inside it that don't overlap, none where nothing differs.
pub fn update(before: &[Mark], after: &[Mark], picture: &mut Picture) -> Vec<PxRect> {
    let [w, h] = picture.size_px();
    let whole = PxRect { x: 0, y: 0, w, h };
    let (areas, found) = rayon::join(|| changed(before, after, whole), || Found::of(after, whole));
    if let Some(work) = Work::in_areas(after, found, &areas) {
        work.draw_all(picture);
    }
    areas
}

/// Marks that are looked through by one thread at a time.
const MARKS: usize = 64;

/// What there is to draw in some areas, band by band.
pub(super) struct Work<'a> {
    /// The bands that the areas lie in.
    pub bands: Range<usize>,
    /// The areas' parts in each of them,
    parts: Vec<Vec<PxRect>>,
    /// and what is laid on them, in order.
    stretches: Vec<Vec<Stretch>>,
    marks: &'a [Mark],
    /// What is known about each of the marks; `None` where none of it is drawn.
    jobs: Vec<Option<Job>>,
}

impl<'a> Work<'a> {
    /// The work in an area; `None` where it is empty.
    pub fn new(marks: &'a [Mark], area: PxRect) -> Option<Work<'a>> {
        Work::in_areas(marks, Found::of(marks, area), &[area])
    }

    /// The work in some areas, given what was found in all of them and perhaps
    /// beside them; `None` where they are empty.
    fn in_areas(marks: &'a [Mark], found: Vec<Found>, areas: &[PxRect]) -> Option<Work<'a>> {
        let areas = areas.iter().filter(|area| area.w > 0 && area.h > 0);
        let all = areas.clone().copied().reduce(|a, b| a.union(b))?;
        let bands = bands(all.y, all.bottom());
        let mut work = Work {
            parts: vec![Vec::new(); bands.len()],
            stretches: vec![Vec::new(); bands.len()],
            bands,
            marks,
            jobs: Vec::with_capacity(marks.len()),
        };
        for area in areas {
            for band in self::bands(area.y, area.bottom()) {
                work.parts[band - work.bands.start].extend(in_band(*area, band));
            }
        }
        for Found { jobs, stretches } in found {
            work.jobs.extend(jobs);
            for (band, stretch) in stretches {
                let index = band.checked_sub(work.bands.start);
                if let Some(index) = index.filter(|&index| index < work.bands.len()) {
                    work.stretches[index].push(stretch);
                }
            }
        }
        Some(work)
    }

    fn draw_all(&self, picture: &mut Picture) {
        let stride = picture.size_px()[0] as usize;
        picture
            .pixels_mut()
            .par_chunks_mut(stride * BAND_ROWS as usize)
            .enumerate()
            .skip(self.bands.start)
            .take(self.bands.len())
            .for_each(|(band, pixels)| {
                let corner = [0, band as u32 * BAND_ROWS];
                self.draw(band, Band::new(pixels, stride, corner));
            });
    }

    /// Draws one of the bands.
    pub fn draw(&self, band: usize, mut pixels: Band) {
        let index = band - self.bands.start;
        for part in &self.parts[index] {
            pixels.blacken(*part);
            for stretch in &self.stretches[index] {
                let mark = stretch.mark as usize;
                if let (Some(clip), Some(job)) = (stretch.in_part(*part), &self.jobs[mark]) {
                    job.lay(&self.marks[mark], clip, &mut pixels);
                }
            }
        }
    }
}

/// What was found about some marks.
#[derive(Default)]
struct Found {
    /// How each of them is drawn; `None` where none of it is.
    jobs: Vec<Option<Job>>,
    /// Their stretches, each with its band.
    stretches: Vec<(usize, Stretch)>,
}

impl Found {
    /// Looks for marks inside an area: some of them at a time, in order.
    fn of(marks: &[Mark], area: PxRect) -> Vec<Found> {
        marks
            .par_chunks(MARKS)
            .enumerate()
            .map(|(chunk, marks)| {
                let mut found = Found::default();
                let mut search = Search::inside(area);
                for (index, mark) in (chunk * MARKS..).zip(marks) {
                    let job = search.look_at(index as u32, mark, &mut found.stretches);
                    found.jobs.push(job);
                }
                found
            })
            .collect()
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
        let crossing = match mark {
            Mark::Stroke(stroke) => same_crossing(stroke),
            Mark::Bar(_) | Mark::Letter(_) => None,
        };
        Some(Job {
            crossing,
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

/// The bands that hold rows from one to, and without, another.
fn bands(from: u32, to: u32) -> Range<usize> {
    (from / BAND_ROWS) as usize..to.div_ceil(BAND_ROWS) as usize
}

/// The part of an area in a band.
fn in_band(area: PxRect, band: usize) -> Option<PxRect> {
    let rows = PxRect {
        y: band as u32 * BAND_ROWS,
        h: BAND_ROWS,
        ..area
    };
    rows.intersection(area)
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
            strips(stroke, bounds, |[left, top, right, bottom]| {
                for [from, to] in &mut columns[index_of(bands(top, bottom))] {
                    (*from, *to) = (left.min(*from), right.max(*to));
                }
            });
        }
        Mark::Bar(_) | Mark::Letter(_) => {
            columns[all.clone()].fill([bounds.x, bounds.right()]);
        }
    }
    all
}

/// How a mark is drawn.
struct Job {
    /// How a stroke crosses every column, where it does so in the same way.
    crossing: Option<Crossing>,
    bounds: PxRect,
    ink: Arc<Ink>,
}

impl Job {
    fn lay(&self, mark: &Mark, part: PxRect, band: &mut Band) {
        let Some(clip) = self.bounds.intersection(part) else {
            return;
        };
        match mark {
            Mark::Stroke(stroke) => band.stroke(stroke, self.crossing.as_ref(), &self.ink, clip),
            Mark::Bar(bar) => band.bar(bar, &self.ink, clip),
            Mark::Letter(letter) => band.letter(letter, &self.ink, clip),
        }
    }
}

/// A band's stretch of a mark: the columns that it may touch there.
#[derive(Clone)]
struct Stretch {
    mark: u32,
    from: u32,
    to: u32,
}

impl Stretch {
    fn in_part(&self, part: PxRect) -> Option<PxRect> {
        let (x, right) = (part.x.max(self.from), part.right().min(self.to));
        let w = right.checked_sub(x).filter(|&w| w > 0)?;
        Some(PxRect { x, w, ..part })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::Bar;

    #[test]
    fn a_bars_edges_may_lie_between_pixels() {
        let area = PxRect {
            x: 0,
            y: 0,
            w: 3,
            h: 1,
        };
        let bar = Bar {
            edges: [0.5, 0.0, 2.0, 1.0],
            clip: area,
            colour: Colour([255, 255, 255]),
        };
        let mut picture = Picture::new([3, 1]);
        draw(&[Mark::Bar(bar)], &mut picture, area);
        // IEC 61966-2-1: half the light has code 188.
        assert_eq!(
            picture.bytes(),
            [188, 188, 188, 255, 255, 255, 255, 255, 0, 0, 0, 255]
        );
    }
}
