//! Redraws what two lists of marks draw differently.
//!
//! Wherever a mark that only one of the lists holds may touch something, all marks of the
//! new one are drawn once more, in order, on a sheet beside the picture, and the pixels
//! that came out otherwise are taken over. The pixels beside it bear the same marks
//! in the same order before and after; and since a pixel's share of a mark depends on
//! the two alone, the picture is then as if all of it had been drawn anew.

use std::cell::RefCell;

use rayon::prelude::*;

use super::band::Band;
use super::changes::Changes;
use super::cover::BAND_ROWS;
use super::draw::{Work, in_band};
use super::ink::BLACK;
use super::picture::Picture;
use super::runs::{Run, differing};
use super::search::{Stretch, Touched};
use super::spans::Spans;
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Turns a picture of `before` into one of `after`, and gives the pixels that are
/// others now: runs inside it, from the top and then from the left, which don't overlap,
/// none where nothing differs.
pub fn update(before: &[Mark], after: &[Mark], picture: &mut Picture) -> Vec<Run> {
    let [w, h] = picture.size_px();
    let changes = Changes::between(before, after);
    let area = changes.bounds(PxRect { x: 0, y: 0, w, h });
    let Some(area) = area else {
        return Vec::new();
    };
    let Some(work) = Work::new(after, area) else {
        return Vec::new();
    };
    let redraw = Redraw {
        area,
        gone: Touched::by(&changes.gone, area),
        is_new: changes.is_new,
        work,
    };
    let stride = w as usize;
    let draw = |(band, pixels)| {
        let corner = [0, band as u32 * BAND_ROWS];
        ROOM.with_borrow_mut(|room| redraw.draw(band, Band::new(pixels, stride, corner), room))
    };
    let bands = &redraw.work.touched.bands;
    let (first, bands) = (bands.start, bands.len());
    let (pixels, band_px) = (picture.pixels_mut(), stride * BAND_ROWS as usize);
    let runs: Vec<Vec<Run>> = if redraw.is_little() {
        let all = pixels.chunks_mut(band_px).enumerate();
        all.skip(first).take(bands).map(draw).collect()
    } else {
        let all = pixels.par_chunks_mut(band_px).enumerate();
        // One by one, since some take far longer than others.
        let all = all.skip(first).take(bands).with_max_len(1);
        all.map(draw).collect()
    };
    runs.concat()
}

thread_local! {
    /// Kept from one redraw to the next, since to ask the system for memory takes longer
    /// than most bands.
    static ROOM: RefCell<Room> = RefCell::default();
}

/// More pixels than these in the stretches of marks that come and go are worth another
/// thread.
const FEW_PX: u32 = 1 << 19;

/// What there is to redraw.
struct Redraw<'a> {
    /// All that may differ lies inside it.
    area: PxRect,
    /// What the marks that go touch,
    gone: Touched,
    /// what there is to be laid,
    work: Work<'a>,
    /// and of each of those marks, whether it is a new one.
    is_new: Vec<bool>,
}

/// Room to redraw a band in, which a thread keeps for the next one.
#[derive(Default)]
struct Room {
    /// Columns that are drawn anew,
    columns: Spans,
    /// and the sheet that they are drawn on.
    sheet: Vec<[u8; 4]>,
}

impl Redraw<'_> {
    /// Whether to redraw all takes one thread no longer than to wake another.
    fn is_little(&self) -> bool {
        let is_new = |stretch: &&Stretch| self.is_new[stretch.mark as usize];
        let new = self.work.touched.stretches().filter(is_new);
        let mut left_px = FEW_PX;
        self.gone.stretches().chain(new).all(|stretch| {
            let [from, to] = stretch.columns();
            left_px = left_px.saturating_sub((to - from) * BAND_ROWS);
            left_px > 0
        })
    }

    /// Redraws what differs in a band, and gives the pixels that are others now.
    fn draw(&self, band: usize, mut pixels: Band, room: &mut Room) -> Vec<Run> {
        let part = in_band(self.area, band);
        let stretches = self.work.touched.in_band(band);
        let is_new = |stretch: &&Stretch| self.is_new[stretch.mark as usize];
        let new = stretches.clone().filter(is_new);
        let changed = self.gone.in_band(band).chain(new);
        room.columns.begin([part.x, part.right()]);
        changed.for_each(|stretch| room.columns.add(stretch.columns()));
        let mut runs = Vec::new();
        let parts: Vec<PxRect> = room
            .columns
            .iter()
            .map(|[x, right]| PxRect {
                x,
                w: right - x,
                ..part
            })
            .collect();
        let Some(last) = parts.last() else {
            return runs;
        };
        let first = parts[0].x;
        let width = (last.right() - first) as usize;
        room.sheet.resize(width * part.h as usize, BLACK);
        let mut sheet = Band::new(&mut room.sheet, width, [first, part.y]);
        for part in &parts {
            sheet.blacken(*part);
        }
        for stretch in stretches {
            let [from, to] = stretch.columns();
            let reached = parts.partition_point(|part| part.right() <= from);
            for part in parts[reached..].iter().take_while(|part| part.x < to) {
                self.work.lay(stretch, *part, &mut sheet);
            }
        }
        for y in part.y..part.bottom() {
            for &PxRect { x, w, .. } in &parts {
                let run = Run { x, y, w };
                differing(&mut runs, [x, y], pixels.run(run), sheet.run(run));
            }
        }
        for run in &runs {
            pixels.run_mut(*run).copy_from_slice(sheet.run(*run));
        }
        runs
    }
}
