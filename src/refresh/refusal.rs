//! Why recorded refreshes are not those of a display.

use std::collections::HashMap;
use std::fmt;
use std::ops::RangeInclusive;

use super::estimate::{Estimate, WINDOW_FRAMES, rises};
use super::recording::{Clock, Recording, Tick, Ticks};

/// Slower is no display that shows pictures: servers count about once a second for one
/// that is dark. An own choice, below the slowest modes of displays, of 24 Hz.
const SLOWEST_HZ: f64 = 10.0;
/// Spread of the windows' rates from which on they don't agree, as a share of the rate.
/// An own choice: 1.2 Hz of 60, as compositors without displays reach on busy machines.
const SPREAD_SHARE: f64 = 0.02;
/// The same for times without numbers, which have nothing else to prove themselves by. An
/// own choice: programs that are woken late by half a millisecond stay within a quarter
/// of it, and a timer that a busy machine slows down to the set rate does not.
const UNNUMBERED_SPREAD_SHARE: f64 = 0.005;
/// Times of one number of two displays that are one count's. An own choice: a server
/// answers two questions about one count within less.
const SAME_TIME_S: f64 = 0.001;
/// The microseconds of a refresh that X servers make up where they have no display's:
/// their counter is the clock, divided by this. X.Org 21.1 without hardware counts so.
const MADE_UP_US: RangeInclusive<u64> = 16_666..=16_667;
/// How far a compositor's requests for frames may come from the rate that is set, as a
/// share of it. An own choice: compositors without displays use timers of whole
/// milliseconds, which miss usual rates by more than 1 %.
const CALLBACK_SHARE: f64 = 0.005;
/// The same in hertz for waits on Windows, which tells whole hertz, 59 for 59.94.
const WAIT_HZ: f64 = 1.0;

/// Why a rate can't be measured.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// The system told nothing, for this reason: the end of a sentence.
    NotTold(String),
    /// So many refreshes were told of in the time given.
    TooFew(usize),
    /// Times or numbers don't advance.
    Standing,
    /// It comes about once a second, as for a display that is dark.
    Dark {
        /// Its rate.
        hz: f64,
    },
    /// The count is the server's clock, divided.
    MadeUp,
    /// Another display has the same count.
    Shared {
        /// The other display.
        with: String,
    },
    /// Windows of time don't agree.
    Unsteady {
        /// Their rates' median.
        hz: f64,
        /// How far apart the middle half of them lies.
        spread_hz: f64,
    },
    /// Without a number, only the set rate can confirm the times, and it doesn't.
    NotTheSetRate {
        /// The rate of the times.
        hz: f64,
        /// The rate of the mode, where it is known.
        set_hz: Option<f64>,
    },
}

impl fmt::Display for Refusal {
    /// The end of a sentence that begins with "can't be measured here, because".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::NotTold(reason) => f.write_str(reason),
            Refusal::TooFew(count) => write!(
                f,
                "only {count} refreshes were told of in the time given, and it takes {} to be sure",
                2 * WINDOW_FRAMES + 1
            ),
            Refusal::Standing => f.write_str(
                "the system's count of its refreshes doesn't go on, so it counts something else",
            ),
            Refusal::Dark { hz } => write!(
                f,
                "the system counts {hz:.1} refreshes a second, as for a display that is dark: \
                 wake it up"
            ),
            Refusal::MadeUp => f.write_str(
                "the display server makes its count up from the clock, 60 a second whatever the \
                 display does",
            ),
            Refusal::Shared { with } => write!(
                f,
                "the system counts it and display {with} with one counter, which can be true of \
                 one of them at most"
            ),
            Refusal::Unsteady { hz, spread_hz } => write!(
                f,
                "what was counted doesn't agree with itself: {hz:.2} refreshes a second, but \
                 {spread_hz:.2} more or fewer from one moment to the next; close what keeps the \
                 machine busy, and measure for longer"
            ),
            Refusal::NotTheSetRate {
                hz,
                set_hz: Some(set_hz),
            } => write!(
                f,
                "the system numbers no refreshes, and its times come {hz:.1} a second where the \
                 mode has {set_hz:.1}, so they are not the display's own"
            ),
            Refusal::NotTheSetRate { set_hz: None, .. } => f.write_str(
                "the system numbers no refreshes and tells no rate of the mode, so that nothing \
                 shows that its times are the display's",
            ),
        }
    }
}

/// The rate of each recording, or why it isn't the display's. The set rates are those of
/// the displays' modes, one a recording.
pub(super) fn judged(
    recordings: &[Recording],
    set_hz: &[Option<f64>],
) -> Vec<Result<Estimate, Refusal>> {
    let numbered: Vec<Vec<Tick>> = recordings
        .iter()
        .map(|recording| match &recording.heard {
            Ok((_, ticks)) => ticks.numbered(),
            Err(_) => Vec::new(),
        })
        .collect();
    let one = |index: usize| {
        let recording = &recordings[index];
        let (clock, ticks) = match &recording.heard {
            Ok(heard) => heard,
            Err(reason) => return Err(Refusal::NotTold(reason.clone())),
        };
        let estimate = alone(&numbered[index], *clock, ticks)?;
        for (other, name) in recordings.iter().enumerate() {
            let are_counted = [index, other].map(|at| is_counted(&recordings[at]));
            if other != index && are_counted == [true; 2] {
                let have_one = is_one_count(&numbered[index], &numbered[other]);
                if have_one {
                    let with = name.display.clone();
                    return Err(Refusal::Shared { with });
                }
            }
        }
        steady(confirmed(estimate, set_hz[index])?)
    };
    (0..recordings.len()).map(one).collect()
}

fn is_counted(recording: &Recording) -> bool {
    matches!(recording.heard, Ok((_, Ticks::Counted(_))))
}

/// What a recording says by itself.
fn alone(numbered: &[Tick], clock: Clock, ticks: &Ticks) -> Result<Estimate, Refusal> {
    if let [first, .., last] = numbered {
        if !rises(numbered) {
            return Err(Refusal::Standing);
        }
        let hz = (last.count - first.count) as f64 / (last.at_s - first.at_s);
        if hz < SLOWEST_HZ {
            return Err(Refusal::Dark { hz });
        }
        if matches!(ticks, Ticks::Counted(_)) && is_made_up(numbered) {
            return Err(Refusal::MadeUp);
        }
    }
    Estimate::of(numbered, clock).ok_or(Refusal::TooFew(numbered.len()))
}

/// Whether each number is that of its time on a counter made of the clock.
fn is_made_up(ticks: &[Tick]) -> bool {
    let mut intervals = MADE_UP_US;
    intervals.any(|interval_us| {
        ticks.iter().all(|tick| {
            let us = (tick.at_s * 1e6).round() as u64;
            // The time is that of the answer, which comes a little later.
            (us / interval_us).abs_diff(tick.count) <= 1
        })
    })
}

/// Whether refreshes of the same number have the same time, of those that both have.
fn is_one_count(one: &[Tick], other: &[Tick]) -> bool {
    let times: HashMap<u64, f64> = other.iter().map(|tick| (tick.count, tick.at_s)).collect();
    let apart: Vec<f64> = one
        .iter()
        .filter_map(|tick| Some((times.get(&tick.count)? - tick.at_s).abs()))
        .collect();
    let same = apart.iter().filter(|apart| **apart < SAME_TIME_S).count();
    apart.len() >= WINDOW_FRAMES && same * 10 >= apart.len() * 9
}

/// Holds times without numbers against the rate that is set.
fn confirmed(estimate: Estimate, set_hz: Option<f64>) -> Result<Estimate, Refusal> {
    let hz = estimate.hz;
    let is_confirmed = match estimate.clock {
        Clock::Display | Clock::Compositor => true,
        Clock::Callbacks => set_hz.is_some_and(|set| (hz - set).abs() <= CALLBACK_SHARE * set),
        Clock::Waits => set_hz.is_none_or(|set| (hz - set).abs() <= WAIT_HZ),
    };
    if is_confirmed {
        Ok(estimate)
    } else {
        Err(Refusal::NotTheSetRate { hz, set_hz })
    }
}

fn steady(estimate: Estimate) -> Result<Estimate, Refusal> {
    let Estimate { hz, spread_hz, .. } = estimate;
    let most = match estimate.clock {
        Clock::Display | Clock::Compositor => SPREAD_SHARE,
        Clock::Callbacks | Clock::Waits => UNNUMBERED_SPREAD_SHARE,
    };
    if spread_hz > most * hz {
        return Err(Refusal::Unsteady { hz, spread_hz });
    }
    Ok(estimate)
}
