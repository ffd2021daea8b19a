//! Drawing a picture from the top, run of bands by run of bands, without ever holding it whole.

use std::sync::mpsc;
use std::thread;

use rayon::prelude::*;

use super::band::Band;
use super::cover::BAND_ROWS;
use super::draw::Work;
use super::ink::BLACK;
use super::picture::Picture;
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Bands of a run: enough to keep several cores at work.
const RUN_BANDS: usize = 8;

/// Draws `marks`, in order, on black inside `area`, and calls `take` with the
/// area's rows of pixels, red, green, blue and an opaque alpha, from the top. While
/// it takes them, the next ones are drawn.
///
/// # Errors
///
/// The first that `take` gives; then no more is drawn.
pub fn draw_rows<E>(
    marks: &[Mark],
    area: PxRect,
    mut take: impl FnMut(&[[u8; 4]]) -> Result<(), E>,
) -> Result<(), E> {
    let Some(work) = Work::new(marks, area) else {
        return Ok(());
    };
    let width = area.w as usize;
    // One run is drawn, one waits, and one is taken.
    let (to_taker, drawn) = mpsc::sync_channel::<Vec<[u8; 4]>>(1);
    let (to_drawer, emptied) = mpsc::channel::<Vec<[u8; 4]>>();
    let bands: Vec<usize> = work.touched.bands.clone().collect();
    let draw = |run: &[usize], pixels: &mut Vec<[u8; 4]>| {
        let rows = rows_of(run, area);
        pixels.resize(width * rows.h as usize, BLACK);
        draw_run(&work, run, pixels, rows);
    };
    thread::scope(|scope| {
        let drawer = thread::Builder::new().spawn_scoped(scope, || {
            // Both ends go when the drawer does.
            let (to_taker, emptied) = (to_taker, emptied);
            for run in bands.chunks(RUN_BANDS) {
                let mut pixels = emptied.try_recv().unwrap_or_default();
                draw(run, &mut pixels);
                // The taker has gone where it failed.
                if to_taker.send(pixels).is_err() {
                    return;
                }
            }
        });
        if drawer.is_err() {
            // Without another thread, one after the other.
            let mut pixels = Vec::new();
            return bands.chunks(RUN_BANDS).try_for_each(|run| {
                draw(run, &mut pixels);
                pixels.chunks(width).try_for_each(&mut take)
            });
        }
        for pixels in drawn {
            pixels.chunks(width).try_for_each(&mut take)?;
            // The drawer has gone where that was the last run.
            let _ = to_drawer.send(pixels);
        }
        Ok(())
    })
}

/// Draws `marks`, in order, on black, in a picture of an area alone.
pub fn drawn(marks: &[Mark], area: PxRect) -> Picture {
    let mut picture = Picture::new([area.w, area.h]);
    if let Some(work) = Work::new(marks, area) {
        let bands: Vec<usize> = work.touched.bands.clone().collect();
        draw_run(&work, &bands, picture.pixels_mut(), area);
    }
    picture
}

/// The rows of neighbouring bands inside an area.
fn rows_of(bands: &[usize], area: PxRect) -> PxRect {
    let first = bands.first().map_or(0, |band| *band as u32 * BAND_ROWS);
    let y = first.max(area.y);
    let end = (first + bands.len() as u32 * BAND_ROWS).min(area.bottom());
    PxRect {
        y,
        h: end - y,
        ..area
    }
}

fn draw_run(work: &Work, bands: &[usize], pixels: &mut [[u8; 4]], rows: PxRect) {
    // Where the area begins within a band, that one has fewer rows.
    let width = rows.w as usize;
    let mut left = pixels;
    let mut parts = Vec::with_capacity(bands.len());
    for &band in bands {
        let here = rows_of(&[band], rows);
        let (part, rest) = left.split_at_mut(width * here.h as usize);
        parts.push((band, here, part));
        left = rest;
    }
    parts.into_par_iter().for_each(|(band, here, pixels)| {
        work.draw(band, Band::new(pixels, width, [here.x, here.y]));
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::{Guides, Layers, Pattern};
    use crate::raster::draw;
    use crate::rig::{demos, read};
    use crate::typeset::Typesetter;

    #[test]
    fn rows_are_those_of_the_whole_picture() {
        let rig = read(demos()[0].text, "demo", &[]).expect("a sound demo");
        let mut typesetter = Typesetter::new();
        let pattern = Pattern::new(&rig, &Guides::of(&rig), Layers::ALL, &mut typesetter);
        let [w, h] = rig.canvas().size_px;
        let mut whole = Picture::new([w, h]);
        draw(pattern.marks(), &mut whole, PxRect { x: 0, y: 0, w, h });
        let inner = PxRect {
            x: 100,
            y: 37,
            w: 2001,
            h: 707,
        };
        for area in [PxRect { x: 0, y: 0, w, h }, inner] {
            let mut y = area.y;
            let taken = draw_rows(pattern.marks(), area, |row| {
                assert_eq!(row.as_flattened(), whole.row(area, y), "row {y}");
                y += 1;
                Ok::<(), ()>(())
            });
            assert_eq!((taken, y), (Ok(()), area.bottom()));
            let alone = drawn(pattern.marks(), area);
            assert_eq!(alone.size_px(), [area.w, area.h]);
            for row in 0..area.h {
                let all = PxRect { x: 0, y: 0, ..area };
                assert_eq!(
                    alone.row(all, row),
                    whole.row(area, area.y + row),
                    "row {row}"
                );
            }
        }
    }

    #[test]
    fn nothing_more_is_drawn_once_a_row_was_refused() {
        let area = PxRect {
            x: 0,
            y: 0,
            w: 64,
            h: 4000,
        };
        let mut taken = 0;
        let failed = draw_rows(&[], area, |_| {
            taken += 1;
            if taken == 300 { Err("full") } else { Ok(()) }
        });
        assert_eq!((failed, taken), (Err("full"), 300));
    }
}
