//! A run that is interrupted takes its half-written files along.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use tempfile::NamedTempFile;

static GUARDED: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Makes a file that an interrupt removes from its first moment on: one that comes
/// while it is made waits until it is known.
pub(super) fn guarded(
    make: impl FnOnce() -> io::Result<NamedTempFile>,
) -> io::Result<NamedTempFile> {
    watch();
    let mut guarded = GUARDED.lock().unwrap_or_else(PoisonError::into_inner);
    let file = make()?;
    guarded.push(file.path().to_owned());
    Ok(file)
}

/// The file has its name, or has gone.
pub(super) fn release(path: &Path) {
    let mut guarded = GUARDED.lock().unwrap_or_else(PoisonError::into_inner);
    guarded.retain(|known| known != path);
}

/// Waits for interrupts on a thread of its own. Where none can be had, the next
/// run that writes to the folder removes what was left.
#[cfg(unix)]
fn watch() {
    use std::sync::Once;
    use std::thread;

    use signal_hook::iterator::Signals;
    use signal_hook::low_level::emulate_default_handler;

    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let wanted = deadly();
        let Ok(mut signals) = Signals::new(wanted) else {
            return;
        };
        // Without the thread the signals are as deadly as before, but for the
        // files.
        let handle = signals.handle();
        let watcher = thread::Builder::new().spawn(move || {
            if let Some(signal) = signals.forever().next() {
                // Held until the end, so that no file is guarded too late.
                let guarded = GUARDED.lock().unwrap_or_else(PoisonError::into_inner);
                for path in guarded.iter() {
                    let _ = std::fs::remove_file(path);
                }
                let _ = emulate_default_handler(signal);
            }
        });
        if watcher.is_err() {
            handle.close();
        }
    });
}

/// Elsewhere, the next run removes what was left.
#[cfg(not(unix))]
fn watch() {}

/// The signals that end the run, but for a hangup that it was started to outlive.
#[cfg(unix)]
fn deadly() -> Vec<i32> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

    let ignored = std::fs::read_to_string("/proc/self/status").ok();
    let ignored = ignored.and_then(|status| {
        let line = status
            .lines()
            .find_map(|line| line.strip_prefix("SigIgn:"))?;
        u64::from_str_radix(line.trim(), 16).ok()
    });
    let is_ignored = |signal: i32| ignored.is_some_and(|mask| mask >> (signal - 1) & 1 == 1);
    [SIGINT, SIGTERM, SIGHUP]
        .into_iter()
        .filter(|&signal| !is_ignored(signal))
        .collect()
}
