//! What was recorded of a display.

/// Whose refreshes were recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// The display's own, as its driver tells it.
    Display,
    /// The compositor's: it tells times and counts, but not that they are the display's.
    Compositor,
    /// When the compositor asked for the next frame.
    Callbacks,
    /// When a wait for the display's vertical blank ended.
    Waits,
}

/// A refresh with its number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tick {
    /// When, in seconds of the clock that the recording goes by.
    pub at_s: f64,
    /// Its number: one more for each refresh, whether recorded or not.
    pub count: u64,
}

/// Refreshes in the order in which they were told of.
#[derive(Debug, Clone, PartialEq)]
pub enum Ticks {
    /// With their numbers.
    Counted(Vec<Tick>),
    /// Their times alone, in seconds.
    Uncounted(Vec<f64>),
}

/// What the system let be recorded of a display.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// What the system calls the display.
    pub display: String,
    /// The rate of its mode, where the recording knows it better than the list of displays.
    pub set_hz: Option<f64>,
    /// Its refreshes, or why there are none, as the end of a sentence.
    pub heard: Result<(Clock, Ticks), String>,
}

impl Ticks {
    /// The refreshes with numbers. Those that have none get them from the times: an
    /// interval that is nearest to twice the median holds two refreshes.
    pub(super) fn numbered(&self) -> Vec<Tick> {
        let times = match self {
            Ticks::Counted(ticks) => return ticks.clone(),
            Ticks::Uncounted(times) => times,
        };
        let mut intervals: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
        intervals.sort_by(f64::total_cmp);
        let usual = intervals.get(intervals.len() / 2).copied();
        let mut count = 0_u64;
        let mut before: Option<f64> = None;
        let numbered = times.iter().map(|&at_s| {
            if let Some((before, usual)) = before.zip(usual) {
                let refreshes = ((at_s - before) / usual).round().max(1.0);
                count = count.saturating_add(refreshes as u64);
            }
            before = Some(at_s);
            Tick { at_s, count }
        });
        numbered.collect()
    }
}
