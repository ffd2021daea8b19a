//! Reads photographs: JPEG and PNG files.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use throughline::grey::Grey;
use throughline::pictures::photograph::{self, MAX_BYTES, Unreadable, WayUp};

use super::failure::Failure;
use super::needed::Files;
use crate::quiet::quietly;

/// Reads a photograph in shades of grey.
///
/// # Errors
///
/// Where the file can't be read, is neither JPEG nor PNG, is broken, or is too large.
pub(crate) fn read(path: &Path, way_up: WayUp, files: &mut Files) -> Result<Grey, Failure> {
    files.need(path)?;
    let file = File::open(path).map_err(|error| Failure::file("read", path, &error))?;
    let file = BufReader::with_capacity(1 << 16, file);
    let name = path.display();
    let read = quietly(|| photograph::read(file, way_up, MAX_BYTES)).map_err(|_| {
        Failure::new(format!(
            "{name} is not a picture that can be read: the decoder gave up on it; save it anew"
        ))
    })?;
    read.map_err(|unreadable| match unreadable {
        Unreadable::Io(error) => Failure::file("read", path, &error),
        unreadable => Failure::new(format!("{name} {unreadable}")),
    })
}
