//! The picture of one window: pieces of the canvas and what lies over them.

use crate::pattern::Mark;
use crate::raster::{BLACK, Picture, Run, differing, drawn};
use crate::rig::PxRect;

/// A piece of the canvas in a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// The piece, in canvas pixels.
    pub source: PxRect,
    /// Where its top-left pixel goes, in the window's pixels.
    pub at_px: [u32; 2],
}

impl Piece {
    /// Where a part of the canvas comes to lie in the window; `None` where the piece
    /// shows nothing of it.
    fn shows(&self, area: PxRect) -> Option<PxRect> {
        let from = self.source.intersection(area)?;
        Some(PxRect {
            x: self.at_px[0] + (from.x - self.source.x),
            y: self.at_px[1] + (from.y - self.source.y),
            ..from
        })
    }

    /// The window's pixels that the piece covers.
    pub fn covers(&self) -> PxRect {
        PxRect {
            x: self.at_px[0],
            y: self.at_px[1],
            ..self.source
        }
    }
}

/// Marks that stand still over the window, such as a display's name.
#[derive(Debug, Clone, PartialEq)]
pub struct Notice {
    /// The pixels that it takes up; they are black under the marks.
    pub area: PxRect,
    /// What to draw.
    pub marks: Vec<Mark>,
}

/// A notice with its picture, which is no larger than its area.
#[derive(Debug)]
struct Pasted {
    notice: Notice,
    picture: Picture,
}

impl Pasted {
    fn new(notice: Notice) -> Pasted {
        Pasted {
            picture: drawn(&notice.marks, notice.area),
            notice,
        }
    }
}

/// What a window doesn't show yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stale {
    /// These pixels; some of them may be there twice.
    Runs(Vec<Run>),
    /// All of it.
    Whole,
}

/// A window's picture, put together of pieces of the canvas and what lies over them,
/// and which of its pixels are not shown yet. It has no pixels of its own but those of
/// the notices.
#[derive(Debug)]
pub struct Glass {
    size_px: [u32; 2],
    pieces: Vec<Piece>,
    notices: Vec<Pasted>,
    overlays: Vec<Pasted>,
    stale: Stale,
    /// Pixels in it, where it is not all.
    stale_px: u64,
}

impl Glass {
    /// A picture with these pieces and notices on black, all of it to be shown.
    pub fn new(size_px: [u32; 2], pieces: Vec<Piece>, notices: Vec<Notice>) -> Glass {
        Glass {
            size_px,
            pieces,
            notices: notices.into_iter().map(Pasted::new).collect(),
            overlays: Vec::new(),
            stale: Stale::Whole,
            stale_px: 0,
        }
    }

    /// Columns and rows.
    pub fn size_px(&self) -> [u32; 2] {
        self.size_px
    }

    /// What changed since the last call.
    pub fn take_stale(&mut self) -> Stale {
        self.stale_px = 0;
        std::mem::replace(&mut self.stale, Stale::Runs(Vec::new()))
    }

    /// Takes note of the canvas pixels that changed. Those under the overlays are not
    /// to be seen.
    pub fn take(&mut self, changed: &[Run]) {
        if self.stale == Stale::Whole {
            return;
        }
        for index in 0..self.pieces.len() {
            let piece = self.pieces[index];
            for &Run { x, y, w } in changed {
                if let Some(shown) = piece.shows(PxRect { x, y, w, h: 1 }) {
                    self.add_beside(shown, 0);
                }
            }
        }
    }

    /// Adds a run, but for what the overlays from one on cover.
    fn add_beside(&mut self, run: PxRect, overlay: usize) {
        let Some(over) = self.overlays.get(overlay) else {
            let PxRect { x, y, w, .. } = run;
            self.add(Run { x, y, w });
            return;
        };
        let Some(covered) = over.notice.area.intersection(run) else {
            self.add_beside(run, overlay + 1);
            return;
        };
        let sides = [[run.x, covered.x], [covered.right(), run.right()]];
        for [from, to] in sides {
            if from < to {
                let (x, w) = (from, to - from);
                self.add_beside(PxRect { x, w, ..run }, overlay + 1);
            }
        }
    }

    /// Adds a run. Where it comes to as much as the whole, as in a window that is long
    /// hidden, the whole is simpler.
    fn add(&mut self, run: Run) {
        if let Stale::Runs(runs) = &mut self.stale {
            runs.push(run);
            self.stale_px += u64::from(run.w);
            let [w, h] = self.size_px.map(u64::from);
            if self.stale_px >= w * h {
                self.stale = Stale::Whole;
            }
        }
    }

    /// Copies a run of the window's pixels, as they are now, to as many.
    ///
    /// # Panics
    ///
    /// Where there are more or fewer.
    pub fn copy(&self, canvas: &Picture, run: Run, pixels: &mut [[u8; 4]]) {
        self.copy_under(&self.overlays, canvas, run, pixels);
    }

    /// The same with other overlays over it.
    fn copy_under(
        &self,
        overlays: &[Pasted],
        canvas: &Picture,
        Run { x, y, w }: Run,
        pixels: &mut [[u8; 4]],
    ) {
        let area = PxRect { x, y, w, h: 1 };
        let pieces = self.pieces.iter();
        let pieces = pieces.map(|piece| (piece.covers(), canvas, [piece.source.x, piece.source.y]));
        let pasted = self.notices.iter().chain(overlays);
        let pasted = pasted.map(|pasted| (pasted.notice.area, &pasted.picture, [0, 0]));
        let layers = pieces.chain(pasted);
        let source = |part: PxRect, over: PxRect, [left, top]: [u32; 2]| Run {
            x: left + (part.x - over.x),
            y: top + (part.y - over.y),
            w: part.w,
        };
        // Of most runs the topmost shows all.
        let mut from_top = layers.clone().rev();
        let topmost = from_top.find(|(over, ..)| over.intersection(area).is_some());
        if let Some((over, picture, corner)) = topmost.filter(|(over, ..)| over.holds(area)) {
            pixels.copy_from_slice(picture.run(source(area, over, corner)));
            return;
        }
        pixels.fill(BLACK);
        for (over, picture, corner) in layers {
            if let Some(part) = over.intersection(area) {
                let from = (part.x - x) as usize;
                let found = picture.run(source(part, over, corner));
                pixels[from..from + found.len()].copy_from_slice(found);
            }
        }
    }

    /// Replaces the overlays. What lay under the old ones comes back.
    pub fn overlay(&mut self, canvas: &Picture, overlays: Vec<Notice>) {
        let is_as_before = |(old, new): (&Pasted, &Notice)| old.notice == *new;
        if overlays.len() == self.overlays.len()
            && self.overlays.iter().zip(&overlays).all(is_as_before)
        {
            return;
        }
        let mut areas: Vec<PxRect> = overlays.iter().map(|overlay| overlay.area).collect();
        let overlays = overlays.into_iter().map(Pasted::new).collect();
        let before = std::mem::replace(&mut self.overlays, overlays);
        let old = before.iter().map(|old| old.notice.area);
        areas.extend(old.filter(|old| !areas.contains(old)).collect::<Vec<_>>());
        let mut changed = Vec::new();
        let [mut were, mut are] = [const { Vec::new() }; 2];
        let [w, h] = self.size_px;
        let inside = |area: PxRect| area.intersection(PxRect { x: 0, y: 0, w, h });
        for area in areas.into_iter().filter_map(inside) {
            let PxRect { x, w, .. } = area;
            were.resize(w as usize, BLACK);
            are.resize(w as usize, BLACK);
            for y in area.y..area.bottom() {
                let run = Run { x, y, w };
                self.copy_under(&before, canvas, run, &mut were);
                self.copy(canvas, run, &mut are);
                differing(&mut changed, [x, y], &were, &are);
            }
        }
        for run in changed {
            self.add(run);
        }
    }

    /// The canvas pixel shown at a window's pixel.
    pub fn canvas_px(&self, x: u32, y: u32) -> Option<[u32; 2]> {
        let piece = self.pieces.iter().find(|p| p.covers().contains(x, y))?;
        Some([
            piece.source.x + (x - piece.at_px[0]),
            piece.source.y + (y - piece.at_px[1]),
        ])
    }

    /// Where in the window a part of the canvas is shown.
    pub fn shown(&self, area: PxRect) -> impl Iterator<Item = PxRect> + '_ {
        let pieces = self.pieces.iter();
        pieces.filter_map(move |piece| piece.shows(area))
    }
}
