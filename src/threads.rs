//! Threads, where the system grants too few.

use std::num::NonZero;
use std::sync::{Mutex, PoisonError};
use std::thread::{self, Builder};

/// Lets the first thread do all the work where the system doesn't grant one for
/// each core: the library that shares work out would panic then.
pub(crate) fn make_do() {
    let wanted = thread::available_parallelism().map_or(1, NonZero::get);
    // All of them live until the gate opens, as the library's would.
    let gate = Mutex::new(());
    let has_all = thread::scope(|scope| {
        let closed = gate.lock().unwrap_or_else(PoisonError::into_inner);
        let has_all = (0..wanted).all(|_| {
            let wait = || drop(gate.lock());
            Builder::new().spawn_scoped(scope, wait).is_ok()
        });
        drop(closed);
        has_all
    });
    if !has_all {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1);
        // No other was made before this one.
        let _ = pool.use_current_thread().build_global();
    }
}
