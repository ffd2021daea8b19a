//! Rates of recorded refreshes: found through jitter, refused where the times don't
//! prove themselves.

use throughline::check::findings;
use throughline::display::Display;
use throughline::refresh::{
    Clock, Estimate, Presents, Recording, Refusal, Report, Rhythm, SAME_RATE_HZ, Tick, Ticks,
    listing,
};
use throughline::rig::{self, Rig};

/// Numbers that look random: a linear congruential generator by Knuth's MMIX constants.
struct Chance(u64);

impl Chance {
    /// Evenly between 0 and 1.
    fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// With a standard deviation of 1: the sum of twelve even ones, less its mean.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}

/// What a display of this rate would be recorded as, told late at random, some
/// refreshes not at all.
struct Made {
    hz: f64,
    seconds: f64,
    jitter_s: f64,
    lost_share: f64,
    first: u64,
    from_s: f64,
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
    fn ticks(&self, seed: u64) -> Vec<Tick> {
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

fn recording(display: &str, clock: Clock, ticks: Ticks) -> Recording {
    Recording {
        display: display.to_owned(),
        set_hz: None,
        heard: Ok((clock, ticks)),
    }
}

fn counted(display: &str, ticks: Vec<Tick>) -> Recording {
    recording(display, Clock::Display, Ticks::Counted(ticks))
}

fn uncounted(display: &str, clock: Clock, ticks: &[Tick]) -> Recording {
    let times = ticks.iter().map(|tick| tick.at_s).collect();
    recording(display, clock, Ticks::Uncounted(times))
}

/// Two displays of one size side by side, whose modes have these rates.
fn displays(set_hz: [Option<f64>; 2]) -> [Display; 2] {
    [("A", 0, set_hz[0]), ("B", 1920, set_hz[1])].map(|(name, x, refresh_hz)| Display {
        name: name.to_owned(),
        position_px: [x, 0],
        size_px: [1920, 1080],
        mode_px: None,
        scale: 1.0,
        refresh_hz,
        size_mm: None,
        is_primary: x == 0,
    })
}

/// A rig for them, with `refresh_hz` of the left panel.
fn rig(left_hz: f64) -> Rig {
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

fn report(set_hz: [Option<f64>; 2], recordings: &[Recording]) -> Report {
    Report::new(Some(&rig(60.0)), &displays(set_hz), recordings)
}

/// What is made of one display's recording, whose mode may have a rate.
fn judged(recorded: Recording, set_hz: Option<f64>) -> Result<Estimate, Refusal> {
    let report = report([set_hz, None], &[recorded]);
    report.rows[0].measured.clone()
}

#[test]
fn rates_are_found_through_jitter_and_lost_refreshes() {
    for seed in 0..200 {
        for hz in [23.976, 59.9506, 60.0, 75.0, 143.9733, 239.76] {
            let made = Made {
                hz,
                seconds: 5.0 * 60.0 / hz.min(60.0),
                jitter_s: 200e-6,
                lost_share: 0.02,
                ..Made::default()
            };
            let ticks = made.ticks(seed);
            let [first, last] = [ticks[0], ticks[ticks.len() - 1]];
            let missed = last.count - first.count + 1 - ticks.len() as u64;
            let found = judged(counted("A", ticks), None).expect("an honest recording");
            assert!((found.hz - hz).abs() < 3e-4 * hz, "{hz}: {found:?}");
            assert!((found.hz - hz).abs() <= found.doubt_hz, "{hz}: {found:?}");
            assert_eq!(found.missed, missed);
        }
    }
}

/// A busy machine stands still now and then, and the compositor's clock with it: the
/// mean of all is off by the share of time that it stands.
#[test]
fn a_clock_that_stalls_has_the_rate_that_it_has_between_the_stalls() {
    let mut late_s = 0.0;
    let mut ticks = Made {
        hz: 75.0,
        ..Made::default()
    }
    .ticks(1);
    for (index, tick) in ticks.iter_mut().enumerate() {
        if index % 120 == 60 {
            late_s += 0.07;
        }
        tick.at_s += late_s;
    }
    let [first, last] = [ticks[0], ticks[ticks.len() - 1]];
    let mean = (last.count - first.count) as f64 / (last.at_s - first.at_s);
    assert!(mean < 72.5, "{mean}");
    let recorded = recording("A", Clock::Compositor, Ticks::Counted(ticks));
    match judged(recorded, None) {
        Ok(found) => assert!((found.hz - 75.0).abs() < 0.05, "{found:?}"),
        Err(Refusal::Unsteady { hz, .. }) => assert!((hz - 75.0).abs() < 0.05, "{hz}"),
        Err(other) => panic!("{other}"),
    }
}

#[test]
fn nearly_sixty_is_told_from_sixty_through_jitter() {
    // Half a millisecond is what a process that is woken late would see; a display's
    // own times are a hundred times surer.
    for (jitter_s, seconds, lost_share) in
        [(20e-6, 5.0, 0.0), (2e-4, 10.0, 0.02), (5e-4, 60.0, 0.05)]
    {
        for seed in 0..100 {
            let made = |hz, first, from_s| Made {
                hz,
                seconds,
                jitter_s,
                lost_share,
                first,
                from_s,
            };
            let one = made(59.95, 9_000, 100.0).ticks(seed);
            let two = made(60.0, 9_004, 100.004).ticks(seed + 1000);
            let found = report(
                [Some(60.0), Some(60.0)],
                &[counted("A", one), counted("B", two)],
            );
            let [one, two] = [0, 1].map(|index| {
                let row = &found.rows[index];
                row.measured.clone().expect("an honest recording")
            });
            assert!((one.hz - 59.95).abs() < 0.01, "{one:?}");
            assert!((two.hz - 60.0).abs() < 0.01, "{two:?}");
            let slip = &found.slips()[0];
            assert!(slip.is_measured);
            let Some(Rhythm::Slips { times, period_s }) = slip.rhythm else {
                panic!("{one:?} {two:?} {slip:?}");
            };
            // One frame in 20 s.
            assert!(times == 1.0 && (period_s - 20.0).abs() < 4.0, "{period_s}");
        }
    }
}

#[test]
fn the_same_rate_is_no_slip() {
    for seed in 0..100 {
        let made = |first, from_s| Made {
            jitter_s: 2e-4,
            first,
            from_s,
            ..Made::default()
        };
        let recorded = [
            counted("A", made(5, 50.0).ticks(seed)),
            counted("B", made(5, 50.008).ticks(seed + 500)),
        ];
        let displays = displays([None; 2]);
        let found = Report::new(Some(&rig(60.0)), &displays, &recorded);
        assert_eq!(found.slips()[0].rhythm, Some(Rhythm::Same));
        // Nor a finding.
        let codes = codes(&found, &displays, 60.0);
        assert!(
            codes.iter().all(|code| !code.starts_with("refresh")),
            "{codes:?}"
        );
    }
}

fn codes(report: &Report, displays: &[Display], left_hz: f64) -> Vec<&'static str> {
    let displays = report.as_measured(displays);
    let found = findings(&rig(left_hz), Some(&displays));
    found.iter().map(|finding| finding.code).collect()
}

/// VESA CVT, reduced blanking v1: dot clock over all dots of a refresh, for 1920 × 1080
/// and 2560 × 1440 at 60 Hz and 2560 × 1440 at 144 Hz.
#[test]
fn nominal_rates_slip_by_their_timings() {
    for (clock_hz, across, down, nominal_hz, period_s) in [
        (138.50e6, 2080.0, 1111.0, 60.0, 15.1),
        (241.50e6, 2720.0, 1481.0, 60.0, 20.2),
        (604.25e6, 2720.0, 1543.0, 144.0, 37.4),
    ] {
        let hz = clock_hz / (across * down);
        let exact: f64 = 1.0 / (nominal_hz - hz);
        assert!((exact - period_s).abs() < 0.06, "{exact}");
        let rhythm = Rhythm::between([hz, nominal_hz], SAME_RATE_HZ);
        let period = rhythm.period_s().expect("a slip");
        assert!((period - exact).abs() < 1e-9, "{period}");
        // The same from what was recorded.
        let made = |hz, first| Made {
            hz,
            seconds: 10.0,
            first,
            ..Made::default()
        };
        let recorded = [
            counted("A", made(hz, 1).ticks(3)),
            counted("B", made(nominal_hz, 7).ticks(4)),
        ];
        let found = report([None; 2], &recorded).slips();
        let measured = found[0].rhythm.and_then(Rhythm::period_s).expect("a slip");
        assert!(
            (measured / exact - 1.0).abs() < 0.1,
            "{measured} for {exact}"
        );
    }
    // ITU-R BT.1302's 60/1.001, as television has it.
    let ntsc = Rhythm::between([60.0 / 1.001, 60.0], SAME_RATE_HZ);
    assert!((ntsc.period_s().expect("a slip") - 16.683).abs() < 1e-3);
    assert_eq!(
        Rhythm::between([120.0, 60.0], SAME_RATE_HZ),
        Rhythm::Steady(2.0)
    );
    let apart = Rhythm::between([75.0, 60.0], SAME_RATE_HZ).period_s();
    assert!((apart.expect("known") - 1.0 / 15.0).abs() < 1e-12);
}

#[test]
fn one_counter_for_two_displays_is_refused() {
    let ticks = Made::default().ticks(1);
    // The server answers for the second a little later.
    let later = ticks.iter().map(|tick| Tick {
        at_s: tick.at_s + 30e-6,
        ..*tick
    });
    let recorded = [counted("A", ticks.clone()), counted("B", later.collect())];
    let found = report([Some(75.0), Some(60.0)], &recorded);
    for (row, other) in found.rows.iter().zip(["B", "A"]) {
        assert_eq!(
            row.measured,
            Err(Refusal::Shared {
                with: other.to_owned()
            })
        );
    }
    assert!(
        !listing(&found).contains(" measured 60"),
        "{}",
        listing(&found)
    );
    assert!(!found.slips()[0].is_measured);
    // The same numbers at other times are two counters.
    let apart = ticks.iter().map(|tick| Tick {
        at_s: tick.at_s + 4e-3,
        ..*tick
    });
    let recorded = [counted("A", ticks.clone()), counted("B", apart.collect())];
    assert!(
        report([None; 2], &recorded)
            .rows
            .iter()
            .all(|row| row.measured.is_ok())
    );
}

#[test]
fn a_count_that_is_the_clock_is_refused() {
    for interval_us in [16_666, 16_667] {
        let mut chance = Chance(9);
        let first = 1_798_059;
        let ticks = (first..first + 300).map(|count| Tick {
            at_s: (count * interval_us) as f64 / 1e6 + 150e-6 * chance.share(),
            count,
        });
        let found = judged(counted("A", ticks.collect()), None);
        assert_eq!(found, Err(Refusal::MadeUp));
    }
    // A display that was lit some seconds after the clock began.
    let real = Made {
        first: 1_798_059 - 400,
        from_s: 1_798_059.0 / 60.0,
        ..Made::default()
    };
    assert!(judged(counted("A", real.ticks(2)), None).is_ok());
}

#[test]
fn what_stands_crawls_or_wavers_is_refused() {
    let one = |ticks| judged(counted("A", ticks), None);
    let mut standing = Made::default().ticks(1);
    standing.iter_mut().for_each(|tick| tick.count = 0);
    assert_eq!(one(standing), Err(Refusal::Standing));
    let mut still = Made::default().ticks(1);
    still.iter_mut().for_each(|tick| tick.at_s = 5.0);
    assert_eq!(one(still), Err(Refusal::Standing));
    let dark = Made {
        hz: 1.0,
        ..Made::default()
    };
    assert!(matches!(one(dark.ticks(1)), Err(Refusal::Dark { hz }) if (hz - 1.0).abs() < 0.01));
    let short = Made {
        seconds: 1.6,
        ..Made::default()
    };
    assert_eq!(one(short.ticks(1)), Err(Refusal::TooFew(96)));
    assert_eq!(one(Vec::new()), Err(Refusal::TooFew(0)));
    // Half of the time at 60 Hz, half at 75.
    let mut mixed = Made::default().ticks(1);
    let faster = Made {
        hz: 75.0,
        first: mixed[mixed.len() - 1].count + 1,
        from_s: mixed[mixed.len() - 1].at_s + 0.0133,
        ..Made::default()
    };
    mixed.extend(faster.ticks(2));
    assert!(matches!(one(mixed), Err(Refusal::Unsteady { .. })));
}

/// Servers can send anything.
#[test]
fn nonsense_is_refused_without_a_panic() {
    let odd = [0.0, -1.0, 1e-300, 1e300, f64::NAN, f64::INFINITY, 5.0, 5.1];
    for seed in 0..2000 {
        let mut chance = Chance(seed);
        let mut pick = |most: usize| (chance.share() * most as f64) as usize;
        let ticks: Vec<Tick> = (0..pick(130))
            .map(|_| Tick {
                at_s: odd[pick(odd.len())],
                count: [0, 1, u64::MAX, 7][pick(4)],
            })
            .collect();
        for recorded in [
            counted("A", ticks.clone()),
            uncounted("A", Clock::Callbacks, &ticks),
            uncounted("A", Clock::Waits, &ticks),
        ] {
            let found = report([Some(60.0), None], &[recorded]);
            assert!(found.rows[0].measured.is_err(), "{:?}", found.rows[0]);
            assert!(!listing(&found).is_empty());
        }
    }
}

#[test]
fn times_without_numbers_need_the_set_rate() {
    let ticks = |hz| {
        Made {
            hz,
            jitter_s: 3e-4,
            lost_share: 0.01,
            ..Made::default()
        }
        .ticks(5)
    };
    let frames = |hz| uncounted("A", Clock::Callbacks, &ticks(hz));
    let found = judged(frames(75.0), Some(75.0)).expect("confirmed");
    assert!(
        (found.hz - 75.0).abs() < 0.05 && found.missed > 0,
        "{found:?}"
    );
    // A timer that a busy machine slows down, now more and now less, to the set rate.
    let mut wavering = ticks(62.5);
    let mut late_s = 0.0;
    for (index, tick) in wavering.iter_mut().enumerate() {
        let share = 0.5 - 0.5 * (index as f64 / 30.0).cos();
        late_s += 1.22e-3 * share;
        tick.at_s += late_s;
    }
    let refused = judged(uncounted("A", Clock::Callbacks, &wavering), Some(60.0));
    assert!(
        matches!(refused, Err(Refusal::Unsteady { hz, .. }) if (hz - 60.0).abs() < 0.3),
        "{refused:?}"
    );
    // Timers of whole milliseconds, where no display is.
    for (hz, set_hz) in [(1000.0 / 13.0, 75.0), (62.5, 60.0)] {
        let refused = judged(frames(hz), Some(set_hz));
        assert!(
            matches!(refused, Err(Refusal::NotTheSetRate { .. })),
            "{refused:?}"
        );
    }
    assert!(judged(frames(60.0), None).is_err());
    // Windows says 59 of 59.94; another rate is a timer's.
    let waits = |hz| uncounted("A", Clock::Waits, &ticks(hz));
    assert!(judged(waits(59.94), Some(59.0)).is_ok());
    assert!(judged(waits(59.94), None).is_ok());
    assert!(judged(waits(64.0), Some(60.0)).is_err());
}

#[test]
fn what_was_measured_makes_the_findings() {
    // Both are set to what the file says; one of them isn't redrawn so.
    let set = [Some(60.0), Some(60.0)];
    let displays = displays(set);
    let of = |hz, first| Made {
        hz,
        seconds: 10.0,
        first,
        ..Made::default()
    };
    let recorded = [
        counted("A", of(60.0, 3).ticks(1)),
        counted("B", of(59.94, 9).ticks(2)),
    ];
    let found = report(set, &recorded);
    assert_eq!(found.rows[0].file_hz, Some(60.0));
    assert_eq!(found.rows[1].file_hz, None);
    assert!(codes(&found, &displays, 60.0).contains(&"refresh-differs"));
    assert!(codes(&found, &displays, 75.0).contains(&"refresh-not-as-filed"));
    let words = listing(&found);
    assert!(
        words.contains("display A: 60 Hz in the rig file; set to 60 Hz; measured 60.00"),
        "{words}"
    );
    assert!(
        words.contains("as measured, they slip by a frame every 16."),
        "{words}"
    );
    assert!(words.contains("shown in step with one of them"), "{words}");
    // Nothing told: what is set counts, and is called that.
    let untold = report([Some(60.0), Some(59.951)], &[]);
    let words = listing(&untold);
    assert!(
        words.contains("can't be measured here, because the system told nothing"),
        "{words}"
    );
    assert!(
        words.contains("as set, they slip by a frame every 20.4 s"),
        "{words}"
    );
    assert!(codes(&untold, &displays, 60.0).contains(&"refresh-differs"));
}

#[test]
fn intervals_between_presents_leave_pauses_out() {
    let mut presents = Presents::default();
    assert_eq!(
        (presents.count(), presents.median_ms(), presents.late()),
        (0, None, None)
    );
    // What stands still is presented now and then.
    for frame in 0..15 {
        presents.note(0, f64::from(frame) * 0.1);
    }
    assert_eq!((presents.count(), presents.median_ms()), (15, None));
    let mut presents = Presents::default();
    let mut now_s = 4.0;
    for frame in 0..200 {
        presents.note(0, now_s);
        // Another window presents between them.
        presents.note(1, now_s + 0.003);
        now_s += match frame {
            50 | 90 | 130 => 0.0334,
            150 => 3.0,
            _ => 0.0167,
        };
    }
    assert_eq!(presents.count(), 400);
    let median = presents.median_ms().expect("intervals");
    assert!((median - 16.7).abs() < 0.05, "{median}");
    assert_eq!(presents.late(), Some(6));
}
