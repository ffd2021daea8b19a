//! Vertical blanks of each output, as Windows lets a thread wait for them.

use std::thread;
use std::time::{Duration, Instant};

use throughline::refresh::{Clock, Recording, Ticks};
use winsafe::prelude::*;
use winsafe::{CreateDXGIFactory1, HrResult, IDXGIOutput};

/// Faster is no display: the waits return at once.
const FASTEST_HZ: f64 = 1000.0;
/// Waits after which that is looked at.
const FIRST: usize = 20;

/// Records the vertical blanks of all outputs for so long.
pub(super) fn recorded(time: Duration) -> Result<Vec<Recording>, String> {
    let named = outputs()
        .and_then(|outputs| {
            let names = outputs
                .iter()
                .map(|output| Ok(output.GetDesc()?.DeviceName()));
            names.collect::<HrResult<Vec<String>>>()
        })
        .map_err(|error| untold(&error))?;
    let start = Instant::now();
    // An interface stays on the thread that made it.
    let waits = named
        .iter()
        .enumerate()
        .map(|(index, _)| thread::Builder::new().spawn(move || blanks(index, start, start + time)));
    let waits: Vec<_> = waits.collect();
    let recordings = named.into_iter().zip(waits).map(|(name, wait)| {
        let heard = match wait.map(thread::JoinHandle::join) {
            Ok(Ok(blanks)) => blanks.map(|times| (Clock::Waits, Ticks::Uncounted(times))),
            Ok(Err(_)) | Err(_) => Err("no thread could be started to wait for it".to_owned()),
        };
        Recording {
            display: name.strip_prefix(r"\\.\").unwrap_or(&name).to_owned(),
            set_hz: None,
            heard,
        }
    });
    Ok(recordings.collect())
}

/// The outputs of all adapters, always in the same order.
fn outputs() -> HrResult<Vec<IDXGIOutput>> {
    let factory = CreateDXGIFactory1()?;
    let mut outputs = Vec::new();
    for adapter in factory.EnumAdapters() {
        for output in adapter?.EnumOutputs() {
            outputs.push(output?);
        }
    }
    Ok(outputs)
}

/// When the vertical blanks of an output came, in seconds.
fn blanks(index: usize, start: Instant, end: Instant) -> Result<Vec<f64>, String> {
    let outputs = outputs().map_err(|error| untold(&error))?;
    let Some(output) = outputs.get(index) else {
        return Err("it went away meanwhile".to_owned());
    };
    let mut times = Vec::new();
    while Instant::now() < end {
        output.WaitForVBlank().map_err(|error| untold(&error))?;
        times.push(start.elapsed().as_secs_f64());
        let first = times.first().zip(times.get(FIRST));
        if first.is_some_and(|(from, to)| (to - from) * FASTEST_HZ < FIRST as f64) {
            return Err("the system doesn't wait for its vertical blank".to_owned());
        }
    }
    Ok(times)
}

fn untold(error: &dyn std::fmt::Display) -> String {
    format!(
        "the system doesn't tell of its vertical blank ({})",
        crate::desktop::one_line(&error.to_string())
    )
}
