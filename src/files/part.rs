//! Files on their way: what is half-written has a name of its own beside the
//! file's, is held by a lock, and goes when the run ends, however it ends.

use std::fs::{self, File, TryLockError};
use std::io;
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use tempfile::{Builder, NamedTempFile};

use super::interrupts;

/// How the names begin and end; short, so that any file name leaves room.
const BEGIN: &str = ".throughline-";
const END: &str = ".part";
/// How often a name is tried that another run clears away at that moment.
const TRIES: usize = 8;
/// How long a file that another program holds is waited for.
const HELD_FOR_A_MOMENT: Duration = Duration::from_secs(1);

/// A file that doesn't have its name yet. Dropped, it is removed.
pub(super) struct Part(NamedTempFile);

impl Part {
    /// An empty file in a folder, from which what earlier runs left half-written is
    /// removed first.
    ///
    /// # Errors
    ///
    /// Where no file can be made there.
    pub(super) fn new(folder: &Path) -> io::Result<Part> {
        clear(folder);
        for _ in 0..TRIES {
            let part = interrupts::guarded(|| make(folder))?;
            // Another run that clears the folder may have it before this one.
            match part.as_file().try_lock() {
                Err(TryLockError::WouldBlock) => interrupts::release(part.path()),
                // Some file systems have no locks, and then nothing is cleared.
                Ok(()) | Err(TryLockError::Error(_)) if part.path().exists() => {
                    return Ok(Part(part));
                }
                Ok(()) | Err(TryLockError::Error(_)) => interrupts::release(part.path()),
            }
        }
        Err(io::Error::other("another run keeps clearing the folder"))
    }

    /// The file.
    pub(super) fn file(&self) -> &File {
        self.0.as_file()
    }

    /// Gives it its name, with the permissions of a file: the one that it replaces,
    /// or another that it is a copy of.
    ///
    /// # Errors
    ///
    /// Where that can't be done; the file that has the name stays.
    pub(super) fn put_in_place(self, path: &Path, like: &Path) -> io::Result<()> {
        if let Ok(known) = fs::metadata(like) {
            // Who may read it is worth keeping, and not worth failing.
            let _ = fs::set_permissions(self.0.path(), known.permissions());
        }
        let name = self.0.path().to_owned();
        let placed = persisted(self.0, path);
        interrupts::release(&name);
        placed.map(drop)
    }
}

/// On Windows another program can hold a file against being replaced: scanners and
/// synchronised folders for a moment, others for as long as they have it open.
fn persisted(mut file: NamedTempFile, path: &Path) -> io::Result<File> {
    let end = Instant::now() + HELD_FOR_A_MOMENT;
    loop {
        let failed = match file.persist(path) {
            Ok(file) => return Ok(file),
            Err(failed) => failed,
        };
        // Access denied, and in use.
        let is_held = cfg!(windows) && matches!(failed.error.raw_os_error(), Some(5 | 32));
        if !is_held || path.is_dir() {
            return Err(failed.error);
        }
        if Instant::now() >= end {
            let said = format!(
                "{}; if another program has it open, close it there",
                failed.error
            );
            return Err(io::Error::new(failed.error.kind(), said));
        }
        file = failed.file;
        thread::sleep(HELD_FOR_A_MOMENT / 20);
    }
}

fn make(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(BEGIN).suffix(END).rand_bytes(8);
    as_any_file(&mut builder);
    builder.tempfile_in(folder).map_err(plain)
}

/// The system's own error, without the name of the file that would have been made,
/// which nobody asked for and which the library puts behind it.
fn plain(error: io::Error) -> io::Error {
    let text = error.to_string();
    let own = text.split(" at path \"").next().unwrap_or(&text);
    io::Error::new(error.kind(), own.to_owned())
}

/// With the permissions that any new file has.
#[cfg(unix)]
fn as_any_file(builder: &mut Builder<'_, '_>) {
    use std::os::unix::fs::PermissionsExt;

    builder.permissions(fs::Permissions::from_mode(0o666));
}

#[cfg(not(unix))]
fn as_any_file(_: &mut Builder<'_, '_>) {}

/// Removes what runs left half-written that ended without a chance to. Those that
/// still run hold their files' locks.
fn clear(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let is_part = name
            .to_str()
            .is_some_and(|name| name.starts_with(BEGIN) && name.ends_with(END));
        if !is_part || !entry.file_type().is_ok_and(|kind| kind.is_file()) {
            continue;
        }
        let path = entry.path();
        let file = File::options().read(true).write(true).open(&path);
        if file.is_ok_and(|file| file.try_lock().is_ok()) {
            // One that stays is tried again by the next run.
            let _ = fs::remove_file(&path);
        }
    }
}
