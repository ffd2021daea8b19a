//! The rate that recorded refreshes have.

use super::recording::{Clock, Tick};

/// Refreshes in a window of time. An own choice, tried on compositors under load:
/// there the mean of a whole recording was off by 3 Hz of 75, and the median over
/// windows of this length by none.
pub(super) const WINDOW_FRAMES: usize = 50;

/// A measured rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Refreshes a second: the median over all windows of fifty.
    pub hz: f64,
    /// How far apart the windows' rates lie: the middle half of them lies within this.
    pub spread_hz: f64,
    /// By how much the rate may be off: twice the standard error of the median, from
    /// the spread and the number of windows that share no refresh.
    pub doubt_hz: f64,
    /// Refreshes between the first and the last that were not told of.
    pub missed: u64,
    /// Whose refreshes they were.
    pub clock: Clock,
}

impl Estimate {
    /// The rate of refreshes whose times and numbers rise; `None` where they don't, or
    /// fill less than two windows.
    pub(super) fn of(ticks: &[Tick], clock: Clock) -> Option<Estimate> {
        if !rises(ticks) || ticks.len() <= 2 * WINDOW_FRAMES {
            return None;
        }
        let windows = ticks.iter().zip(&ticks[WINDOW_FRAMES..]);
        let mut rates: Vec<f64> = windows
            .map(|(from, to)| (to.count - from.count) as f64 / (to.at_s - from.at_s))
            .collect();
        rates.sort_by(f64::total_cmp);
        let [low, hz, high] = [0.25, 0.5, 0.75].map(|share| quantile(&rates, share));
        let [first, last] = [ticks.first()?, ticks.last()?];
        let spread_hz = high - low;
        // Of a normal distribution: the middle half is 1.349 standard deviations wide,
        // and a median's error 1.2533 times a mean's.
        let apart = (ticks.len() / WINDOW_FRAMES) as f64;
        let doubt_hz = 2.0 * 1.2533 * spread_hz / 1.349 / apart.sqrt();
        Some(Estimate {
            hz,
            spread_hz,
            doubt_hz,
            missed: (last.count - first.count).saturating_sub(ticks.len() as u64 - 1),
            clock,
        })
    }
}

/// Whether both times and numbers rise from each refresh to the next.
pub(super) fn rises(ticks: &[Tick]) -> bool {
    ticks
        .windows(2)
        .all(|pair| pair[0].at_s < pair[1].at_s && pair[0].count < pair[1].count)
}

/// A quantile of sorted values, of which there is one at least.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let at = share * (sorted.len() - 1) as f64;
    let (below, above) = (sorted[at.floor() as usize], sorted[at.ceil() as usize]);
    below + (above - below) * at.fract()
}
