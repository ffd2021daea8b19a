//! A picture in memory.

use super::runs::Run;
use crate::rig::PxRect;

/// Rows of sRGB pixels, four bytes each: red, green, blue and an opaque alpha.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    width: u32,
    height: u32,
    bytes: Vec<u8>,
}

impl Picture {
    /// A picture whose pixels are not drawn yet: all bytes are 0.
    pub fn new(size_px: [u32; 2]) -> Picture {
        let [width, height] = size_px;
        Picture {
            width,
            height,
            bytes: vec![0; width as usize * height as usize * 4],
        }
    }

    /// Columns and rows.
    pub fn size_px(&self) -> [u32; 2] {
        [self.width, self.height]
    }

    /// All rows, from the top.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// All rows, from the top.
    pub fn bytes_mut(&mut self) -> &mut [u8] {
        &mut self.bytes
    }

    /// All pixels, row by row from the top.
    pub fn pixels_mut(&mut self) -> &mut [[u8; 4]] {
        self.bytes.as_chunks_mut().0
    }

    /// The pixels of a run that lies inside the picture.
    #[inline]
    pub fn run(&self, run: Run) -> &[[u8; 4]] {
        let start = run.y as usize * self.width as usize + run.x as usize;
        &self.bytes.as_chunks().0[start..start + run.w as usize]
    }

    /// Bytes of a row.
    pub fn stride(&self) -> usize {
        self.width as usize * 4
    }

    /// The bytes of one row of a rectangle that lies inside the picture;
    /// `row` is counted from the picture's top.
    pub fn row(&self, rect: PxRect, row: u32) -> &[u8] {
        let start = row as usize * self.stride() + rect.x as usize * 4;
        &self.bytes[start..start + rect.w as usize * 4]
    }
}
