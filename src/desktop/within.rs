//! Questions that a system may never answer.

use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use crate::quiet::quietly;

/// Why there is no answer.
#[derive(Debug)]
pub(super) enum Unanswered {
    /// The system grants no thread: what to do about it.
    NoThread(String),
    /// The question panicked.
    Failed(String),
    /// It takes longer than anybody waits.
    Late,
}

/// Asks on a thread of its own, and waits for so long.
pub(super) fn within<T: Send + 'static>(
    patience: Duration,
    ask: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Unanswered> {
    let (answer, answers) = mpsc::channel();
    let asked = thread::Builder::new().spawn(move || {
        // Nobody waits for an answer that comes too late.
        let _ = answer.send(quietly(ask));
    });
    if let Err(error) = asked {
        return Err(Unanswered::NoThread(format!(
            "no thread can be started ({error}); end other programs, or raise the limit of \
             processes"
        )));
    }
    match answers.recv_timeout(patience) {
        Ok(Ok(answer)) => Ok(answer),
        Ok(Err(reason)) => Err(Unanswered::Failed(reason)),
        Err(_) => Err(Unanswered::Late),
    }
}
