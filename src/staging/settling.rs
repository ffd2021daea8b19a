//! How windows come to stand where they belong, one request at a time.
//!
//! A window manager answers a request by doing it, or not at all, and a busy one
//! is late. So the next is tried only once the manager has read the last, did
//! nothing of the kind, and was asked again.

use std::time::Duration;

/// How long until the windows are looked at again.
pub const SETTLE: Duration = Duration::from_millis(500);
/// How often a manager is asked for the same, that reads the requests.
const ASKS: u8 = 5;
/// How often one is that may not have read them.
const BLIND_ASKS: u8 = 6;

/// How often a manager is waited for in all: some never say that they took windows
/// up, or go before they answer.
const WAITS: u8 = 60;

/// After so many of them it is asked again to show the windows.
const SHOWN_AGAIN_AFTER: u8 = 8;

/// What was found when the windows were looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Whether the window manager has taken them up; also where none runs.
    pub are_taken_up: bool,
    /// Whether it has read what it was asked last; `None` where it doesn't tell.
    pub has_read: Option<bool>,
    /// Whether it made all of them full screen.
    pub are_full_screen: bool,
    /// Whether all of them stand where they belong.
    pub fit: bool,
}

/// What to do next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Nothing, until something changes.
    Rest,
    /// Look again soon.
    Wait,
    /// Ask for the windows to be shown once more.
    ShowAgain,
    /// Ask for full screen.
    FullScreen,
    /// Take full screen back, where it was asked for, and move them.
    LeaveAndMove,
    /// Move them.
    Move,
    /// Say that nothing helped.
    GiveUp,
}

/// What was tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tried {
    /// They were opened where they belong.
    Opening,
    /// The window manager was asked for full screen, so many times.
    FullScreen(u8),
    /// They were moved, so many times.
    Moving(u8),
    /// Nothing helped.
    Everything,
    /// They stood where they belong.
    Enough,
}

/// How far the windows have come.
#[derive(Debug, Clone, Copy)]
pub struct Settling {
    tried: Tried,
    waits: u8,
}

impl Default for Settling {
    fn default() -> Settling {
        Settling::new()
    }
}

impl Settling {
    /// Windows that were opened, or whose displays changed, just now.
    pub fn new() -> Settling {
        Settling {
            tried: Tried::Opening,
            waits: 0,
        }
    }

    /// The next step. Where it is full screen and nobody can make that, ask for
    /// the one [without](Settling::without_full_screen).
    pub fn next(&mut self, look: Look) -> Step {
        let look = if self.waits < WAITS {
            look
        } else {
            Look {
                are_taken_up: true,
                has_read: None,
                ..look
            }
        };
        let may_ask_again = |asks| asks < look.has_read.map_or(BLIND_ASKS, |_| ASKS);
        match self.tried {
            Tried::Opening if !look.are_taken_up => match self.wait() {
                Step::Wait if self.waits.is_multiple_of(SHOWN_AGAIN_AFTER) => Step::ShowAgain,
                step => step,
            },
            // Full screen keeps bars and docks from standing over a window that
            // is where it belongs, too.
            Tried::Opening => self.ask_for_full_screen(1),
            Tried::FullScreen(_) if look.fit && look.are_full_screen => self.rest(),
            Tried::Moving(_) | Tried::Everything | Tried::Enough if look.fit => self.rest(),
            Tried::FullScreen(_) | Tried::Moving(_) if look.has_read == Some(false) => self.wait(),
            Tried::FullScreen(asks) if may_ask_again(asks) => self.ask_for_full_screen(asks + 1),
            Tried::FullScreen(_) if look.fit => self.rest(),
            Tried::FullScreen(_) => {
                self.tried = Tried::Moving(1);
                Step::LeaveAndMove
            }
            Tried::Moving(asks) if may_ask_again(asks) => {
                self.tried = Tried::Moving(asks + 1);
                Step::Move
            }
            Tried::Moving(_) | Tried::Everything => {
                self.tried = Tried::Everything;
                Step::GiveUp
            }
            Tried::Enough => self.ask_for_full_screen(1),
        }
    }

    /// The next step where nobody can make the windows full screen.
    pub fn without_full_screen(&mut self, look: Look) -> Step {
        if look.fit {
            return self.rest();
        }
        self.tried = Tried::Moving(1);
        Step::Move
    }

    fn wait(&mut self) -> Step {
        self.waits += 1;
        Step::Wait
    }

    fn ask_for_full_screen(&mut self, asks: u8) -> Step {
        self.tried = Tried::FullScreen(asks);
        Step::FullScreen
    }

    fn rest(&mut self) -> Step {
        self.tried = Tried::Enough;
        Step::Rest
    }
}

#[cfg(test)]
mod tests {
    use super::Step::{FullScreen, GiveUp, LeaveAndMove, Move, Rest, ShowAgain, Wait};
    use super::*;

    const FITS: Look = Look {
        are_taken_up: true,
        has_read: Some(true),
        are_full_screen: true,
        fit: true,
    };
    const ELSEWHERE: Look = Look { fit: false, ..FITS };
    const PLAIN: Look = Look {
        are_full_screen: false,
        ..FITS
    };
    const UNREAD: Look = Look {
        has_read: Some(false),
        ..ELSEWHERE
    };
    const NOWHERE: Look = Look {
        are_taken_up: false,
        ..UNREAD
    };

    fn steps(settling: &mut Settling, looks: &[Look]) -> Vec<Step> {
        looks.iter().map(|look| settling.next(*look)).collect()
    }

    #[test]
    fn a_late_manager_is_waited_for() {
        let mut settling = Settling::new();
        let waited = steps(&mut settling, &[NOWHERE; 25]);
        for (step, number) in waited.into_iter().zip(1..) {
            let is_reminder = number % 8 == 0;
            assert_eq!(step, if is_reminder { ShowAgain } else { Wait });
        }
        assert_eq!(settling.next(ELSEWHERE), FullScreen);
        assert_eq!(steps(&mut settling, &[UNREAD; 30]), [Wait; 30]);
        assert_eq!(
            steps(&mut settling, &[ELSEWHERE, FITS, FITS]),
            [FullScreen, Rest, Rest]
        );
    }

    #[test]
    fn one_that_never_answers_is_asked_all_the_same() {
        let mut settling = Settling::new();
        let mut expected = vec![FullScreen];
        expected.extend([Wait; 60]);
        expected.extend([FullScreen; 5]);
        expected.push(LeaveAndMove);
        expected.extend([Move; 5]);
        expected.push(GiveUp);
        assert_eq!(settling.next(ELSEWHERE), expected[0]);
        assert_eq!(steps(&mut settling, &[UNREAD; 72]), expected[1..]);
    }

    #[test]
    fn one_that_grants_no_full_screen_is_left_alone_where_the_windows_fit() {
        let mut settling = Settling::new();
        let mut expected = vec![FullScreen; 5];
        expected.extend([Rest; 3]);
        assert_eq!(steps(&mut settling, &[PLAIN; 8]), expected);
    }

    #[test]
    fn one_that_holds_them_elsewhere_is_told_of_in_the_end() {
        let mut settling = Settling::new();
        let mut expected = vec![FullScreen; 5];
        expected.push(LeaveAndMove);
        expected.extend([Move; 4]);
        expected.extend([GiveUp; 2]);
        assert_eq!(steps(&mut settling, &[ELSEWHERE; 12]), expected);
        // What comes right by itself is right, and is put right again later.
        assert_eq!(steps(&mut settling, &[FITS, ELSEWHERE]), [Rest, FullScreen]);
    }

    #[test]
    fn one_that_does_not_tell_what_it_read_is_asked_for_longer() {
        let mut settling = Settling::new();
        let silent = Look {
            has_read: None,
            ..ELSEWHERE
        };
        let mut expected = vec![FullScreen; 6];
        expected.push(LeaveAndMove);
        expected.extend([Move; 5]);
        expected.push(GiveUp);
        assert_eq!(steps(&mut settling, &[silent; 13]), expected);
    }

    #[test]
    fn where_nobody_makes_full_screen_they_are_moved() {
        let mut settling = Settling::new();
        assert_eq!(settling.next(PLAIN), FullScreen);
        assert_eq!(settling.without_full_screen(PLAIN), Rest);
        assert_eq!(settling.next(ELSEWHERE), FullScreen);
        assert_eq!(settling.without_full_screen(ELSEWHERE), Move);
        assert_eq!(settling.next(PLAIN), Rest);
    }
}
