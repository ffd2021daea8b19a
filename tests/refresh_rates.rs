//! Rates of recorded refreshes, found through jitter, and what follows from them.

mod recordings;

use recordings::{Made, counted, displays, judged, recording, report, rig};
use throughline::check::findings;
use throughline::display::Display;
use throughline::refresh::{
    Clock, Presents, Refusal, Report, Rhythm, SAME_RATE_HZ, Ticks, listing,
};

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
