//! Draws marks into a picture, band by band on all cores.

use std::ops::Range;
use std::sync::Arc;

use rayon::prelude::*;

use super::band::{Band, same_crossing};
use super::coverage::Crossing;
use super::ink::Ink;
use super::picture::Picture;
use super::strips::strips;
use crate::light::Colour;
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Rows drawn by one thread at a time: few enough to stay in a core's cache.
pub const BAND_ROWS: u32 = 16;

/// Draws `marks`, in order, on black inside `area`, and leaves the rest of the
/// picture as it is. The area lies inside the picture.
pub fn draw(marks: &[Mark], picture: &mut Picture, area: PxRect) {
    redraw(marks, picture, &[area]);
}

/// As [`draw`], inside several areas, which may overlap.
pub fn redraw(marks: &[Mark], picture: &mut Picture, areas: &[PxRect]) {
    let Some(work) = Work::new(marks, areas) else {
        return;
    };
    let stride = picture.size_px()[0] as usize;
    picture
        .pixels_mut()
        .par_chunks_mut(stride * BAND_ROWS as usize)
        .enumerate()
        .skip(work.bands.start)
        .take(work.bands.len())
        .for_each(|(band, pixels)| {
            let corner = [0, band as u32 * BAND_ROWS];
            work.draw(band, Band::new(pixels, stride, corner));
        });
}

/// What there is to draw in some areas, band by band.
pub(super) struct Work<'a> {
    /// The bands that the areas lie in.
    pub bands: Range<usize>,
    /// The areas' parts in each of them,
    parts: Vec<Vec<PxRect>>,
    /// and what is laid on them, in order.
    stretches: Vec<Vec<Stretch>>,
    jobs: Vec<Job<'a>>,
    inks: Inks,
}

impl<'a> Work<'a> {
    /// The work in some areas; `None` where they are empty.
    pub fn new(marks: &'a [Mark], areas: &[PxRect]) -> Option<Work<'a>> {
        let areas = areas.iter().filter(|area| area.w > 0 && area.h > 0);
        let all = areas.clone().copied().reduce(|a, b| a.union(b))?;
        let bands = bands(all.y, all.bottom());
        let mut parts: Vec<Vec<PxRect>> = vec![Vec::new(); bands.len()];
        for area in areas {
            for band in self::bands(area.y, area.bottom()) {
                parts[band - bands.start].extend(in_band(*area, band));
            }
        }
        let mut work = Work {
            stretches: vec![Vec::new(); bands.len()],
            bands,
            parts,
            jobs: Vec::with_capacity(marks.len()),
            inks: Inks::default(),
        };
        let mut columns = vec![NO_COLUMNS; work.bands.len()];
        for mark in marks {
            if let Some(bounds) = mark.bounds().and_then(|bounds| bounds.intersection(all)) {
                work.add(mark, bounds, &mut columns);
            }
        }
        Some(work)
    }

    /// Adds a mark that may touch pixels of `bounds`. `columns` is room for the
    /// columns of every band, and left as it was.
    fn add(&mut self, mark: &'a Mark, bounds: PxRect, columns: &mut [[u32; 2]]) {
        let job = self.jobs.len() as u32;
        for index in columns_in_bands(mark, bounds, self.bands.start, columns) {
            let [from, to] = std::mem::replace(&mut columns[index], NO_COLUMNS);
            if from < to && !self.parts[index].is_empty() {
                self.stretches[index].push(Stretch { job, from, to });
            }
        }
        let crossing = match mark {
            Mark::Stroke(stroke) => same_crossing(stroke),
            Mark::Bar(_) | Mark::Letter(_) => None,
        };
        let ink = self.inks.index_of(mark.colour());
        self.jobs.push(Job {
            mark,
            crossing,
            bounds,
            ink,
        });
    }

    /// Draws one of the bands.
    pub fn draw(&self, band: usize, mut pixels: Band) {
        let index = band - self.bands.start;
        for part in &self.parts[index] {
            pixels.blacken(*part);
            for stretch in &self.stretches[index] {
                let job = &self.jobs[stretch.job as usize];
                if let Some(clip) = stretch.in_part(*part) {
                    job.lay(&self.inks.0[job.ink], clip, &mut pixels);
                }
            }
        }
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

/// The inks of a drawing.
#[derive(Default)]
struct Inks(Vec<Arc<Ink>>);

impl Inks {
    fn index_of(&mut self, colour: Colour) -> usize {
        let known = self.0.iter().position(|ink| ink.colour() == colour);
        known.unwrap_or_else(|| {
            self.0.push(Ink::of(colour));
            self.0.len() - 1
        })
    }
}

/// A mark to be drawn.
struct Job<'a> {
    mark: &'a Mark,
    /// How a stroke crosses every column, where it does so in the same way.
    crossing: Option<Crossing>,
    bounds: PxRect,
    ink: usize,
}

impl Job<'_> {
    fn lay(&self, ink: &Ink, part: PxRect, band: &mut Band) {
        let Some(clip) = self.bounds.intersection(part) else {
            return;
        };
        match self.mark {
            Mark::Stroke(stroke) => band.stroke(stroke, self.crossing.as_ref(), ink, clip),
            Mark::Bar(bar) => band.bar(bar, ink, clip),
            Mark::Letter(letter) => band.letter(letter, ink, clip),
        }
    }
}

/// A band's stretch of a job: the columns that the mark may touch there.
#[derive(Clone)]
struct Stretch {
    job: u32,
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
