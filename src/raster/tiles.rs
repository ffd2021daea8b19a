//! A part of the picture, as a set of tiles.

use crate::rig::PxRect;

/// A set of tiles, all of one size, inside a rectangle.
#[derive(Debug)]
pub struct Tiles {
    tile_px: [u32; 2],
    within: PxRect,
    corner: [u32; 2],
    across: usize,
    held: Vec<bool>,
}

impl Tiles {
    /// No tile of a rectangle. `tile_px` is the columns and rows of a tile, at
    /// least one each; tiles begin at multiples of them.
    pub fn none(within: PxRect, tile_px: [u32; 2]) -> Tiles {
        let [w, h] = tile_px;
        let corner = [within.x / w, within.y / h];
        let across = within.right().div_ceil(w) - corner[0];
        let down = within.bottom().div_ceil(h) - corner[1];
        Tiles {
            tile_px,
            within,
            corner,
            across: across as usize,
            held: vec![false; across as usize * down as usize],
        }
    }

    /// Adds the tiles that hold any of the pixels from a left column and a top row
    /// to, and without, a right column and a bottom row.
    pub fn add(&mut self, [left, top, right, bottom]: [u32; 4]) {
        let [w, h] = self.tile_px;
        let (left, top) = (left.max(self.within.x), top.max(self.within.y));
        let (right, bottom) = (
            right.min(self.within.right()),
            bottom.min(self.within.bottom()),
        );
        if left >= right || top >= bottom {
            return;
        }
        let columns =
            (left / w - self.corner[0]) as usize..(right.div_ceil(w) - self.corner[0]) as usize;
        for row in top / h - self.corner[1]..bottom.div_ceil(h) - self.corner[1] {
            let start = row as usize * self.across;
            self.held[start + columns.start..start + columns.end].fill(true);
        }
    }

    /// Rectangles of neighbouring tiles along their rows, that don't overlap and
    /// stay inside the whole one.
    pub fn rects(&self) -> Vec<PxRect> {
        let [w, h] = self.tile_px;
        let mut rects: Vec<PxRect> = Vec::new();
        for (index, row) in self.held.chunks(self.across.max(1)).enumerate() {
            let mut x = 0;
            for run in row.chunk_by(|a, b| a == b) {
                let from = x;
                x += run.len() as u32;
                if !run[0] {
                    continue;
                }
                let rect = PxRect {
                    x: (self.corner[0] + from) * w,
                    y: (self.corner[1] + index as u32) * h,
                    w: run.len() as u32 * w,
                    h,
                };
                rects.extend(rect.intersection(self.within));
            }
        }
        rects
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_are_cut_at_the_rectangle_and_joined_along_rows() {
        let within = PxRect {
            x: 20,
            y: 10,
            w: 100,
            h: 30,
        };
        let mut tiles = Tiles::none(within, [32, 16]);
        assert_eq!(tiles.rects(), []);
        tiles.add([31, 15, 33, 16]);
        tiles.add([0, 31, 21, 400]);
        tiles.add([119, 11, 120, 12]);
        tiles.add([120, 11, 500, 12]);
        let rect = |x, y, w, h| PxRect { x, y, w, h };
        let expected = [
            rect(20, 10, 44, 6),
            rect(96, 10, 24, 6),
            rect(20, 16, 12, 16),
            rect(20, 32, 12, 8),
        ];
        assert_eq!(tiles.rects(), expected);
    }
}
