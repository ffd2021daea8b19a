//! Panics of libraries that are answers, and not faults of this program.

use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

thread_local! {
    static IS_QUIET: Cell<bool> = const { Cell::new(false) };
}

/// What `ask` gives, or the words of its panic, of which nothing is printed.
/// Other threads' panics are heard as before.
pub(crate) fn quietly<T>(ask: impl FnOnce() -> T) -> Result<T, String> {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |panic| {
            if !IS_QUIET.get() {
                before(panic);
            }
        }));
    });
    let was_quiet = IS_QUIET.replace(true);
    let answer = panic::catch_unwind(AssertUnwindSafe(ask));
    IS_QUIET.set(was_quiet);
    answer.map_err(|panic| {
        let words = panic
            .downcast_ref::<String>()
            .map(String::as_str)
            .or_else(|| panic.downcast_ref::<&str>().copied());
        words.unwrap_or("no reason given").to_owned()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_its_words() {
        assert_eq!(quietly(|| 3), Ok(3));
        let number = 4;
        assert_eq!(
            quietly(|| -> u8 { panic!("no library {number}") }),
            Err("no library 4".to_owned())
        );
        let outer = quietly(|| (quietly(|| -> u8 { panic!("inner") }), IS_QUIET.get()));
        assert_eq!(outer, Ok((Err("inner".to_owned()), true)));
        assert!(!IS_QUIET.get());
    }
}
