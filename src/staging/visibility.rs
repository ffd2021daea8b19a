//! When words stand over the pattern, and when they go.

use std::time::{Duration, Instant};

/// How long words stay after the last key or movement.
const IDLE: Duration = Duration::from_secs(10);

/// How long there is something to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Words are switched off.
    Never,
    /// For a while after the last key or movement.
    AWhile,
    /// Until what is asked is answered.
    UntilAnswered,
}

/// Whether words stand over the pattern: they greet, and follow what a person
/// does.
#[derive(Debug, Clone, Copy)]
pub struct Visibility {
    /// Whether nobody is expected to stand there: then no words greet them.
    is_unattended: bool,
    opened: Instant,
    last_input: Option<Instant>,
    had_key: bool,
    stands: bool,
}

impl Visibility {
    /// No words stand, and nobody has done anything yet.
    pub fn new(is_unattended: bool, now: Instant) -> Visibility {
        Visibility {
            is_unattended,
            opened: now,
            last_input: None,
            had_key: false,
            stands: false,
        }
    }

    /// The windows were opened: what greets does so from now on.
    pub fn opened(&mut self, now: Instant) {
        self.opened = now;
    }

    /// A person did something with the mouse.
    pub fn touched(&mut self, now: Instant) {
        self.last_input = Some(now);
    }

    /// A person pressed a key.
    pub fn keyed(&mut self, now: Instant) {
        self.touched(now);
        self.had_key = true;
    }

    /// Whether no key was pressed yet.
    pub fn is_start(&self) -> bool {
        !self.had_key
    }

    /// Whether words are to be seen now.
    pub fn has_words(&self, need: Need, now: Instant) -> bool {
        let is_greeting = self.last_input.is_none() && !self.is_unattended;
        match need {
            Need::Never => false,
            Need::AWhile => (is_greeting || self.last_input.is_some()) && now < self.idle_end(),
            Need::UntilAnswered => true,
        }
    }

    /// Whether words are to be put now; from here on they count as standing, or
    /// as gone.
    pub fn put(&mut self, need: Need, now: Instant) -> bool {
        self.stands = self.has_words(need, now);
        self.stands
    }

    /// Whether words that stand must go now. It is said once.
    pub fn take_away(&mut self, need: Need, now: Instant) -> bool {
        let must_go = self.stands && !self.has_words(need, now);
        if must_go {
            self.stands = false;
        }
        must_go
    }

    /// When words that stand go, unless somebody does something before.
    pub fn end(&self, need: Need) -> Option<Instant> {
        let is_passing = self.stands && need != Need::UntilAnswered;
        is_passing.then(|| self.idle_end())
    }

    fn idle_end(&self) -> Instant {
        self.last_input.unwrap_or(self.opened) + IDLE
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(count: u64) -> Duration {
        Duration::from_secs(count)
    }

    #[test]
    fn words_end_ten_seconds_after_the_last_input() {
        let start = Instant::now();
        let mut visibility = Visibility::new(false, start);
        visibility.keyed(start + seconds(1));
        visibility.touched(start + seconds(4));
        assert!(visibility.put(Need::AWhile, start + seconds(4)));
        let end = start + seconds(14);
        assert_eq!(visibility.end(Need::AWhile), Some(end));
        let before = end - Duration::from_millis(1);
        assert!(visibility.has_words(Need::AWhile, before));
        assert!(!visibility.take_away(Need::AWhile, before));
        assert!(visibility.take_away(Need::AWhile, end));
        assert!(!visibility.take_away(Need::AWhile, end), "said once");
        assert_eq!(visibility.end(Need::AWhile), None);
        assert!(!visibility.put(Need::AWhile, end));
    }

    #[test]
    fn words_come_back_with_the_next_input() {
        let start = Instant::now();
        let mut visibility = Visibility::new(true, start);
        assert!(!visibility.put(Need::AWhile, start + seconds(20)));
        visibility.touched(start + seconds(21));
        assert!(visibility.put(Need::AWhile, start + seconds(21)));
        assert_eq!(visibility.end(Need::AWhile), Some(start + seconds(31)));
    }

    #[test]
    fn what_waits_for_an_answer_never_goes() {
        let start = Instant::now();
        let mut visibility = Visibility::new(true, start);
        let late = start + seconds(100_000);
        assert!(visibility.put(Need::UntilAnswered, start));
        assert!(visibility.has_words(Need::UntilAnswered, late));
        assert!(!visibility.take_away(Need::UntilAnswered, late));
        assert_eq!(visibility.end(Need::UntilAnswered), None);
    }

    #[test]
    fn a_greeting_stays_ten_seconds_from_the_opening_of_the_windows() {
        let start = Instant::now();
        let mut visibility = Visibility::new(false, start);
        visibility.opened(start + seconds(3));
        assert!(visibility.put(Need::AWhile, start + seconds(3)));
        assert!(visibility.has_words(Need::AWhile, start + seconds(12)));
        assert!(!visibility.has_words(Need::AWhile, start + seconds(13)));
        assert_eq!(visibility.end(Need::AWhile), Some(start + seconds(13)));
    }

    #[test]
    fn nobody_is_greeted_where_nobody_is_expected() {
        let start = Instant::now();
        let mut visibility = Visibility::new(true, start);
        assert!(!visibility.put(Need::AWhile, start));
        assert_eq!(visibility.end(Need::AWhile), None, "nothing to wake for");
        assert!(!visibility.take_away(Need::AWhile, start + seconds(11)));
    }

    #[test]
    fn words_that_are_switched_off_go_at_once() {
        let start = Instant::now();
        let mut visibility = Visibility::new(false, start);
        visibility.keyed(start);
        assert!(visibility.put(Need::AWhile, start));
        assert!(visibility.take_away(Need::Never, start));
        assert!(!visibility.put(Need::Never, start));
    }

    #[test]
    fn it_is_the_start_until_a_key_whatever_the_mouse_does() {
        let start = Instant::now();
        let mut visibility = Visibility::new(false, start);
        visibility.touched(start);
        assert!(visibility.is_start());
        visibility.keyed(start);
        assert!(!visibility.is_start());
    }
}
