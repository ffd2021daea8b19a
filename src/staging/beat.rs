//! The clock that a moving picture goes by.

use std::time::{Duration, Instant};

/// A clock that ticks at an even rate from when it began.
#[derive(Debug, Clone, Copy)]
pub struct Beat {
    began: Instant,
    hz: f64,
}

impl Beat {
    /// A clock that begins now, with tick 0, and ticks so many times a second; once a
    /// second where that is no rate.
    pub fn new(now: Instant, hz: f64) -> Beat {
        let is_rate = hz.is_finite() && hz > 0.0;
        Beat {
            began: now,
            hz: if is_rate { hz } else { 1.0 },
        }
    }

    /// The tick that is current.
    pub fn tick(&self, now: Instant) -> u32 {
        let elapsed = now.saturating_duration_since(self.began);
        // The cast keeps to what 32 bits hold.
        let tick = (elapsed.as_secs_f64() * self.hz) as u32;
        // Rounding must not keep a tick from beginning at its time.
        if now >= self.begins_at(tick.saturating_add(1)) {
            tick.saturating_add(1)
        } else {
            tick
        }
    }

    /// When the next tick begins.
    pub fn next_at(&self, now: Instant) -> Instant {
        self.begins_at(self.tick(now).saturating_add(1))
    }

    fn begins_at(&self, tick: u32) -> Instant {
        self.began + Duration::from_secs_f64(f64::from(tick) / self.hz)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tick_begins_at_its_time_and_none_before() {
        let start = Instant::now();
        for hz in [59.94, 60.0, 143.973, 240.0] {
            let beat = Beat::new(start, hz);
            assert_eq!(beat.tick(start), 0);
            let mut now = start;
            for tick in 1..10_000 {
                let next = beat.next_at(now);
                assert!(next > now);
                assert_eq!(beat.tick(next - Duration::from_nanos(1)), tick - 1);
                assert_eq!(beat.tick(next), tick);
                now = next;
            }
            let seconds = now.duration_since(start).as_secs_f64();
            assert!((seconds - 9999.0 / hz).abs() < 1e-6);
        }
    }

    #[test]
    fn what_is_late_skips_ticks() {
        let start = Instant::now();
        let beat = Beat::new(start, 60.0);
        assert_eq!(beat.tick(start + Duration::from_millis(500)), 30);
        assert_eq!(
            beat.next_at(start + Duration::from_millis(510)),
            beat.begins_at(31)
        );
    }

    #[test]
    fn what_is_no_rate_ticks_once_a_second() {
        let start = Instant::now();
        for hz in [0.0, -60.0, f64::NAN, f64::INFINITY] {
            let beat = Beat::new(start, hz);
            assert_eq!(beat.tick(start + Duration::from_millis(2500)), 2, "{hz}");
        }
    }
}
