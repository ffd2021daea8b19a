//! Where a window over the whole span goes.

use crate::rig::{PxRect, Rig};

/// Left, top, width and height of the canvas in virtual-desktop pixels, told
/// from the facing panel's top-left corner: negative where the canvas begins
/// left of that panel or above it.
///
/// Columns hidden behind seams count, as they do on the desktop of a display
/// driver that hides them.
pub fn window_px(rig: &Rig) -> [i64; 4] {
    let canvas = rig.canvas();
    let PxRect { x, y, .. } = canvas.panels[rig.seat().view.panel];
    let [width, height] = canvas.size_px;
    [
        -i64::from(x),
        -i64::from(y),
        i64::from(width),
        i64::from(height),
    ]
}
