//! Files that appear whole or not at all, and what goes to stdout.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use throughline::rig::visible;

use super::failure::Failure;
use super::needed::{Output, behind_links};
use super::part::Part;

const BUFFER: usize = 1 << 18;

/// A whole file that doesn't have its name yet. What has the name stays until
/// then; a file that never gets it is removed again.
pub(crate) struct Aside {
    /// `None` where it went straight to a device.
    waiting: Option<(Part, PathBuf)>,
}

impl Aside {
    /// Writes a file aside. Anything that isn't a regular file, such as a device,
    /// is written directly; a link stays, and the file behind it is written.
    pub(crate) fn write(
        output: &Output,
        fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> Result<Aside, Failure> {
        let path = output.path();
        let failed = |error: io::Error| Failure::file("write", path, &error);
        let is_special = fs::metadata(path).is_ok_and(|known| !known.is_file());
        if is_special {
            let file = File::options().write(true).open(path).map_err(failed)?;
            filled(&file, fill).map_err(failed)?;
            return Ok(Aside { waiting: None });
        }
        let real = behind_links(path).map_err(failed)?;
        let folder = real.parent().filter(|folder| *folder != Path::new(""));
        let part = Part::new(folder.unwrap_or(Path::new("."))).map_err(failed)?;
        filled(part.file(), fill)
            .and_then(|()| part.file().sync_data())
            .map_err(failed)?;
        Ok(Aside {
            waiting: Some((part, real)),
        })
    }

    /// Gives it its name, and the permissions of what had it.
    pub(crate) fn put_in_place(self) -> Result<(), Failure> {
        self.put_in_place_like(None)
    }

    /// Gives it its name, and the permissions of the file that it is a copy of.
    pub(crate) fn put_in_place_like(self, original: Option<&Path>) -> Result<(), Failure> {
        let Some((part, path)) = self.waiting else {
            return Ok(());
        };
        part.put_in_place(&path, original.unwrap_or(&path))
            .map_err(|error| Failure::file("write", &path, &error))
    }
}

fn filled(file: &File, fill: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> io::Result<()> {
    let mut writer = BufWriter::with_capacity(BUFFER, file);
    fill(&mut writer)?;
    writer.flush()
}

/// Writes a file that appears whole or not at all.
#[cfg(feature = "desktop")]
pub(super) fn write_file(
    output: &Output,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    Aside::write(output, fill)?.put_in_place()
}

/// Writes words for people to stdout.
pub(crate) fn print_words(text: &str) -> Result<(), Failure> {
    print(&visible(text))
}

/// Writes a text to stdout, as it is.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = io::stdout().lock();
    to_stdout(
        stdout
            .write_all(text.as_bytes())
            .and_then(|()| stdout.flush()),
    )
}

/// The outcome of writing to stdout. A reader that has gone away is no mistake.
pub(crate) fn to_stdout(written: io::Result<()>) -> Result<(), Failure> {
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(Failure::new(format!("cannot write to stdout: {error}")))
        }
        _ => Ok(()),
    }
}
