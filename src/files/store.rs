//! The rig file being nudged: where it lies, what it says, and saving into it.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use throughline::nudging::Found;
use throughline::rig::{Rig, with_values_of};

use super::beside::{beside, free};
use super::failure::Failure;
use super::journal::{Journal, places};
use super::needed::{Files, Output};
use super::output::{Aside, write_file};

/// What the file as the run found it is called, behind the file's own name.
const PREVIOUS: &str = ".previous";
/// Longest name of a file that systems hold.
const MOST_NAME_BYTES: usize = 255;

/// A rig's text and what became of it.
#[derive(Debug)]
pub(crate) struct Store {
    path: Option<PathBuf>,
    name: String,
    text: String,
    saved: Rig,
    journal: Journal,
    /// Whether the file's text is one that this run wrote.
    is_own_text: bool,
    /// Whether the file as this run found it is kept beside it.
    has_kept_found: bool,
    /// When the file was written, and its length, as looked at last.
    seen: Option<(SystemTime, u64)>,
    /// The text that another's change of the file was told of, which the next
    /// save goes over.
    warned_of: Option<Vec<u8>>,
}

/// What a look at the rig file found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Look {
    /// The text that the store goes by.
    AsKnown,
    /// Another's text.
    Edited(String),
}

impl Store {
    /// The store of a rig read from `text`. `path` is `None` where there is no
    /// file yet; the first save makes one that is called after `name`.
    ///
    /// # Errors
    ///
    /// Where the run was asked to write a file that the store keeps.
    pub(crate) fn new(
        path: Option<PathBuf>,
        name: &str,
        text: String,
        rig: &Rig,
        files: &mut Files,
    ) -> Result<Store, Failure> {
        // A link stays a link: the file behind it is the one to be replaced.
        let path = path.map(resolved);
        let places = places(path.as_deref(), name);
        let previous = path.as_ref().map(|path| beside(path, PREVIOUS));
        for kept in places.iter().chain(&previous) {
            files.need(kept)?;
        }
        let journal = Journal::new(places, &text);
        Ok(Store {
            path,
            name: name.to_owned(),
            text,
            saved: rig.clone(),
            journal,
            is_own_text: false,
            has_kept_found: false,
            seen: None,
            warned_of: None,
        })
    }

    /// Nudges that an earlier run left unsaved.
    pub(crate) fn found(&mut self) -> Option<Found> {
        self.journal.found(self.saved.parts())
    }

    /// What is to be said before anything is saved: of journals that couldn't be
    /// read, and of a name that leaves no room for the previous file's.
    pub(crate) fn warnings(&self) -> Vec<String> {
        let damaged = self.journal.damaged().iter();
        let damaged = damaged.map(|path| {
            format!(
                "the unsaved nudges of an earlier run can't be read; they are kept in {}, and \
                 new ones go to a new file",
                path.display()
            )
        });
        let name = self.path.as_ref().and_then(|path| path.file_name());
        let most = MOST_NAME_BYTES - PREVIOUS.len();
        let too_long = name.filter(|name| name.len() > most).map(|_| {
            format!(
                "the rig file's name leaves no room for \"{PREVIOUS}\" behind it, so nothing can \
                 be saved into it: shorten it to {most} bytes"
            )
        });
        damaged.chain(too_long).collect()
    }

    /// Whether the rig has values that no file holds.
    pub(crate) fn is_unsaved(&self, rig: &Rig) -> bool {
        self.saved.parts() != rig.parts()
    }

    /// What the files of this rig are called after, and where they go.
    pub(crate) fn stem(&self) -> PathBuf {
        match &self.path {
            Some(path) => path.with_extension(""),
            None => PathBuf::from(&self.name),
        }
    }

    /// Notes the nudges in the journal.
    ///
    /// # Errors
    ///
    /// Where no journal can be written.
    pub(crate) fn note(&mut self, rig: &Rig) -> io::Result<()> {
        self.journal.note(self.saved.parts(), rig.parts())
    }

    /// Makes sure that the journal survives a power cut.
    pub(crate) fn flush(&mut self) {
        self.journal.flush();
    }

    /// The journal's nudges are not wanted.
    pub(crate) fn drop_journal(&mut self) {
        self.restart_journal();
    }

    fn restart_journal(&mut self) {
        let paths = places(self.path.as_deref(), &self.name);
        self.journal.restart(paths, &self.text);
    }

    /// What the file says since it was written anew; `None` where nobody wrote it
    /// since the last look. A file that can't be read just now says nothing.
    pub(crate) fn look(&mut self) -> Option<Look> {
        let path = self.path.as_ref()?;
        let known = fs::metadata(path).ok()?;
        let seen = Some((known.modified().ok()?, known.len()));
        if seen == self.seen {
            return None;
        }
        let bytes = fs::read(path).ok()?;
        self.seen = seen;
        if bytes == self.text.as_bytes() {
            return Some(Look::AsKnown);
        }
        if self.warned_of.as_ref() == Some(&bytes) {
            return None;
        }
        Some(Look::Edited(String::from_utf8_lossy(&bytes).into_owned()))
    }

    /// Goes by another's text, which says this rig. Nudges that wait to be taken up
    /// stay in the journal.
    pub(crate) fn go_by(&mut self, text: String, rig: &Rig, has_nudges: bool) {
        self.text = text;
        self.saved = rig.clone();
        self.is_own_text = false;
        self.warned_of = None;
        if !has_nudges {
            self.restart_journal();
        }
    }

    /// Keeps to the text that it went by: the next save goes over another's, which
    /// it was told of, and keeps that beside it.
    pub(crate) fn keep_to_own(&mut self, others: &str) {
        self.warned_of = Some(others.as_bytes().to_vec());
    }

    /// Ends the run: a journal of nothing is removed.
    pub(crate) fn close(&mut self, rig: &Rig, is_offer_open: bool) {
        self.journal.flush();
        if !is_offer_open && !self.is_unsaved(rig) {
            self.journal.remove();
        }
    }

    /// Writes the rig's values into its file, keeps the file as the run found it
    /// beside it, and says so.
    ///
    /// # Errors
    ///
    /// One sentence; the file and the journal are as they were.
    pub(crate) fn save(&mut self, rig: &Rig) -> Result<String, Failure> {
        let text = with_values_of(&self.text, rig)
            .map_err(|error| unsaved(format!("the rig file can't be edited, {error}")))?;
        let said = match self.path.clone() {
            Some(path) => self.replace(&path, &text)?,
            None => self.create(&text)?,
        };
        self.text = text;
        self.saved = rig.clone();
        self.is_own_text = true;
        self.restart_journal();
        self.warned_of = None;
        Ok(said)
    }

    fn replace(&mut self, path: &Path, text: &str) -> Result<String, Failure> {
        let kept = "the nudges stay in the journal";
        let file = path.display();
        match fs::read(path) {
            Ok(bytes) => {
                let is_anothers = bytes != self.text.as_bytes();
                if is_anothers && self.warned_of.as_ref() != Some(&bytes) {
                    self.warned_of = Some(bytes);
                    return Err(unsaved(format!(
                        "{file} was changed by someone else since it was read; \
                         press S again to write over it"
                    )));
                }
                let is_protected = |known: fs::Metadata| known.permissions().readonly();
                if fs::metadata(path).is_ok_and(is_protected) {
                    return Err(unsaved(format!(
                        "{file} is write-protected; make it writable, {kept}"
                    )));
                }
                let mut said = format!("saved {file}");
                for (copy, what, text) in self.copies(path, &bytes, is_anothers) {
                    Aside::write(&Output::own(&copy), |out| out.write_all(text))
                        .and_then(|copy| copy.put_in_place_like(Some(path)))
                        .map_err(|failure| unsaved(format!("{failure}; {kept}")))?;
                    let name = copy.file_name().unwrap_or_default().display();
                    said += &format!("; {what} is {name}");
                }
                write_text(path, text).map_err(|error| unsaved(format!("{error}; {kept}")))?;
                self.has_kept_found = true;
                Ok(said)
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                write_text(path, text).map_err(|error| unsaved(format!("{error}; {kept}")))?;
                Ok(format!("saved {file}, which had gone"))
            }
            Err(error) => Err(unsaved(format!("cannot read {file}: {error}; {kept}"))),
        }
    }

    /// What is to be kept of a file before it is written over: where, what that is,
    /// and its text.
    fn copies<'a>(
        &'a self,
        path: &Path,
        bytes: &'a [u8],
        is_anothers: bool,
    ) -> Vec<(PathBuf, &'static str, &'a [u8])> {
        let mut copies = Vec::new();
        let is_found = !self.is_own_text && !self.has_kept_found;
        if is_found {
            let text = self.text.as_bytes();
            copies.push((beside(path, PREVIOUS), "the file as it was found", text));
        }
        // Another's text is nowhere else, so that no later save may replace it.
        if is_anothers || !(self.is_own_text || is_found) {
            copies.push((free(path, ".other"), "the other's file", bytes));
        }
        copies
    }

    fn create(&mut self, text: &str) -> Result<String, Failure> {
        let failed = |error: Failure| {
            unsaved(format!(
                "{error}; start `throughline show` in a folder you may write to"
            ))
        };
        let path = (1..).find_map(|number: u32| {
            let path = match number {
                1 => PathBuf::from(format!("{}.toml", self.name)),
                _ => PathBuf::from(format!("{}-{number}.toml", self.name)),
            };
            // Claims the name, so that no other run takes it between.
            let claim = fs::OpenOptions::new()
                .write(true)
                .create_new(true)
                .open(&path);
            match claim.map(drop) {
                Ok(()) => Some(Ok(path)),
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => None,
                Err(error) => Some(Err(Failure::file("write", &path, &error))),
            }
        });
        let path = path
            .unwrap_or_else(|| Err(Failure::new("every name is taken")))
            .map_err(failed)?;
        write_text(&path, text).map_err(|error| {
            // Only the claim is there, and it is of no use.
            let _ = fs::remove_file(&path);
            failed(error)
        })?;
        let path = resolved(path);
        let said = format!("saved as a new rig file, {}", path.display());
        self.path = Some(path);
        Ok(said)
    }
}

fn unsaved(why: String) -> Failure {
    Failure::new(format!("not saved: {why}"))
}

fn write_text(path: &Path, text: &str) -> Result<(), Failure> {
    write_file(&Output::own(path), |out| out.write_all(text.as_bytes()))?;
    settle_folder(path);
    Ok(())
}

/// Makes sure that a file's new name survives a power cut, before its journal
/// goes.
#[cfg(unix)]
fn settle_folder(path: &Path) {
    let folder = path.parent().filter(|folder| *folder != Path::new(""));
    let folder = fs::File::open(folder.unwrap_or(Path::new(".")));
    // A file system that can't do it has written the file all the same.
    let _ = folder.and_then(|folder| folder.sync_all());
}

/// There, folders can't be asked to, and the file system keeps the order itself.
#[cfg(not(unix))]
fn settle_folder(_: &Path) {}

/// The file that a path leads to, written as people write paths: Windows puts
/// `\\?\` before the paths that it resolves.
fn resolved(path: PathBuf) -> PathBuf {
    let Ok(real) = fs::canonicalize(&path) else {
        return path;
    };
    match real.to_str().and_then(|text| text.strip_prefix(r"\\?\")) {
        Some(plain) => match plain.strip_prefix(r"UNC\") {
            Some(share) => PathBuf::from(format!(r"\\{share}")),
            None => PathBuf::from(plain),
        },
        None => real,
    }
}

#[cfg(all(test, unix))]
mod tests {
    use std::os::unix::fs::PermissionsExt;

    use throughline::rig::{self, Measure, SeatQuantity, demos};

    use super::*;

    #[test]
    fn who_may_read_the_file_may_read_the_previous_one() {
        let _locks = crate::files::locks_are_own();
        let folder = std::env::temp_dir().join(format!("throughline-store-{}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).expect("a folder");
        let path = folder.join("r.toml");
        let text = demos()[0].text.to_owned();
        let rig = rig::read(&text, "r", &[]).expect("a sound demo");
        let mode = |path: &Path| fs::metadata(path).expect("there").permissions().mode() & 0o777;
        for access in [0o600, 0o644, 0o640] {
            fs::write(&path, &text).expect("written");
            fs::set_permissions(&path, fs::Permissions::from_mode(access)).expect("set");
            let mut files = Files::new();
            let store = Store::new(Some(path.clone()), "r", text.clone(), &rig, &mut files);
            let mut parts = rig.parts().clone();
            Measure::Seat(SeatQuantity::Height).put(&mut parts, 12.5);
            let nudged = Rig::new(parts).expect("still a rig");
            store.expect("its own").save(&nudged).expect("saved");
            let previous = folder.join("r.toml.previous");
            assert_eq!([mode(&path), mode(&previous)], [access; 2]);
            assert_eq!(fs::read_to_string(previous).expect("kept"), text);
        }
        let _ = fs::remove_dir_all(folder);
    }

    /// A store of a demo's file in a folder of the test's, and its rig.
    fn store(test: &str) -> (PathBuf, Rig, Store) {
        let name = format!("throughline-store-{test}-{}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).expect("a folder");
        let path = folder.join("r.toml");
        let text = demos()[0].text.to_owned();
        fs::write(&path, &text).expect("written");
        let rig = rig::read(&text, "r", &[]).expect("a sound demo");
        let mut files = Files::new();
        let store = Store::new(Some(path), "r", text, &rig, &mut files);
        (folder, rig, store.expect("its own"))
    }

    fn higher(rig: &Rig, height_mm: f64) -> Rig {
        let mut parts = rig.parts().clone();
        Measure::Seat(SeatQuantity::Height).put(&mut parts, height_mm);
        Rig::new(parts).expect("still a rig")
    }

    #[test]
    fn the_previous_file_is_the_one_that_the_run_found_however_often_it_saves() {
        let _locks = crate::files::locks_are_own();
        let (folder, rig, mut store) = store("often");
        let found = demos()[0].text;
        let previous = folder.join("r.toml.previous");
        fs::write(&previous, "of an earlier run").expect("written");
        for height_mm in [1.0, 2.0, 3.0] {
            store.save(&higher(&rig, height_mm)).expect("saved");
            assert_eq!(fs::read_to_string(&previous).expect("kept"), found);
        }
        assert!(!folder.join("r.toml.other-1").exists());
        let _ = fs::remove_dir_all(folder);
    }

    #[test]
    fn anothers_text_is_kept_beside_the_one_that_the_run_found() {
        let _locks = crate::files::locks_are_own();
        let (folder, rig, mut store) = store("another");
        let found = demos()[0].text;
        let others = format!("{found}# by another\n");
        fs::write(folder.join("r.toml"), &others).expect("written");
        assert!(store.save(&higher(&rig, 1.0)).is_err(), "told of first");
        store.save(&higher(&rig, 1.0)).expect("saved over it");
        let read = |name: &str| fs::read_to_string(folder.join(name)).expect("kept");
        assert_eq!(read("r.toml.previous"), found);
        assert_eq!(read("r.toml.other-1"), others);
        let _ = fs::remove_dir_all(folder);
    }
}
