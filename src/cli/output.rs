//! Files that appear whole or not at all, and what goes to stdout.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use super::failure::Failure;

/// Writes a file aside and renames it into place once it is whole. What stood
/// there before stays until then. Anything that isn't a regular file, such as a
/// device, is written directly.
pub fn write_file(
    path: &Path,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    let failed = |error: io::Error| Failure::file("write", path, &error);
    let is_special = fs::metadata(path).is_ok_and(|known| !known.is_file());
    if is_special {
        let file = File::options().write(true).open(path).map_err(failed)?;
        let mut writer = BufWriter::with_capacity(BUFFER, file);
        return fill(&mut writer)
            .and_then(|()| writer.flush())
            .map_err(failed);
    }
    let aside = aside(path);
    let file = File::create_new(&aside).map_err(failed)?;
    let mut writer = BufWriter::with_capacity(BUFFER, file);
    let written = fill(&mut writer)
        .and_then(|()| writer.into_inner().map_err(io::IntoInnerError::into_error))
        .and_then(|file| file.sync_data())
        .and_then(|()| fs::rename(&aside, path));
    written.map_err(|error| {
        // The half-written file is worth nothing; its removal may fail as well.
        let _ = fs::remove_file(&aside);
        failed(error)
    })
}

/// Refuses to write over a file that the command also reads, or writes something
/// else to.
pub fn must_not_be_any_of<'a>(
    path: &Path,
    others: impl IntoIterator<Item = &'a Path>,
) -> Result<(), Failure> {
    let whole = |path: &Path| {
        let folder = path.parent().filter(|folder| *folder != Path::new(""));
        let folder = folder.unwrap_or(Path::new(".")).canonicalize().ok()?;
        Some(folder.join(path.file_name()?))
    };
    // A file that exists is known by its own name, whatever links lead to it.
    let place = |path: &Path| path.canonicalize().ok().or_else(|| whole(path));
    // Nothing is lost where it isn't a regular file, such as a device.
    let is_special = fs::metadata(path).is_ok_and(|known| !known.is_file());
    let Some(own) = place(path).filter(|_| !is_special) else {
        return Ok(());
    };
    if others
        .into_iter()
        .any(|other| place(other).as_ref() == Some(&own))
    {
        return Err(Failure::new(format!(
            "{} would be written over, but this command needs it for something else: name another file",
            path.display()
        )));
    }
    Ok(())
}

/// Writes a text to stdout.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = io::stdout().lock();
    to_stdout(
        stdout
            .write_all(text.as_bytes())
            .and_then(|()| stdout.flush()),
    )
}

/// The outcome of writing to stdout. A reader that has gone away is no mistake.
pub fn to_stdout(written: io::Result<()>) -> Result<(), Failure> {
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(Failure::new(format!("cannot write to stdout: {error}")))
        }
        _ => Ok(()),
    }
}

const BUFFER: usize = 1 << 18;

fn aside(path: &Path) -> PathBuf {
    let mut name = std::ffi::OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(format!(".{}.part", std::process::id()));
    path.with_file_name(name)
}
