//! Draws marks into a picture, band by band on all cores.

use std::ops::Range;

use rayon::prelude::*;

use super::band::Band;
use super::changes::changed;
use super::cover::BAND_ROWS;
use super::picture::Picture;
use super::search::{self, Found, Job, Stretch};
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
    pub(super) fn new(marks: &'a [Mark], area: PxRect) -> Option<Work<'a>> {
        Work::in_areas(marks, Found::of(marks, area), &[area])
    }

    /// The work in some areas, given what was found in all of them and perhaps
    /// beside them; `None` where they are empty.
    fn in_areas(marks: &'a [Mark], found: Vec<Found>, areas: &[PxRect]) -> Option<Work<'a>> {
        let areas = areas.iter().filter(|area| area.w > 0 && area.h > 0);
        let all = areas.clone().copied().reduce(|a, b| a.union(b))?;
        let bands = search::bands(all.y, all.bottom());
        let mut work = Work {
            parts: vec![Vec::new(); bands.len()],
            stretches: vec![Vec::new(); bands.len()],
            bands,
            marks,
            jobs: Vec::with_capacity(marks.len()),
        };
        for area in areas {
            for band in search::bands(area.y, area.bottom()) {
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
    pub(super) fn draw(&self, band: usize, mut pixels: Band) {
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

/// The part of an area in a band.
fn in_band(area: PxRect, band: usize) -> Option<PxRect> {
    let rows = PxRect {
        y: band as u32 * BAND_ROWS,
        h: BAND_ROWS,
        ..area
    };
    rows.intersection(area)
}

impl Job {
    fn lay(&self, mark: &Mark, part: PxRect, band: &mut Band) {
        let Some(clip) = self.bounds.intersection(part) else {
            return;
        };
        match mark {
            Mark::Stroke(stroke) => band.stroke(stroke, &self.course, &self.ink, clip),
            Mark::Bar(bar) => band.bar(bar, &self.ink, clip),
            Mark::Wedge(wedge) => band.wedge(wedge, &self.ink, clip),
            Mark::Letter(letter) => band.letter(letter, &self.ink, clip),
            Mark::Tile(tile) => band.tile(tile, &self.ink, clip),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Colour;
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
