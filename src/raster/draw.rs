//! Draws marks into a picture, band by band on all cores.

use std::ops::Range;

use rayon::prelude::*;

use super::band::Band;
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

/// What there is to draw in an area, band by band.
pub(super) struct Work<'a> {
    /// The bands that the area lies in.
    pub bands: Range<usize>,
    /// What is laid on each of them, in order.
    pub stretches: Vec<Vec<Stretch>>,
    area: PxRect,
    marks: &'a [Mark],
    /// What is known about each of the marks; `None` where none of it is drawn.
    jobs: Vec<Option<Job>>,
}

impl<'a> Work<'a> {
    /// The work in an area; `None` where it is empty.
    pub(super) fn new(marks: &'a [Mark], area: PxRect) -> Option<Work<'a>> {
        if area.w == 0 || area.h == 0 {
            return None;
        }
        let bands = search::bands(area.y, area.bottom());
        let mut jobs = Vec::with_capacity(marks.len());
        let mut stretches = Vec::new();
        for found in Found::of(marks, area) {
            jobs.extend(found.jobs);
            stretches.push(found.stretches);
        }
        Some(Work {
            stretches: search::by_band(stretches.into_iter().flatten(), &bands),
            bands,
            area,
            marks,
            jobs,
        })
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
        let part = in_band(self.area, band);
        pixels.blacken(part);
        for stretch in &self.stretches[band - self.bands.start] {
            self.lay(stretch, part, &mut pixels);
        }
    }

    /// What a stretch may touch in a part of its band.
    pub(super) fn touched(&self, stretch: &Stretch, part: PxRect) -> Option<PxRect> {
        let job = self.jobs[stretch.mark as usize].as_ref()?;
        stretch.in_part(part)?.intersection(job.bounds)
    }

    /// Lays the part of a stretch that lies in a part of its band.
    pub(super) fn lay(&self, stretch: &Stretch, part: PxRect, pixels: &mut Band) {
        let mark = stretch.mark as usize;
        if let (Some(clip), Some(job)) = (self.touched(stretch, part), &self.jobs[mark]) {
            job.lay(&self.marks[mark], clip, pixels);
        }
    }
}

/// The part of an area in one of its bands.
pub(super) fn in_band(area: PxRect, band: usize) -> PxRect {
    let top = band as u32 * BAND_ROWS;
    let (y, bottom) = (top.max(area.y), (top + BAND_ROWS).min(area.bottom()));
    PxRect {
        y,
        h: bottom - y,
        ..area
    }
}

impl Job {
    /// Lays a part of the mark, all of it inside the bounds.
    fn lay(&self, mark: &Mark, clip: PxRect, band: &mut Band) {
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
