//! The text of a readings file, or of another JSON file that a command goes by.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use throughline::readings::MAX_READINGS_BYTES;

use super::failure::Failure;
use super::needed::Files;

/// Reads it, and keeps the run from writing over it.
pub(crate) fn readings_text(path: &Path, files: &mut Files) -> Result<String, Failure> {
    files.need(path)?;
    let failed = |error: std::io::Error| Failure::file("read", path, &error);
    let mut bytes = Vec::new();
    // One byte past the limit is enough to be refused for its length.
    let most = MAX_READINGS_BYTES as u64 + 1;
    File::open(path)
        .and_then(|file| file.take(most).read_to_end(&mut bytes))
        .map_err(failed)?;
    String::from_utf8(bytes).map_err(|_| {
        Failure::new(format!(
            "{}: this is not UTF-8 text; save the file as UTF-8",
            path.display()
        ))
    })
}

/// Whether a file begins as a JSON document does; one that can't be read doesn't, and
/// is told of by whoever reads it.
pub(crate) fn is_json(path: &Path) -> bool {
    const ENOUGH: u64 = 256;
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(ENOUGH).read_to_end(&mut bytes));
    let text = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(&bytes);
    let first = text.iter().find(|byte| !byte.is_ascii_whitespace());
    read.is_ok() && first == Some(&b'{')
}
