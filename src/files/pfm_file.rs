//! A view's warp as a portable float map: "PF", three 32-bit numbers a pixel, least
//! significant byte first, rows from the bottom up.

use std::io::{self, Write};

use throughline::numbers::Warp;

/// Writes a warp: x, y and 0 for every pixel.
pub(crate) fn write(warp: &Warp, out: &mut dyn Write) -> io::Result<()> {
    let [columns, rows] = warp.size_px();
    // The negative scale says which byte comes first.
    write!(out, "PF\n{columns} {rows}\n-1.0\n")?;
    for row in (0..rows).rev() {
        for [x, y] in warp.row(row) {
            for number in [x, y, 0.0] {
                out.write_all(&(number as f32).to_le_bytes())?;
            }
        }
    }
    Ok(())
}
