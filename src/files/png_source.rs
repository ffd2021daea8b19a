//! Reads PNG files, with the text chunks that say what they show.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use throughline::pictures::{self, Labelled, Unread};

use super::failure::Failure;
use super::needed::Files;
use super::png_file::{BUILT_KEYWORD, RIG_KEYWORD, VIEW_KEYWORD};
use crate::quiet::quietly;

/// Reads a picture, and the texts that this program writes. `accept` sees its size
/// before there is room for a pixel, and says what is wrong with it.
///
/// # Errors
///
/// Where the run was asked to write that file, where it can't be read, or where it
/// is no picture that is wanted.
pub(crate) fn read(
    path: &Path,
    files: &mut Files,
    accept: impl FnOnce([u32; 2]) -> Result<(), String>,
) -> Result<Labelled, Failure> {
    const KEYWORDS: [&str; 3] = [RIG_KEYWORD, BUILT_KEYWORD, VIEW_KEYWORD];
    files.need(path)?;
    let file = File::open(path).map_err(|error| Failure::file("read", path, &error))?;
    let file = BufReader::with_capacity(1 << 16, file);
    let name = path.display();
    // The decoder panics over some broken files, such as half a colour in a palette.
    let mut refusal = None;
    let is_wanted = |size_px| {
        refusal = accept(size_px).err();
        refusal.is_none()
    };
    let read = quietly(|| pictures::read(file, &KEYWORDS, is_wanted)).map_err(|_| {
        Failure::new(format!(
            "{name} is not a PNG picture that can be read: the decoder gave up on it; \
             save it as PNG anew"
        ))
    })?;
    read.map_err(|unread| match unread {
        Unread::Io(error) => Failure::file("read", path, &error),
        unread => Failure::new(refusal.unwrap_or_else(|| format!("{name} {unread}"))),
    })
}
