//! Pictures of what was presented.

use std::fs::OpenOptions;
use std::path::{Path, PathBuf};

use throughline::raster::Picture;
use throughline::rig::{self, PxRect, Rig};

use super::failure::Failure;
use super::needed::Output;
use super::output::write_file;
use super::png_file;

/// Writes a picture, with the rig that it shows.
///
/// # Errors
///
/// One sentence; nothing is half-written.
pub(crate) fn write_presented(
    output: &Output,
    picture: &Picture,
    rig: &Rig,
) -> Result<(), Failure> {
    let [w, h] = picture.size_px();
    let whole = PxRect { x: 0, y: 0, w, h };
    let pitch_mm = rig.panels()[rig.seat().view.panel].pitch_mm();
    let text = rig::write(rig);
    write_file(output, |out| {
        png_file::write(picture, whole, &text, pitch_mm, out)
    })
}

/// Writes a picture as `STEM-001-before.png` or `STEM-001-after.png`: an
/// "after" joins the last "before" that has none yet, and nothing is ever
/// written over.
///
/// # Errors
///
/// One sentence; nothing is half-written.
pub(crate) fn write_numbered(
    stem: &Path,
    is_before: bool,
    picture: &Picture,
    rig: &Rig,
) -> Result<PathBuf, Failure> {
    let name = |number: u32, half: &str| {
        let mut name = stem.as_os_str().to_owned();
        name.push(format!("-{number:03}-{half}.png"));
        PathBuf::from(name)
    };
    let is_taken = |number: u32| ["before", "after"].map(|half| name(number, half).exists());
    let mut number = 1;
    while is_taken(number).contains(&true) {
        number += 1;
    }
    let half = if is_before { "before" } else { "after" };
    if !is_before && number > 1 && is_taken(number - 1) == [true, false] {
        number -= 1;
    }
    loop {
        let path = name(number, half);
        // Claims the name, so that no other run takes it between. Windows replaces
        // no file that is open.
        let claim = OpenOptions::new().write(true).create_new(true).open(&path);
        match claim.map(drop) {
            Ok(()) => {
                return write_presented(&Output::own(&path), picture, rig)
                    .map(|()| path.clone())
                    .inspect_err(|_| {
                        // Only the claim is there, and it is of no use.
                        let _ = std::fs::remove_file(&path);
                    });
            }
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => number += 1,
            Err(error) => return Err(Failure::file("write", &path, &error)),
        }
    }
}
