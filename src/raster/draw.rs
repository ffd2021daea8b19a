//! Draws marks into a picture, band by band on all cores.

use rayon::prelude::*;

use super::band::Band;
use super::cover::BAND_ROWS;
use super::picture::Picture;
use super::search::{Job, Stretch, Touched};
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
    /// What is laid on each of them.
    pub touched: Touched,
    area: PxRect,
    marks: &'a [Mark],
}

impl<'a> Work<'a> {
    /// The work in an area; `None` where it is empty.
    pub(super) fn new(marks: &'a [Mark], area: PxRect) -> Option<Work<'a>> {
        (area.w > 0 && area.h > 0).then(|| Work {
            touched: Touched::by(marks, area),
            area,
            marks,
        })
    }

    fn draw_all(&self, picture: &mut Picture) {
        let stride = picture.size_px()[0] as usize;
        picture
            .pixels_mut()
            .par_chunks_mut(stride * BAND_ROWS as usize)
            .enumerate()
            .skip(self.touched.bands.start)
            .take(self.touched.bands.len())
            .for_each(|(band, pixels)| {
                let corner = [0, band as u32 * BAND_ROWS];
                self.draw(band, Band::new(pixels, stride, corner));
            });
    }

    /// Draws one of the bands.
    pub(super) fn draw(&self, band: usize, mut pixels: Band) {
        let part = in_band(self.area, band);
        pixels.blacken(part);
        for stretch in self.touched.in_band(band) {
            self.lay(stretch, part, &mut pixels);
        }
    }

    /// Lays the part of a stretch that lies in a part of its band.
    pub(super) fn lay(&self, stretch: &Stretch, part: PxRect, pixels: &mut Band) {
        let Some(job) = self.touched.job(stretch) else {
            return;
        };
        let clip = stretch
            .in_part(part)
            .and_then(|clip| clip.intersection(job.bounds));
        if let Some(clip) = clip {
            job.lay(&self.marks[stretch.mark as usize], clip, pixels);
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
            Mark::Text(text) => band.text(text, &self.ink, clip),
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
