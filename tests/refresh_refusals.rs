//! Recordings whose times don't prove themselves are refused.

mod recordings;

use recordings::{Chance, Made, counted, judged, report, uncounted};
use throughline::refresh::{Clock, Refusal, Tick, listing};

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
