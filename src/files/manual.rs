//! The page of help that packages bring.

use std::path::{Path, PathBuf};

/// Beside the program, and where packages for Linux put what is to be read.
const PLACES: [&str; 2] = ["help.html", "../share/doc/throughline/help.html"];

/// The page of help that came with the program.
pub(crate) fn manual() -> Option<PathBuf> {
    // Links lead to where the program's own folder is.
    let program = std::env::current_exe().ok()?;
    beside(program.parent()?)
}

fn beside(folder: &Path) -> Option<PathBuf> {
    let mut places = PLACES.iter().map(|place| folder.join(place));
    let found = places.find(|place| place.is_file())?;
    // Without the way back in it, which nobody would type.
    Some(match found.strip_prefix(folder.join("..")) {
        Ok(rest) => folder.parent()?.join(rest),
        Err(_) => found,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn a_page_is_found_where_packages_put_it() {
        let root = tempfile::tempdir().expect("a folder");
        let bin = root.path().join("bin");
        let shared = root.path().join("share/doc/throughline");
        for folder in [&bin, &shared] {
            fs::create_dir_all(folder).expect("made");
        }
        assert_eq!(beside(&bin), None);
        fs::write(shared.join("help.html"), "<p>").expect("written");
        assert_eq!(beside(&bin), Some(shared.join("help.html")));
        fs::write(bin.join("help.html"), "<p>").expect("written");
        assert_eq!(beside(&bin), Some(bin.join("help.html")));
    }
}
