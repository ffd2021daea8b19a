//! What falls due while nothing happens, and when to wake for it.

use std::time::{Duration, Instant};

/// How often the displays are compared with those known.
const LOOK_EVERY: Duration = Duration::from_secs(1);
/// How long after a nudge the journal is pushed to the disk.
const FLUSH_AFTER: Duration = Duration::from_millis(400);

/// When what is to be done next. Whatever is taken isn't due any more.
#[derive(Debug, Clone, Copy)]
pub struct Deadlines {
    look_at: Instant,
    flush_at: Option<Instant>,
    retry_at: Option<Instant>,
    end_at: Option<Instant>,
}

impl Deadlines {
    /// Only a look at the displays lies ahead.
    pub fn new(now: Instant) -> Deadlines {
        Deadlines {
            look_at: now + LOOK_EVERY,
            flush_at: None,
            retry_at: None,
            end_at: None,
        }
    }

    /// The run ends so many seconds from now; a time that no clock reaches never
    /// comes.
    pub fn end_after(&mut self, now: Instant, seconds: f64) {
        let after = Duration::try_from_secs_f64(seconds).ok();
        self.end_at = after.and_then(|after| now.checked_add(after));
    }

    /// The journal was added to: what waits longest says when it is flushed.
    pub fn flush_soon(&mut self, now: Instant) {
        self.flush_at.get_or_insert(now + FLUSH_AFTER);
    }

    /// A frame that couldn't be shown is tried again after a time.
    pub fn retry_after(&mut self, now: Instant, after: Duration) {
        self.retry_at = Some(now + after);
    }

    /// Whether the run is over.
    pub fn is_over(&self, now: Instant) -> bool {
        is_due(self.end_at, now)
    }

    /// Whether the displays are to be looked at. The next look is counted from
    /// now.
    pub fn take_look(&mut self, now: Instant) -> bool {
        let is_due = self.look_at <= now;
        if is_due {
            self.look_at = now + LOOK_EVERY;
        }
        is_due
    }

    /// Whether the journal is to be flushed.
    pub fn take_flush(&mut self, now: Instant) -> bool {
        take(&mut self.flush_at, now)
    }

    /// Whether a frame is to be tried again.
    pub fn take_retry(&mut self, now: Instant) -> bool {
        take(&mut self.retry_at, now)
    }

    /// When to wake: at the earliest of these and of what `others` wait for.
    pub fn wake_at<const N: usize>(&self, others: [Option<Instant>; N]) -> Instant {
        let own = [self.flush_at, self.retry_at, self.end_at];
        let all = own.into_iter().chain(others).flatten();
        all.fold(self.look_at, Instant::min)
    }
}

fn is_due(at: Option<Instant>, now: Instant) -> bool {
    at.is_some_and(|at| at <= now)
}

fn take(at: &mut Option<Instant>, now: Instant) -> bool {
    let is_due = is_due(*at, now);
    if is_due {
        *at = None;
    }
    is_due
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(count: u64) -> Duration {
        Duration::from_millis(count)
    }

    #[test]
    fn it_wakes_at_the_earliest() {
        let start = Instant::now();
        let mut deadlines = Deadlines::new(start);
        let never = [None, None];
        assert_eq!(deadlines.wake_at(never), start + ms(1000));
        deadlines.end_after(start, 0.75);
        assert_eq!(deadlines.wake_at(never), start + ms(750));
        deadlines.flush_soon(start);
        assert_eq!(deadlines.wake_at(never), start + ms(400));
        deadlines.retry_after(start, ms(250));
        assert_eq!(deadlines.wake_at(never), start + ms(250));
        assert_eq!(
            deadlines.wake_at([Some(start + ms(300)), Some(start + ms(200))]),
            start + ms(200)
        );
        assert_eq!(
            deadlines.wake_at([Some(start + ms(100)), Some(start + ms(300))]),
            start + ms(100)
        );
    }

    #[test]
    fn what_is_taken_is_due_once_and_not_before_its_time() {
        let start = Instant::now();
        let mut deadlines = Deadlines::new(start);
        deadlines.flush_soon(start);
        deadlines.retry_after(start, ms(50));
        assert!(!deadlines.take_retry(start + ms(49)));
        assert!(deadlines.take_retry(start + ms(50)));
        assert!(!deadlines.take_retry(start + ms(60)));
        assert!(!deadlines.take_flush(start + ms(399)));
        assert!(deadlines.take_flush(start + ms(400)));
        assert!(!deadlines.take_flush(start + ms(500)));
        assert_eq!(deadlines.wake_at([None, None]), start + ms(1000));
    }

    #[test]
    fn nudges_in_a_row_do_not_put_the_flush_off() {
        let start = Instant::now();
        let mut deadlines = Deadlines::new(start);
        deadlines.flush_soon(start);
        deadlines.flush_soon(start + ms(300));
        assert!(deadlines.take_flush(start + ms(400)));
    }

    #[test]
    fn the_displays_are_looked_at_a_second_after_the_last_look() {
        let start = Instant::now();
        let mut deadlines = Deadlines::new(start);
        assert!(!deadlines.take_look(start + ms(999)));
        assert!(deadlines.take_look(start + ms(1400)));
        assert!(!deadlines.take_look(start + ms(2399)));
        assert!(deadlines.take_look(start + ms(2400)));
    }

    #[test]
    fn a_run_ends_at_its_time_and_one_without_end_never() {
        let start = Instant::now();
        let mut deadlines = Deadlines::new(start);
        let late = start + Duration::from_secs(100_000);
        assert!(!deadlines.is_over(late));
        deadlines.end_after(start + ms(500), 2.0);
        assert!(!deadlines.is_over(start + ms(2499)));
        assert!(deadlines.is_over(start + ms(2500)));
        for endless in [f64::MAX, f64::INFINITY, f64::NAN, -1.0] {
            deadlines.end_after(start, endless);
            assert!(!deadlines.is_over(late), "{endless}");
        }
    }
}
