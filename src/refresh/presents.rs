//! The intervals between a program's frames, as it handed them to the system.

/// Width of a bin, in milliseconds: the median is known as exactly.
const BIN_MS: f64 = 0.05;
/// Longer than this nothing was to be shown in between: a pause, and no interval.
const PAUSE_MS: f64 = 500.0;
/// Times the median from which on an interval is late: nearer to two refreshes than to
/// one.
const LATE: f64 = 1.5;

/// Fewer intervals show no rhythm: a pattern that stands still is presented when it
/// changes. An own choice.
const FEWEST: u64 = 20;

/// Counts frames and the intervals between them, window by window, in fixed memory.
#[derive(Debug, Clone, Default)]
pub struct Presents {
    count: u64,
    last_s: Vec<Option<f64>>,
    bins: Vec<u64>,
}

impl Presents {
    /// A window presented a frame, at a time in seconds of any clock that only advances.
    pub fn note(&mut self, window: usize, at_s: f64) {
        self.count += 1;
        if self.last_s.len() <= window {
            self.last_s.resize(window + 1, None);
        }
        let Some(last_s) = self.last_s[window].replace(at_s) else {
            return;
        };
        let interval_ms = (at_s - last_s) * 1000.0;
        if (0.0..PAUSE_MS).contains(&interval_ms) {
            self.bins.resize((PAUSE_MS / BIN_MS) as usize + 1, 0);
            let bin = (interval_ms / BIN_MS) as usize;
            if let Some(bin) = self.bins.get_mut(bin) {
                *bin += 1;
            }
        }
    }

    /// Frames presented.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// The median of the intervals, in milliseconds, but for pauses; `None` where there
    /// are too few.
    pub fn median_ms(&self) -> Option<f64> {
        let intervals: u64 = self.bins.iter().sum();
        let mut below = 0;
        let bin = self.bins.iter().position(|bin| {
            below += bin;
            intervals >= FEWEST && 2 * below >= intervals
        })?;
        Some((bin as f64 + 0.5) * BIN_MS)
    }

    /// How many intervals were at least half as long again as the median; `None` where
    /// there is no median.
    pub fn late(&self) -> Option<u64> {
        let first = (LATE * self.median_ms()? / BIN_MS) as usize;
        Some(self.bins.iter().skip(first).sum())
    }
}
