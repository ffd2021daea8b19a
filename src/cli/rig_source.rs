//! Finds the rig that a command works on.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use throughline::rig::{self, Rig, demos};

use super::arguments::RigArguments;
use super::failure::{Failure, tell};

/// A rig's text and where it comes from.
pub struct Source {
    /// What messages call it.
    pub name: String,
    /// The text of a rig file.
    pub text: String,
    /// The file, where it is one.
    pub path: Option<PathBuf>,
}

/// Reads the rig named on the command line, or the default demo, and says so.
pub fn load(arguments: &RigArguments) -> Result<Rig, Failure> {
    let source = source(arguments)?;
    rig::read(&source.text, &source.name, &arguments.settings).map_err(Failure::new)
}

/// Reads a rig file, or the demo of that name, with settings from an option.
pub fn load_named(
    name: &str,
    settings: &[(String, String)],
    option: &'static str,
) -> Result<Rig, Failure> {
    let source = source_named(name)?;
    rig::read(&source.text, name, settings).map_err(|error| Failure::new(error.with_option(option)))
}

/// Reads the text of the rig named on the command line, or of the default demo,
/// and says so.
pub fn source(arguments: &RigArguments) -> Result<Source, Failure> {
    let default = &demos()[0];
    let name = arguments.rig.as_deref().unwrap_or_else(|| {
        tell(format!(
            "no rig named, so this is the built-in demo \"{}\": {}",
            default.name, default.about
        ));
        default.name
    });
    source_named(name)
}

fn source_named(name: &str) -> Result<Source, Failure> {
    let (text, path) = match demos().iter().find(|demo| demo.name == name) {
        Some(demo) => (demo.text.to_owned(), None),
        None => (text_of(name)?, Some(PathBuf::from(name))),
    };
    Ok(Source {
        name: name.to_owned(),
        text,
        path,
    })
}

fn text_of(name: &str) -> Result<String, Failure> {
    let path = Path::new(name);
    let file = File::open(path).map_err(|error| {
        if error.kind() == std::io::ErrorKind::NotFound {
            let known = demos()
                .iter()
                .map(|demo| demo.name)
                .collect::<Vec<_>>()
                .join(", ");
            Failure::new(format!(
                "there is no rig file {name} and no demo of that name; the demos are {known}"
            ))
        } else {
            Failure::file("read", path, &error)
        }
    })?;
    // One byte past the limit is enough to be refused for its length. A byte-order
    // mark doesn't count.
    const MOST: usize = rig::MAX_TEXT_BYTES + '\u{feff}'.len_utf8();
    let mut bytes = Vec::new();
    file.take(MOST as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| Failure::file("read", path, &error))?;
    if bytes.len() > MOST {
        // Its last character may be cut through.
        return Ok(String::from_utf8_lossy(&bytes).into_owned());
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = good.iter().filter(|&&byte| byte == b'\n').count() + 1;
        let begin = good.iter().rposition(|&byte| byte == b'\n');
        let before = String::from_utf8_lossy(&good[begin.map_or(0, |at| at + 1)..]);
        let column = before.chars().count() + 1;
        Failure::new(format!(
            "{name}:{line}:{column}: this is not UTF-8 text; save the rig file as UTF-8"
        ))
    })
}
