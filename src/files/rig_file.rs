//! The text of a rig file.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use throughline::rig::{self, demos};

use super::failure::Failure;
use super::needed::Files;

/// A rig's text and where it comes from.
pub(crate) struct Source {
    /// What messages call it.
    pub name: String,
    /// The text of a rig file.
    pub text: String,
    /// The file, where it is one.
    #[cfg_attr(
        not(feature = "desktop"),
        expect(dead_code, reason = "only windows save into it")
    )]
    pub path: Option<PathBuf>,
}

impl Source {
    /// The demo of that name, or the rig file.
    pub(crate) fn named(name: &Path, files: &mut Files) -> Result<Source, Failure> {
        let demo = demos().iter().find(|demo| name == Path::new(demo.name));
        let (text, path) = match demo {
            Some(demo) => (demo.text.to_owned(), None),
            None => {
                files.need(name)?;
                (text_of(name)?, Some(name.to_owned()))
            }
        };
        Ok(Source {
            name: name.display().to_string(),
            text,
            path,
        })
    }
}

/// What was probably meant by a name that leads to no file: the same one with its ending,
/// or a demo spelt a little differently.
fn meant(path: &Path, demos: &[&str]) -> Option<String> {
    let mut whole = path.as_os_str().to_owned();
    whole.push(".toml");
    if Path::new(&whole).is_file() {
        return Some(Path::new(&whole).display().to_string());
    }
    let name = path.file_name()?.to_str()?;
    let distance = |demo: &str| strsim::damerau_levenshtein(demo, name.trim_end_matches(".toml"));
    let nearest = demos.iter().min_by_key(|demo| distance(demo))?;
    (distance(nearest) <= 2).then(|| (*nearest).to_owned())
}

fn text_of(path: &Path) -> Result<String, Failure> {
    let name = path.display();
    let file = File::open(path).map_err(|error| {
        if error.kind() == std::io::ErrorKind::NotFound {
            let known: Vec<&str> = demos().iter().map(|demo| demo.name).collect();
            let meant = meant(path, &known)
                .map_or(String::new(), |meant| format!(" (do you mean {meant}?)"));
            Failure::new(format!(
                "there is no rig file {name} and no demo of that name{meant}; the demos are {}",
                known.join(", ")
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
