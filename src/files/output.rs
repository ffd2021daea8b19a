//! Files that appear whole or not at all, and what goes to stdout.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use super::failure::Failure;

/// A whole file that doesn't have its name yet. What has the name stays until
/// then; a file that never gets it is removed again.
pub struct Aside {
    aside: PathBuf,
    /// `None` once it has its name, or where it went straight to a device.
    path: Option<PathBuf>,
}

impl Aside {
    /// Writes a file aside. Anything that isn't a regular file, such as a device,
    /// is written directly; a link stays, and the file behind it is written.
    pub fn write(
        path: &Path,
        fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
    ) -> Result<Aside, Failure> {
        let failed = |error: io::Error| Failure::file("write", path, &error);
        let is_special = fs::metadata(path).is_ok_and(|known| !known.is_file());
        if is_special {
            let file = File::options().write(true).open(path).map_err(failed)?;
            let mut writer = BufWriter::with_capacity(BUFFER, file);
            fill(&mut writer)
                .and_then(|()| writer.flush())
                .map_err(failed)?;
            return Ok(Aside {
                aside: PathBuf::new(),
                path: None,
            });
        }
        let real = behind_links(path).map_err(failed)?;
        let aside = aside(&real);
        let file = File::create_new(&aside).map_err(failed)?;
        // From here on, what is half-written is removed.
        let whole = Aside {
            aside,
            path: Some(real),
        };
        let mut writer = BufWriter::with_capacity(BUFFER, file);
        fill(&mut writer)
            .and_then(|()| writer.into_inner().map_err(io::IntoInnerError::into_error))
            .and_then(|file| file.sync_data())
            .map_err(failed)?;
        Ok(whole)
    }

    /// Gives it its name.
    pub fn put_in_place(mut self) -> Result<(), Failure> {
        let Some(path) = &self.path else {
            return Ok(());
        };
        fs::rename(&self.aside, path).map_err(|error| Failure::file("write", path, &error))?;
        self.path = None;
        Ok(())
    }
}

impl Drop for Aside {
    fn drop(&mut self) {
        if self.path.is_some() {
            // It is worth nothing; its removal may fail as well.
            let _ = fs::remove_file(&self.aside);
        }
    }
}

/// Writes a file that appears whole or not at all.
#[cfg(feature = "desktop")]
pub fn write_file(
    path: &Path,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    Aside::write(path, fill)?.put_in_place()
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
    let place = |path: &Path| {
        let known = path.canonicalize().ok();
        known.or_else(|| whole(&behind_links(path).ok()?))
    };
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

/// The file that a link leads to, whether it is there yet or not.
fn behind_links(path: &Path) -> io::Result<PathBuf> {
    // As many as systems follow; links may lead in a circle.
    const MOST: usize = 40;
    let mut path = path.to_owned();
    for _ in 0..MOST {
        let Ok(target) = fs::read_link(&path) else {
            return Ok(path);
        };
        path = path.parent().unwrap_or(Path::new("")).join(target);
    }
    Err(io::Error::other("its links lead in a circle"))
}

fn aside(path: &Path) -> PathBuf {
    let mut name = std::ffi::OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(format!(".{}.part", std::process::id()));
    path.with_file_name(name)
}
