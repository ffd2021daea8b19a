//! Names beside a file.

use std::path::{Path, PathBuf};

/// A name beside a path that no file has.
pub(super) fn free(path: &Path, suffix: &str) -> PathBuf {
    let numbered = |number: u32| beside(path, &format!("{suffix}-{number}"));
    (1..)
        .map(numbered)
        .find(|path| !path.exists())
        .unwrap_or_else(|| beside(path, suffix))
}

/// A name that goes on behind a file's.
pub(super) fn beside(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}
