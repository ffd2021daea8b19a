//! What was presented, as one picture.

use throughline::raster::{BLACK, Picture, Run, draw};
use throughline::rig::PxRect;

use super::stage::Stage;

/// Puts every window's picture of its screens into one; the rest is black.
pub(super) fn assemble(stage: &Stage, canvas: &Picture, corners: &[[u32; 2]], all: &mut Picture) {
    let mut pixels = Vec::new();
    let [w, h] = all.size_px();
    draw(&[], all, PxRect { x: 0, y: 0, w, h });
    for (index, corner) in corners.iter().enumerate() {
        for pane in &stage.panes {
            if pane.screen.is_some_and(|screen| screen != index) {
                continue;
            }
            let Some(area) = pane.area_of(index, stage.screens()) else {
                continue;
            };
            let stride = all.stride();
            for row in 0..area.h.min(h - corner[1]) {
                let (x, y, w) = (area.x, area.y + row, area.w);
                pixels.resize(w as usize, BLACK);
                pane.glass.copy(canvas, Run { x, y, w }, &mut pixels);
                let bytes = pixels.as_flattened();
                let start = (corner[1] + row) as usize * stride + corner[0] as usize * 4;
                all.bytes_mut()[start..start + bytes.len()].copy_from_slice(bytes);
            }
        }
    }
}
