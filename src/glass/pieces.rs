//! The picture of one window: pieces of the canvas and what lies over them.

use crate::pattern::Mark;
use crate::raster::{Picture, Tiles, draw};
use crate::rig::PxRect;

/// Size of the blocks in which changes are found.
const BLOCK_PX: [u32; 2] = [32, 16];

/// A piece of the canvas in a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// The piece, in canvas pixels.
    pub source: PxRect,
    /// Where its top-left pixel goes, in the window's pixels.
    pub at_px: [u32; 2],
}

impl Piece {
    /// Where a part of the canvas comes to lie in the window, and which part
    /// of it that is; `None` where the piece shows nothing of it.
    fn shows(&self, area: PxRect) -> Option<(PxRect, PxRect)> {
        let from = self.source.intersection(area)?;
        let to = PxRect {
            x: self.at_px[0] + (from.x - self.source.x),
            y: self.at_px[1] + (from.y - self.source.y),
            ..from
        };
        Some((from, to))
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

/// A window's picture, and which of its parts are not shown yet.
#[derive(Debug)]
pub struct Glass {
    picture: Picture,
    pieces: Vec<Piece>,
    notices: Vec<Notice>,
    overlays: Vec<Notice>,
    stale: Vec<PxRect>,
}

impl Glass {
    /// A black picture with these pieces and notices, all of it to be shown.
    pub fn new(
        size_px: [u32; 2],
        pieces: Vec<Piece>,
        notices: Vec<Notice>,
        canvas: &Picture,
    ) -> Glass {
        let [w, h] = size_px;
        let whole = PxRect { x: 0, y: 0, w, h };
        let mut picture = Picture::new(size_px);
        draw(&[], &mut picture, whole);
        let mut glass = Glass {
            picture,
            pieces,
            notices,
            overlays: Vec::new(),
            stale: Vec::new(),
        };
        let all = canvas.size_px();
        glass.take(
            canvas,
            PxRect {
                x: 0,
                y: 0,
                w: all[0],
                h: all[1],
            },
        );
        for index in 0..glass.notices.len() {
            let notice = &glass.notices[index];
            draw(&notice.marks, &mut glass.picture, notice.area);
        }
        glass.stale = vec![whole];
        glass
    }

    /// The picture.
    pub fn picture(&self) -> &Picture {
        &self.picture
    }

    /// The parts that changed since the last call, in few pieces: each upload
    /// costs more than some pixels that are the same.
    pub fn take_stale(&mut self) -> Vec<PxRect> {
        joined(&std::mem::take(&mut self.stale), self.picture.size_px())
    }

    /// Takes over a part of the canvas that changed, and draws the overlays
    /// that lie on it again.
    pub fn take(&mut self, canvas: &Picture, area: PxRect) {
        for index in 0..self.pieces.len() {
            if let Some((from, to)) = self.pieces[index].shows(area) {
                self.copy(canvas, from, to);
            }
        }
    }

    /// Replaces the overlays. What lay under the old ones comes back.
    pub fn overlay(&mut self, canvas: &Picture, overlays: Vec<Notice>) {
        if overlays == self.overlays {
            return;
        }
        let before = std::mem::take(&mut self.overlays);
        let is_same_place = before
            .iter()
            .map(|old| old.area)
            .eq(overlays.iter().map(|new| new.area));
        if !is_same_place {
            for old in &before {
                self.uncover(canvas, old.area);
            }
        }
        self.overlays = overlays;
        for index in 0..self.overlays.len() {
            self.draw_overlay(index);
        }
    }

    /// Draws the overlays again that lie on what changed.
    pub fn mend_overlays(&mut self) {
        let changed = |overlay: &Notice| {
            let stale = self.stale.iter();
            stale
                .copied()
                .any(|area| area.intersection(overlay.area).is_some())
        };
        let hurt: Vec<usize> = (0..self.overlays.len())
            .filter(|&index| changed(&self.overlays[index]))
            .collect();
        for index in hurt {
            self.draw_overlay(index);
        }
    }

    fn draw_overlay(&mut self, index: usize) {
        let overlay = &self.overlays[index];
        draw(&overlay.marks, &mut self.picture, overlay.area);
        self.stale.push(overlay.area);
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
        pieces.filter_map(move |piece| Some(piece.shows(area)?.1))
    }

    fn uncover(&mut self, canvas: &Picture, area: PxRect) {
        draw(&[], &mut self.picture, area);
        for index in 0..self.pieces.len() {
            let piece = self.pieces[index];
            let Some(to) = piece.covers().intersection(area) else {
                continue;
            };
            let from = PxRect {
                x: piece.source.x + (to.x - piece.at_px[0]),
                y: piece.source.y + (to.y - piece.at_px[1]),
                ..to
            };
            self.copy(canvas, from, to);
        }
        for notice in &self.notices {
            if notice.area.intersection(area).is_some() {
                draw(&notice.marks, &mut self.picture, notice.area);
                self.stale.push(notice.area);
            }
        }
        self.stale.push(area);
    }

    /// Copies pixels, block by block, and notes the blocks that differed.
    fn copy(&mut self, canvas: &Picture, from: PxRect, to: PxRect) {
        let stride = self.picture.stride();
        let [block_w, block_h] = BLOCK_PX;
        let mut y = 0;
        while y < to.h {
            let h = block_h.min(to.h - y);
            let mut run: Option<PxRect> = None;
            let mut x = 0;
            while x < to.w {
                let w = block_w.min(to.w - x);
                let source = PxRect {
                    x: from.x + x,
                    y: from.y + y,
                    w,
                    h,
                };
                let mut differs = false;
                for row in 0..h {
                    let new = canvas.row(source, source.y + row);
                    let start = (to.y + y + row) as usize * stride + (to.x + x) as usize * 4;
                    let old = &mut self.picture.bytes_mut()[start..start + new.len()];
                    if old != new {
                        old.copy_from_slice(new);
                        differs = true;
                    }
                }
                if differs {
                    let run = run.get_or_insert(PxRect {
                        x: to.x + x,
                        y: to.y + y,
                        w: 0,
                        h,
                    });
                    run.w = to.x + x + w - run.x;
                } else if let Some(run) = run.take() {
                    self.stale.push(run);
                }
                x += w;
            }
            self.stale.extend(run);
            y += h;
        }
    }
}

/// Whole blocks, in runs along their rows, that hold all of some rectangles
/// inside a picture.
fn joined(rects: &[PxRect], [w, h]: [u32; 2]) -> Vec<PxRect> {
    let mut blocks = Tiles::none(PxRect { x: 0, y: 0, w, h }, BLOCK_PX);
    for rect in rects {
        blocks.add([rect.x, rect.y, rect.right(), rect.bottom()]);
    }
    blocks.rects()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_parts_are_joined_to_runs_of_blocks_inside_the_picture() {
        let rect = |x, y, w, h| PxRect { x, y, w, h };
        let parts = [
            rect(10, 10, 5, 5),
            rect(300, 31, 2, 2),
            rect(990, 90, 10, 10),
            rect(0, 0, 0, 9),
        ];
        let expected = [
            rect(0, 0, 32, 16),
            rect(288, 16, 32, 16),
            rect(288, 32, 32, 16),
            rect(960, 80, 40, 16),
            rect(960, 96, 40, 4),
        ];
        assert_eq!(joined(&parts, [1000, 100]), expected);
        assert_eq!(joined(&[], [1000, 100]), []);
    }
}
