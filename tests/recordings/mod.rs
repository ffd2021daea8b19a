//! Made recordings of displays' refreshes, and a rig of two of them.

#![allow(dead_code, reason = "each test file uses a part of it")]

use throughline::display::Display;
use throughline::refresh::{Clock, Estimate, Recording, Refusal, Report, Tick, Ticks};
use throughline::rig::{self, Rig};

/// Numbers that look random: a linear congruential generator by Knuth's MMIX constants.
pub(crate) struct Chance(pub u64);

impl Chance {
    /// Evenly between 0 and 1.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// With a standard deviation of 1: the sum of twelve even ones, less its mean.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}

/// What a display of this rate would be recorded as, told late at random, some
/// refreshes not at all.
pub(crate) struct Made {
    pub hz: f64,
    pub seconds: f64,
    pub jitter_s: f64,
    pub lost_share: f64,
    pub first: u64,
    pub from_s: f64,
}

impl Default for Made {
    fn default() -> Made {
        Made {
            hz: 60.0,
            seconds: 5.0,
            jitter_s: 20e-6,
            lost_share: 0.0,
            first: 7_654_321,
            from_s: 12_345.678,
        }
    }
}

impl Made {
    pub(crate) fn ticks(&self, seed: u64) -> Vec<Tick> {
        let mut chance = Chance(seed);
        let count = (self.seconds * self.hz) as u64;
        let mut ticks = Vec::new();
        for number in 0..count {
            let jitter_s = self.jitter_s * chance.normal();
            if chance.share() >= self.lost_share {
                ticks.push(Tick {
                    at_s: self.from_s + number as f64 / self.hz + jitter_s,
                    count: self.first + number,
                });
            }
        }
        ticks
    }
}

pub(crate) fn recording(display: &str, clock: Clock, ticks: Ticks) -> Recording {
    Recording {
        display: display.to_owned(),
        set_hz: None,
        heard: Ok((clock, ticks)),
    }
}

pub(crate) fn counted(display: &str, ticks: Vec<Tick>) -> Recording {
    recording(display, Clock::Display, Ticks::Counted(ticks))
}

pub(crate) fn uncounted(display: &str, clock: Clock, ticks: &[Tick]) -> Recording {
    let times = ticks.iter().map(|tick| tick.at_s).collect();
    recording(display, clock, Ticks::Uncounted(times))
}

/// Two displays of one size side by side, whose modes have these rates.
pub(crate) fn displays(set_hz: [Option<f64>; 2]) -> [Display; 2] {
    [("A", 0, set_hz[0]), ("B", 1920, set_hz[1])].map(|(name, x, refresh_hz)| Display {
        name: name.to_owned(),
        position_px: [x, 0],
        size_px: [1920, 1080],
        mode_px: None,
        scale: 1.0,
        refresh_hz,
        size_mm: None,
        is_primary: x == 0,
        features: Default::default(),
    })
}

/// A rig for them, with `refresh_hz` of the left panel.
pub(crate) fn rig(left_hz: f64) -> Rig {
    let panel = |name: &str, x: i32, more: String| {
        format!(
            "[[panel]]\nname = \"{name}\"\npixels = [1920, 1080]\ndiagonal_in = 24.0\n\
             desktop_px = [{x}, 0]\nbezel_mm = {{ left = 8, right = 8, top = 8, bottom = 8 }}\n{more}"
        )
    };
    let text = format!(
        "format = 1\nname = \"Two\"\n[seat]\nview = \"one/1\"\ndistance_mm = 700.0\n{}{}\
         [[seam]]\nangle_deg = 30.0\ngap_mm = 20\n",
        panel("one", 0, format!("refresh_hz = {left_hz}\n")),
        panel("two", 1920, String::new())
    );
    rig::read(&text, "two", &[]).expect("a sound rig")
}

pub(crate) fn report(set_hz: [Option<f64>; 2], recordings: &[Recording]) -> Report {
    Report::new(Some(&rig(60.0)), &displays(set_hz), recordings)
}

/// What is made of one display's recording, whose mode may have a rate.
pub(crate) fn judged(recorded: Recording, set_hz: Option<f64>) -> Result<Estimate, Refusal> {
    let report = report([set_hz, None], &[recorded]);
    report.rows[0].measured.clone()
}
