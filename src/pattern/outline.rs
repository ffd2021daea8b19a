//! Where another program's window lies.

use super::mark::{Bar, Mark};
use super::palette;
use crate::rig::{Rig, Window};

/// Width of the frame, in pixels, which lie inside the window.
const FRAME_PX: f64 = 3.0;
/// Width of a tick at a cut, in pixels.
const TICK_PX: f64 = 2.0;
/// Length of a tick at a cut, as a share of the window's height.
const TICK_SHARE: f64 = 0.05;

/// A frame just inside the window, and ticks at its upper and lower edge where one
/// column's picture ends and the next one's begins, as far as panels show them.
pub(super) fn marks(rig: &Rig, window: &Window) -> Vec<Mark> {
    let panels = &rig.canvas().panels;
    let facing = panels[rig.seat().view.panel];
    let [x, y, width, height] = window.px.map(f64::from);
    let (left, top) = (f64::from(facing.x) + x, f64::from(facing.y) + y);
    let (right, bottom) = (left + width, top + height);
    let mut bars = vec![
        [left, top, right, top + FRAME_PX],
        [left, bottom - FRAME_PX, right, bottom],
        [left, top, left + FRAME_PX, bottom],
        [right - FRAME_PX, top, right, bottom],
    ];
    let long = height * TICK_SHARE;
    for cut in 1..window.count() {
        let at = left + window.column_px() * cut as f64;
        let [from, to] = [at - TICK_PX / 2.0, at + TICK_PX / 2.0];
        bars.push([from, top, to, top + long]);
        bars.push([from, bottom - long, to, bottom]);
    }
    let on_panels = |edges: [f64; 4]| {
        panels.iter().filter_map(move |&clip| {
            let [left, top, right, bottom] = edges;
            let is_shown = left < f64::from(clip.right())
                && right > f64::from(clip.x)
                && top < f64::from(clip.bottom())
                && bottom > f64::from(clip.y);
            is_shown.then_some(Mark::Bar(Bar {
                edges,
                clip,
                colour: palette::LIT,
            }))
        })
    };
    bars.into_iter().flat_map(on_panels).collect()
}
