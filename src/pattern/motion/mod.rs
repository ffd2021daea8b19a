//! What moves: bars that sweep over the whole rig, and at each seam the number of the
//! frame that is shown, for a photograph to compare the displays by.
//!
//! Frames are the ticks of one clock, which beats at the facing panel's refresh rate.
//! All that is drawn follows from the rig, the speed and the tick.
//!
//! No place flashes more than three times in any second (WCAG 2, success criterion
//! 2.3.1) but for the strips' cells and digits, whose area inside any 10° of the field
//! of view stays below the 0.006 sr that the criterion allows: a sweep takes more than
//! a second, so that in any second each of the two bars passes a place once at most, and
//! strips that would be too large are drawn smaller.

mod strips;
mod sweep;

use super::board::{Anchor, Board, Style};
use super::palette;
use crate::rig::Rig;
use crate::typeset::Cut;

use strips::Strips;
use sweep::Sweep;

/// A frame of the moving layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Ticks of the clock since it began.
    pub frame: u32,
    /// How fast the bars move, in degrees of azimuth a second; see
    /// [`speed_on`](Motion::speed_on).
    pub speed_deg_s: f64,
}

impl Default for Motion {
    fn default() -> Self {
        Motion {
            frame: 0,
            speed_deg_s: 30.0,
        }
    }
}

impl Motion {
    /// Slowest and fastest speed, in degrees a second.
    pub const SPEEDS_DEG_S: [f64; 2] = [1.0, 90.0];

    /// The clock's rate in hertz: the facing panel's refresh rate, 60 where none is
    /// given.
    pub fn clock_hz(rig: &Rig) -> f64 {
        let facing = &rig.panels()[rig.seat().view.panel];
        facing.refresh_hz.unwrap_or(60.0)
    }

    /// The speed in degrees a second at which the bars sweep over a rig: the one asked
    /// for, within [`SPEEDS_DEG_S`](Motion::SPEEDS_DEG_S), and slower on a rig so narrow
    /// that a sweep would take hardly a second. The usual one where none is a number.
    pub fn speed_on(self, rig: &Rig) -> f64 {
        Sweep::over(rig, self).speed_deg_s()
    }
}

/// Draws a frame.
pub(super) fn draw(board: &mut Board, motion: Motion) {
    let sweep = Sweep::over(board.rig, motion);
    sweep.draw(board, motion.frame);
    let strips = Strips::of(board.rig);
    strips.draw(board, motion.frame);
    say(board, &sweep);
}

/// Says above the bars' way how fast they move.
fn say(board: &mut Board, sweep: &Sweep) {
    let panel = board.rig.seat().view.panel;
    let lit = board.canvas().panels[panel];
    let hz = Motion::clock_hz(board.rig);
    let speed = (sweep.speed_deg_s() * 100.0).round() / 100.0;
    let text = format!("bars {speed} °/s, clock {hz} Hz");
    let style = Style {
        cut: Cut::Regular,
        scale: 1.0,
        colour: palette::TEXT,
        anchor: Anchor::Middle,
    };
    let cap = board.cap_px(panel);
    let top = f64::from(sweep.rows(panel)[0]) - f64::from(lit.y);
    let y = (top - 2.0 * cap).max(2.0 * cap);
    board.text(panel, &text, style, f64::from(lit.w) / 2.0, y.round());
}
