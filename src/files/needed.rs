//! Which files a command needs, so that it writes over none of them.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::failure::Failure;

/// The files of one run of the program: what it reads or must keep, and what it
/// was asked to write.
#[derive(Debug, Default)]
pub(crate) struct Files {
    needed: Vec<PathBuf>,
    outputs: Vec<PathBuf>,
}

/// A file that may be written: it is none that the run needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Output(PathBuf);

impl Output {
    /// A file that is the run's own to write, such as one that it has just made.
    #[cfg(feature = "desktop")]
    pub(super) fn own(path: &Path) -> Output {
        Output(path.to_owned())
    }

    /// Its name.
    pub(crate) fn path(&self) -> &Path {
        &self.0
    }
}

impl Files {
    /// No file yet.
    pub(crate) fn new() -> Files {
        Files::default()
    }

    /// The run reads a file, or keeps something in it.
    ///
    /// # Errors
    ///
    /// Where it was asked to write that file.
    pub(crate) fn need(&mut self, path: &Path) -> Result<(), Failure> {
        if let Some(output) = self.outputs.iter().find(|output| is_same(output, path)) {
            return Err(written_over(output));
        }
        self.needed.push(path.to_owned());
        Ok(())
    }

    /// The run is asked to write a file.
    ///
    /// # Errors
    ///
    /// Where it needs that file, or writes something else to it, by whatever name
    /// or link.
    pub(crate) fn output(&mut self, path: &Path) -> Result<Output, Failure> {
        // Nothing is lost where it isn't a regular file, such as a device.
        let is_special = fs::metadata(path).is_ok_and(|known| !known.is_file());
        if !is_special {
            let mut others = self.needed.iter().chain(&self.outputs);
            if others.any(|other| is_same(other, path)) {
                return Err(written_over(path));
            }
            self.outputs.push(path.to_owned());
        }
        Ok(Output(path.to_owned()))
    }

    /// The run is asked to write a PNG file.
    ///
    /// # Errors
    ///
    /// As for `output`, and where the name says that it is another kind of picture.
    pub(crate) fn png_output(&mut self, path: &Path) -> Result<Output, Failure> {
        let ending = path.extension().and_then(|ending| ending.to_str());
        let ending = ending.map(str::to_lowercase).unwrap_or_default();
        if OTHER_PICTURES.contains(&ending.as_str()) {
            return Err(Failure::new(format!(
                "this writes a PNG picture, and {} says that it is another kind: end it in .png",
                path.display()
            )));
        }
        self.output(path)
    }
}

/// Endings of pictures that are no PNG files.
const OTHER_PICTURES: [&str; 13] = [
    "avif", "bmp", "gif", "heic", "jfif", "jpe", "jpeg", "jpg", "pdf", "svg", "tif", "tiff", "webp",
];

fn written_over(path: &Path) -> Failure {
    Failure::new(format!(
        "{} would be written over, but this command needs it for something else: name another file",
        path.display()
    ))
}

/// Whether two names lead to one file, which may not be there yet.
fn is_same(one: &Path, other: &Path) -> bool {
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
    let places = place(one).zip(place(other));
    // Hard links have names of their own.
    places.is_some_and(|(one, other)| one == other)
        || same_file::is_same_file(one, other).unwrap_or(false)
}

/// The file that a link leads to, whether it is there yet or not.
pub(super) fn behind_links(path: &Path) -> io::Result<PathBuf> {
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
