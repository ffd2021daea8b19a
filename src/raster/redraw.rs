//! Redraws what two lists of marks draw differently, and nothing else.
//!
//! Whatever a mark that only one of the lists holds may touch is blackened, and all marks
//! of the new one are laid there, in order. The pixels beside it bear the same marks
//! in the same order before and after; and since a pixel's share of a mark depends on
//! the two alone, the picture is then as if all of it had been drawn anew.

use std::hint::black_box;

use rayon::prelude::*;

use super::band::Band;
use super::changes::Changes;
use super::cover::{BAND_ROWS, Grain, cover};
use super::draw::{Work, in_band};
use super::ink::BLACK;
use super::mask::Mask;
use super::picture::Picture;
use super::runs::{Run, differing};
use super::search::{self, Found, Stretch};
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Turns a picture of `before` into one of `after`, and gives the pixels that are
/// others now: runs inside it, from the top and then from the left, which don't overlap,
/// none where nothing differs.
pub fn update(before: &[Mark], after: &[Mark], picture: &mut Picture) -> Vec<Run> {
    let [w, h] = picture.size_px();
    let changes = Changes::between(before, after);
    let area = changes.bounds(PxRect { x: 0, y: 0, w, h });
    let Some((area, work)) = area.and_then(|area| Some((area, Work::new(after, area)?))) else {
        return Vec::new();
    };
    let gone = Found::of(&changes.gone, area);
    let gone = gone.into_iter().flat_map(|found| found.stretches);
    let redraw = Redraw {
        area,
        gone: search::by_band(gone, &work.bands),
        work,
        changes,
        after,
    };
    let runs: Vec<Vec<Run>> = picture
        .pixels_mut()
        .par_chunks_mut(w as usize * BAND_ROWS as usize)
        .enumerate()
        .skip(redraw.work.bands.start)
        .take(redraw.work.bands.len())
        .map_init(Room::default, |room, (band, pixels)| {
            let corner = [0, band as u32 * BAND_ROWS];
            redraw.draw(band, Band::new(pixels, w as usize, corner), room)
        })
        .collect();
    runs.concat()
}

/// What there is to redraw.
struct Redraw<'a> {
    /// All that may differ lies inside it.
    area: PxRect,
    changes: Changes<'a>,
    /// Stretches of the marks that go, band by band,
    gone: Vec<Vec<Stretch>>,
    /// and what there is to be laid.
    work: Work<'a>,
    after: &'a [Mark],
}

/// Room to redraw a band in, which a thread keeps for the next one.
#[derive(Default)]
struct Room {
    /// Pixels that are drawn anew,
    disturbed: Mask,
    /// their runs,
    runs: Vec<Run>,
    /// where those of each row begin,
    rows: Vec<usize>,
    /// and what was there before.
    before: Vec<[u8; 4]>,
}

impl Redraw<'_> {
    /// Redraws what differs in a band, and gives the pixels that are others now.
    fn draw(&self, band: usize, mut pixels: Band, room: &mut Room) -> Vec<Run> {
        let index = band - self.work.bands.start;
        let part = in_band(self.area, band);
        room.disturbed.begin(part);
        let mut is_disturbed = false;
        let mut disturb = |mark: &Mark, stretch: &Stretch| {
            let touched = mark.bounds().and_then(|bounds| bounds.intersection(part));
            let Some(touched) = touched.and_then(|touched| stretch.in_part(touched)) else {
                return;
            };
            is_disturbed = true;
            match mark {
                Mark::Stroke(stroke) => {
                    cover(stroke, touched, Grain::Fine, |rect| {
                        room.disturbed.add(rect);
                    });
                }
                Mark::Bar(_) | Mark::Wedge(_) | Mark::Letter(_) | Mark::Tile(_) => {
                    let [right, bottom] = [touched.right(), touched.bottom()];
                    room.disturbed.add([touched.x, touched.y, right, bottom]);
                }
            }
        };
        for stretch in &self.gone[index] {
            disturb(self.changes.gone[stretch.mark as usize], stretch);
        }
        for stretch in &self.work.stretches[index] {
            if self.changes.is_new[stretch.mark as usize] {
                disturb(&self.after[stretch.mark as usize], stretch);
            }
        }
        if !is_disturbed {
            return Vec::new();
        }
        room.set_aside(part, &mut pixels);
        for stretch in &self.work.stretches[index] {
            if self.changes.is_new[stretch.mark as usize] {
                // All that it touches is blackened.
                self.work.lay(stretch, part, &mut pixels);
                continue;
            }
            let Some(touched) = self.work.touched(stretch, part) else {
                continue;
            };
            for Run { x, y, w } in room.crossed(touched, part.y) {
                let run = PxRect { x, y, w, h: 1 };
                self.work.lay(stretch, run, &mut pixels);
            }
        }
        room.changed(&pixels)
    }
}

impl Room {
    /// Keeps what is there of the disturbed pixels, and blackens them.
    fn set_aside(&mut self, part: PxRect, pixels: &mut Band) {
        self.runs.clear();
        self.rows.clear();
        for y in part.y..part.bottom() {
            self.rows.push(self.runs.len());
            let runs = self.disturbed.runs(y);
            self.runs
                .extend(runs.map(|[x, to]| Run { x, y, w: to - x }));
        }
        self.rows.push(self.runs.len());
        let all = self.runs.iter().map(|run| run.w as usize).sum();
        self.before.resize(all, BLACK);
        // Ask for all of it first: most runs lie in memory that no core has at hand, and what
        // is asked for in turn arrives in turn.
        let ends = self.runs.iter().map(|run| pixels.run(*run)[0][0]);
        black_box(ends.fold(0, u8::max));
        let mut room = self.before.as_mut_slice();
        for run in &self.runs {
            let (before, rest) = room.split_at_mut(run.w as usize);
            // Most runs are so short that to call for a copy takes longer.
            for (before, pixel) in before.iter_mut().zip(pixels.run_mut(*run)) {
                *before = *pixel;
                *pixel = BLACK;
            }
            room = rest;
        }
    }

    /// The runs of disturbed pixels in a part of the band.
    fn crossed(&self, part: PxRect, top: u32) -> impl Iterator<Item = Run> {
        let is_any = self.disturbed.meets([part.x, part.right()]);
        let rows = if is_any { part.y..part.bottom() } else { 0..0 };
        rows.flat_map(move |y| {
            let row = (y - top) as usize;
            let runs = &self.runs[self.rows[row]..self.rows[row + 1]];
            let from = runs.partition_point(|run| run.x + run.w <= part.x);
            let crossed = runs[from..].iter().copied();
            crossed.take_while(move |run| run.x < part.right())
        })
    }

    /// Those of the disturbed pixels that are others now.
    fn changed(&self, pixels: &Band) -> Vec<Run> {
        let mut changed = Vec::new();
        let mut before = self.before.as_slice();
        for run in &self.runs {
            let (old, rest) = before.split_at(run.w as usize);
            differing(&mut changed, [run.x, run.y], old, pixels.run(*run));
            before = rest;
        }
        changed
    }
}
