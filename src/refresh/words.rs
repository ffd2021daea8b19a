//! The displays' rates in words.

use super::estimate::Estimate;
use super::recording::Clock;
use super::report::{Report, Row, Slip};
use super::rhythm::Rhythm;

/// What nothing here can tell.
const UNKNOWABLE: &str = "A window over several displays is shown in step with one of them, \
                              and no program is told with which: the others tear or stutter \
                              where their rates or moments differ.";

/// The report for people, a line or two a display, then how they stand to each other.
pub fn listing(report: &Report) -> String {
    if report.rows.is_empty() {
        return "no refresh rate measured: no display can be reached\n".to_owned();
    }
    let mut text: String = report.rows.iter().map(row).collect();
    for slip in report.slips() {
        text += &slip_words(&slip);
    }
    if report.rows.len() > 1 {
        text += UNKNOWABLE;
        text.push('\n');
    }
    text
}

fn row(row: &Row) -> String {
    let file = match row.file_hz {
        Some(hz) => format!("{} Hz in the rig file; ", short(hz)),
        None => String::new(),
    };
    let set = match row.set_hz {
        Some(hz) => format!("set to {} Hz", short(hz)),
        None => "set to a rate that the system doesn't tell".to_owned(),
    };
    let measured = match &row.measured {
        Ok(estimate) => format!("measured {}", measured(estimate)),
        Err(refusal) => format!("can't be measured here, because {refusal}"),
    };
    format!("display {}: {file}{set}; {measured}\n", row.display)
}

fn measured(estimate: &Estimate) -> String {
    let Estimate {
        hz,
        spread_hz,
        doubt_hz,
        missed,
        clock,
    } = estimate;
    // No more digits than are sure.
    let digits = match *doubt_hz {
        doubt if doubt < 0.005 => 3,
        doubt if doubt < 0.05 => 2,
        _ => 1,
    };
    let by = match clock {
        Clock::Display => "",
        Clock::Compositor => " by the compositor's clock, which it doesn't say is the display's",
        Clock::Callbacks => " by the compositor's requests for frames, which it doesn't number",
        Clock::Waits => " by waiting for its vertical blank, which has no number",
    };
    let missed = match missed {
        0 => "no refresh missed".to_owned(),
        1 => "1 refresh missed".to_owned(),
        missed => format!("{missed} refreshes missed"),
    };
    format!("{hz:.digits$} Hz{by} (spread {spread_hz:.digits$} Hz, {missed})")
}

fn slip_words(slip: &Slip) -> String {
    let [one, other] = &slip.between;
    let by = if slip.is_measured { "measured" } else { "set" };
    let what = match slip.rhythm {
        None => "whether they slip isn't known".to_owned(),
        Some(Rhythm::Same) => format!("no slip: as {by}, their rates can't be told apart"),
        Some(Rhythm::Steady(times)) => {
            format!("as {by}, {times} frames of the faster to one of the slower, steadily")
        }
        Some(Rhythm::Slips { period_s, .. }) => {
            format!("as {by}, they slip by a frame every {period_s:.1} s")
        }
        Some(Rhythm::Apart { period_s }) => {
            format!("as {by}, a frame of the faster has no counterpart every {period_s:.3} s")
        }
    };
    format!("{one} and {other}: {what}\n")
}

/// At most three decimals, as systems report rates.
pub fn short(hz: f64) -> String {
    let text = format!("{hz:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
