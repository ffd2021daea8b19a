//! Refresh rates of the connected displays, measured and told.

use std::time::Duration;

use serde::Serialize;
use throughline::display::Display;
use throughline::refresh::{Presents, Recording, Report};

use crate::desktop;
use crate::files::tell;

/// How long to measure where nobody says.
#[cfg(feature = "desktop")]
pub(super) const USUAL: Duration = Duration::from_secs(5);
/// The same in seconds.
pub(super) const USUAL_S: &str = "5";
/// How long may be asked for, in seconds.
const SECONDS: std::ops::RangeInclusive<f64> = 1.0..=120.0;

/// The length of a measurement out of an argument.
///
/// # Errors
///
/// What was expected.
pub(super) fn measuring_time(text: &str) -> Result<Duration, String> {
    match text.parse::<f64>() {
        Ok(seconds) if SECONDS.contains(&seconds) => Ok(Duration::from_secs_f64(seconds)),
        _ => Err(format!(
            "expected a number of seconds from {} to {}, such as {USUAL_S}; name the rig file before \
             --measure",
            SECONDS.start(),
            SECONDS.end()
        )),
    }
}

/// Records the displays for so long, and says so.
pub(super) fn recorded(displays: &[Display], time: Duration) -> Vec<Recording> {
    tell(format!(
        "measuring refresh rates for {} s; displays may turn black meanwhile",
        time.as_secs_f64()
    ));
    desktop::recorded(time).unwrap_or_else(|why| {
        let untold = displays.iter().map(|display| Recording {
            display: display.name.clone(),
            set_hz: None,
            heard: Err(why.to_string()),
        });
        untold.collect()
    })
}

/// What is told of refresh rates, for scripts.
#[derive(Serialize)]
pub(super) struct RefreshJson {
    displays: Vec<DisplayJson>,
    slips: Vec<SlipJson>,
    presents: Option<PresentsJson>,
}

#[derive(Serialize)]
struct DisplayJson {
    name: String,
    file_hz: Option<f64>,
    set_hz: Option<f64>,
    measured_hz: Option<f64>,
    spread_hz: Option<f64>,
    missed: Option<u64>,
}

#[derive(Serialize)]
struct SlipJson {
    between: [String; 2],
    period_s: Option<f64>,
}

#[derive(Serialize)]
struct PresentsJson {
    count: u64,
    median_ms: Option<f64>,
    late: Option<u64>,
}

impl RefreshJson {
    /// The report, and the frames that were presented, where any could be.
    pub(super) fn new(report: &Report, presents: Option<&Presents>) -> RefreshJson {
        let displays = report.rows.iter().map(|row| {
            let measured = row.measured.as_ref().ok();
            DisplayJson {
                name: row.display.clone(),
                file_hz: row.file_hz,
                set_hz: row.set_hz,
                measured_hz: measured.map(|estimate| estimate.hz),
                spread_hz: measured.map(|estimate| estimate.spread_hz),
                missed: measured.map(|estimate| estimate.missed),
            }
        });
        let slips = report.slips().into_iter().map(|slip| SlipJson {
            period_s: slip.rhythm.and_then(|rhythm| rhythm.period_s()),
            between: slip.between,
        });
        RefreshJson {
            displays: displays.collect(),
            slips: slips.collect(),
            presents: presents.map(|presents| PresentsJson {
                count: presents.count(),
                median_ms: presents.median_ms(),
                late: presents.late(),
            }),
        }
    }
}

/// Plain data of this kind always has a JSON form.
pub(super) fn json(value: &impl Serialize) -> String {
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}
