//! Refresh rates and scale factors.

use super::limits::NOMINAL_RATE_HZ;
use super::{Code, Finding, listed, name, quoted};
use crate::display::{Display, SAME_SCALE};
use crate::matching::Matching;
use crate::refresh::{Rhythm, SAME_RATE_HZ, short};
use crate::rig::{Rig, Subject};

/// A value of one panel, as a display reports it or else as the rig file says.
struct Reading {
    panel: usize,
    who: String,
    value: f64,
}

pub(super) fn findings(
    rig: &Rig,
    displays: &[Display],
    matching: Option<&Matching>,
) -> Vec<Finding> {
    let carriers = |panel: usize| matching.map_or_else(Vec::new, |m| m.carriers(panel));
    let mut rates = Vec::new();
    let mut scales = Vec::new();
    let mut found = Vec::new();
    let mut seen = Vec::new();
    for (index, panel) in rig.panels().iter().enumerate() {
        let shown_by = carriers(index);
        for &d in &shown_by {
            found.extend(contradictions(rig, index, &displays[d]));
        }
        for d in shown_by {
            // A display that carries several panels has one rate and one scale.
            if seen.contains(&d) {
                continue;
            }
            seen.push(d);
            let display = &displays[d];
            let who = format!("display {}", name(display));
            let reading = |value| Reading {
                panel: index,
                who: who.clone(),
                value,
            };
            rates.extend(display.refresh_hz.or(panel.refresh_hz).map(reading));
            scales.push(reading(display.scale));
        }
        if matching.is_none() {
            let reading = |value| Reading {
                panel: index,
                who: format!("panel {}", quoted(rig, index)),
                value,
            };
            rates.extend(panel.refresh_hz.map(reading));
            scales.push(reading(panel.scale));
        }
    }
    found.extend(rates_differ(rig, &rates));
    found.extend(scales.iter().filter_map(scaled));
    found.extend(scales_differ(&scales));
    found
}

/// Compares every rate with that of the facing panel, or else with the first.
/// Those that differ from it by the same are one finding.
fn rates_differ(rig: &Rig, rates: &[Reading]) -> Vec<Finding> {
    let facing = rig.seat().view.panel;
    let same = |a: &Reading, b: &Reading| (a.value - b.value).abs() <= SAME_RATE_HZ;
    let by = rates
        .iter()
        .find(|rate| rate.panel == facing)
        .or(rates.first());
    let Some(by) = by else {
        return Vec::new();
    };
    let mut others: Vec<Vec<&Reading>> = Vec::new();
    for rate in rates.iter().filter(|rate| !same(rate, by)) {
        match others.iter_mut().find(|group| same(group[0], rate)) {
            Some(group) => group.push(rate),
            None => others.push(vec![rate]),
        }
    }
    others.iter().map(|group| rate_text(by, group)).collect()
}

fn rate_text(by: &Reading, group: &[&Reading]) -> Finding {
    let rate = group[0];
    let others: Vec<_> = group.iter().map(|rate| rate.who.clone()).collect();
    Finding::warning(
        Code::RefreshDiffers,
        Subject::panel(rate.panel, "refresh_hz"),
        format!(
            "{} at {} Hz, but {} at {} Hz: {}. Give both the same mode, with the same timing, in \
             the system's display settings.",
            capital(&runs(&others)),
            short(rate.value),
            runs(std::slice::from_ref(&by.who)),
            short(by.value),
            rhythm([by.value, rate.value]),
        ),
    )
}

/// What two rates do to a picture over both.
fn rhythm(rates: [f64; 2]) -> String {
    const STUTTER: &str = "A picture over both is shown in step with one of them, so that the \
                           other tears or stutters at that rhythm";
    match Rhythm::between(rates, SAME_RATE_HZ) {
        // Only rates that differ are compared.
        Rhythm::Same => "the two keep step".to_owned(),
        Rhythm::Steady(times) => format!(
            "each frame of the slower stands for {times} of the faster. That is a steady rhythm \
             without stutter, but what moves goes in larger steps on the slower, and programs \
             that wait for both draw at its rate"
        ),
        Rhythm::Slips { times, period_s } => {
            let what = if times > 1.0 {
                format!(
                    "each frame of the slower stands for {times} of the faster, but the two slip"
                )
            } else {
                "the two slip".to_owned()
            };
            format!("{what} by a frame every {period_s:.1} s. {STUTTER}")
        }
        Rhythm::Apart { period_s } => format!(
            "{} frames a second of the faster have no counterpart, one every {period_s:.3} s. \
             {STUTTER}",
            short(1.0 / period_s),
        ),
    }
}

fn runs(names: &[String]) -> String {
    let verb = if names.len() == 1 { "runs" } else { "run" };
    format!("{} {verb}", listed(names))
}

fn scaled(scale: &Reading) -> Option<Finding> {
    if (scale.value - 1.0).abs() <= SAME_SCALE {
        return None;
    }
    Some(Finding::warning(
        Code::ScaleNotOne,
        Subject::panel(scale.panel, "scale"),
        format!(
            "{} has a scale factor of {}: programs that don't know of it are enlarged and \
             blurred, and lines one pixel wide become smears. Set 100 % for it in the system's \
             display settings.",
            capital(&scale.who),
            short(scale.value),
        ),
    ))
}

fn scales_differ(scales: &[Reading]) -> Option<Finding> {
    let first = scales.first()?;
    let other = scales
        .iter()
        .find(|scale| (scale.value - first.value).abs() > SAME_SCALE)?;
    Some(Finding::warning(
        Code::ScaleDiffers,
        Subject::panel(other.panel, "scale"),
        format!(
            "{} has a scale factor of {}, {} of {}: a window over both has the right size on one \
             of them only. Set the same factor for all, best 100 %, in the system's display \
             settings.",
            capital(&first.who),
            short(first.value),
            other.who,
            short(other.value),
        ),
    ))
}

/// Where a display runs otherwise than the rig file says.
fn contradictions(rig: &Rig, index: usize, display: &Display) -> Vec<Finding> {
    let panel = &rig.panels()[index];
    let mut found = Vec::new();
    if let Some((file, actual)) = panel.refresh_hz.zip(display.refresh_hz)
        && (file - actual).abs() > NOMINAL_RATE_HZ
    {
        found.push(Finding::warning(
            Code::RefreshNotAsFiled,
            Subject::panel(index, "refresh_hz"),
            format!(
                "Panel {} refreshes at {} Hz in the rig file, but display {} runs at {} Hz: \
                 motion will not be as smooth as planned, or the file is out of date. Choose the \
                 mode in the system's display settings, or correct `refresh_hz`.",
                quoted(rig, index),
                short(file),
                name(display),
                short(actual),
            ),
        ));
    }
    // A factor of 1 may just have been left out of the file.
    if (panel.scale - 1.0).abs() > SAME_SCALE && (panel.scale - display.scale).abs() > SAME_SCALE {
        found.push(Finding::warning(
            Code::ScaleNotAsFiled,
            Subject::panel(index, "scale"),
            format!(
                "Panel {} has a scale factor of {} in the rig file, but display {} has {}: sizes \
                 that go by it will be wrong. Correct `scale`, or the system's display settings.",
                quoted(rig, index),
                short(panel.scale),
                name(display),
                short(display.scale),
            ),
        ));
    }
    found
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map(|first| first.to_uppercase().chain(chars).collect())
        .unwrap_or_default()
}
