//! The journal's file. Whoever writes it holds its lock, so that two runs for one
//! rig don't take each other's.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::beside::{beside, free};
use throughline::nudging::{Damaged, Found, Notes, digest};
use throughline::rig::Parts;

/// The journal of one rig.
#[derive(Debug)]
pub(super) struct Journal {
    /// Where it may lie; the first that can be written is taken.
    paths: Vec<PathBuf>,
    /// Those left by earlier runs that this one takes over.
    taken_over: Vec<PathBuf>,
    /// Those that can't be read, where they are kept.
    damaged: Vec<PathBuf>,
    digest: u64,
    open: Option<(PathBuf, File)>,
    noted: Notes,
    is_flushed: bool,
}

impl Journal {
    /// The journal of a rig with this text, in one of these places.
    pub(super) fn new(paths: Vec<PathBuf>, text: &str) -> Journal {
        Journal {
            paths,
            taken_over: Vec::new(),
            damaged: Vec::new(),
            digest: digest(text.as_bytes()),
            open: None,
            noted: Notes::default(),
            is_flushed: true,
        }
    }

    /// Nudges that an earlier run left: the first journal that has any. It is taken
    /// over, as those are that have none any more. One that can't be read is put
    /// aside, so that nothing is appended to it.
    pub(super) fn found(&mut self, parts: &Parts) -> Option<Found> {
        for path in &self.paths {
            let Some((_lock, bytes)) = left_behind(path) else {
                continue;
            };
            match Found::read(&bytes, self.digest, parts) {
                Ok(found) => {
                    self.taken_over.push(path.clone());
                    if found.is_some() {
                        return found;
                    }
                }
                Err(Damaged) => self.damaged.push(put_aside(path)),
            }
        }
        None
    }

    /// Where journals are kept that couldn't be read.
    pub(super) fn damaged(&self) -> &[PathBuf] {
        &self.damaged
    }

    /// Notes every value that differs from what was noted last.
    ///
    /// # Errors
    ///
    /// Where no place can be written.
    pub(super) fn note(&mut self, loaded: &Parts, now: &Parts) -> io::Result<()> {
        let (lines, noted) = self.noted.lines(loaded, now);
        if lines.is_empty() {
            return Ok(());
        }
        let mut file = self.file()?;
        if let Err(error) = file.write_all(lines.as_bytes()) {
            // Opened again, it begins on a new line.
            self.taken_over
                .extend(self.open.take().map(|(path, _)| path));
            return Err(error);
        }
        self.noted = noted;
        self.is_flushed = false;
        Ok(())
    }

    /// Makes sure that a power cut takes nothing away.
    pub(super) fn flush(&mut self) {
        if let (false, Some((_, file))) = (self.is_flushed, &self.open) {
            // A disk that can't do it has the text in its cache all the same.
            let _ = file.sync_data();
        }
        self.is_flushed = true;
    }

    /// Ends the journal: its nudges are saved, turned down or taken back.
    pub(super) fn remove(&mut self) {
        let own = self.open.take().map(|(path, _)| path);
        self.noted = Notes::default();
        for path in self.taken_over.drain(..).chain(own) {
            // One that stays is offered again, which loses nothing.
            let _ = fs::remove_file(path);
        }
    }

    /// Goes on for a rig file with another text, or in other places.
    pub(super) fn restart(&mut self, paths: Vec<PathBuf>, text: &str) {
        self.remove();
        *self = Journal::new(paths, text);
    }

    fn file(&mut self) -> io::Result<&File> {
        if self.open.is_none() {
            self.open = Some(self.create()?);
        }
        match &self.open {
            Some((_, file)) => Ok(file),
            None => Err(io::Error::other("there is no place for it")),
        }
    }

    fn create(&self) -> io::Result<(PathBuf, File)> {
        let mut failed = io::Error::other("there is no place for it");
        for path in &self.paths {
            let is_taken_over = self.taken_over.contains(path);
            match start(path, is_taken_over, self.digest) {
                Ok(file) => return Ok((path.clone(), file)),
                Err(error) => failed = error,
            }
        }
        Err(failed)
    }
}

/// A journal that nobody writes any more, locked, and what it holds.
fn left_behind(path: &Path) -> Option<(File, Vec<u8>)> {
    // Some file systems lock only what can be written.
    let file = OpenOptions::new().read(true).write(true).open(path);
    let mut file = file.or_else(|_| File::open(path)).ok()?;
    let mut bytes = Vec::new();
    if is_anothers(&file) {
        return None;
    }
    file.read_to_end(&mut bytes).ok()?;
    Some((file, bytes))
}

/// Gives a damaged journal another name, and gives that. Where it keeps its own,
/// nothing is written there: the next place serves.
fn put_aside(path: &Path) -> PathBuf {
    let kept = free(path, ".damaged");
    match fs::rename(path, &kept) {
        Ok(()) => kept,
        Err(_) => path.to_owned(),
    }
}

/// Whether another run holds a journal's lock; otherwise this one does, until it
/// closes the file. Some file systems have no locks.
fn is_anothers(file: &File) -> bool {
    matches!(file.try_lock(), Err(TryLockError::WouldBlock))
}

/// Opens a journal to append to, with its first line written: a new one, or one
/// that was taken over.
fn start(path: &Path, is_taken_over: bool, digest: u64) -> io::Result<File> {
    if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
        fs::create_dir_all(folder)?;
    }
    // Windows locks no file that can only be appended to.
    let mut options = OpenOptions::new();
    options.read(true).append(true);
    let mut file = if is_taken_over {
        options.create(true).open(path)?
    } else {
        options.create_new(true).open(path)?
    };
    if is_anothers(&file) {
        return Err(io::Error::other("another run for this rig writes there"));
    }
    if file.metadata()?.len() == 0 {
        file.write_all(Notes::title(digest).as_bytes())?;
    } else {
        // What a power cut left of a line must not run into the next one.
        file.write_all(b"\n")?;
    }
    Ok(file)
}

/// Where a rig's journal may lie: beside its file, else in the user's state
/// folder. A rig without a file has a name only.
pub(super) fn places(file: Option<&Path>, name: &str) -> Vec<PathBuf> {
    let mut paths = Vec::new();
    let tag = match file {
        Some(file) => {
            paths.push(beside(file, ".nudges"));
            format!("{:016x}", digest(file.as_os_str().as_encoded_bytes()))
        }
        None => format!("unsaved-{name}"),
    };
    paths.extend(state_folder().map(|folder| folder.join(format!("{tag}.nudges"))));
    paths
}

fn state_folder() -> Option<PathBuf> {
    let variable = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty());
    let folder = if cfg!(windows) {
        PathBuf::from(variable("LOCALAPPDATA")?)
    } else if let Some(state) = variable("XDG_STATE_HOME") {
        PathBuf::from(state)
    } else {
        PathBuf::from(variable("HOME")?).join(".local/state")
    };
    Some(folder.join("throughline"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use throughline::nudging::values;
    use throughline::rig::{self, Rig, demos};

    fn rig() -> Rig {
        let demo = &demos()[0];
        rig::read(demo.text, demo.name, &[]).expect("a sound demo")
    }

    fn place(test: &str) -> PathBuf {
        let name = format!("throughline-journal-{test}-{}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        // From an earlier run with the same number, if any.
        let _ = fs::remove_dir_all(&folder);
        folder.join("rig.toml.nudges")
    }

    fn moved(rig: &Rig, index: usize, by: f64) -> Rig {
        let mut parts = rig.parts().clone();
        let value = values(&parts)[index];
        let number = value.get(&parts).expect("it is there");
        value.put(&mut parts, number + by);
        Rig::new(parts).expect("still a rig")
    }

    #[test]
    fn what_was_noted_is_found_though_the_end_is_torn() {
        let _locks = crate::files::locks_are_own();
        let (rig, path) = (rig(), place("torn"));
        let mut journal = Journal::new(vec![path.clone()], "text");
        let once = moved(&rig, 0, 0.5);
        let twice = moved(&once, 3, 1.0);
        for now in [&once, &twice] {
            journal.note(rig.parts(), now.parts()).expect("written");
        }
        drop(journal);
        let mut torn = fs::read_to_string(&path).expect("there");
        torn.push_str("seat.distance_mm 6");
        fs::write(&path, torn).expect("written");

        let mut again = Journal::new(vec![path.clone()], "text");
        let found = again.found(rig.parts()).expect("found");
        let expected = [0, 3].map(|i| {
            let value = values(rig.parts())[i];
            (value, value.get(twice.parts()).expect("it is there"))
        });
        assert_eq!(found.numbers, expected);
        assert!(found.is_same_rig);
        let mut other = Journal::new(vec![path], "another text");
        assert!(!other.found(rig.parts()).expect("found").is_same_rig);
    }

    #[test]
    fn a_damaged_journal_is_put_aside_and_a_new_one_begun() {
        let _locks = crate::files::locks_are_own();
        for damage in [
            &[0; 200][..],
            b"throughline nud",
            b"\xff\xfe\n",
            b"something else\n",
        ] {
            let (rig, path) = (rig(), place("damaged"));
            fs::create_dir_all(path.parent().expect("has one")).expect("made");
            fs::write(&path, damage).expect("written");
            let mut journal = Journal::new(vec![path.clone()], "text");
            assert_eq!(journal.found(rig.parts()), None);
            let [kept] = journal.damaged() else {
                panic!("{damage:?} is not told of");
            };
            assert_eq!(fs::read(kept).expect("kept"), damage);
            let moved = moved(&rig, 0, 0.5);
            journal.note(rig.parts(), moved.parts()).expect("written");
            // As after kill -9: the next run offers it.
            drop(journal);
            let mut next = Journal::new(vec![path.clone()], "text");
            assert_eq!(next.found(rig.parts()).expect("offered").numbers.len(), 1);
            assert!(next.damaged().is_empty());
        }
        // An empty one has nothing to keep.
        let (rig, path) = (rig(), place("empty"));
        fs::create_dir_all(path.parent().expect("has one")).expect("made");
        fs::write(&path, "").expect("written");
        let mut journal = Journal::new(vec![path.clone()], "text");
        assert_eq!(journal.found(rig.parts()), None);
        let moved = moved(&rig, 0, 0.5);
        journal.note(rig.parts(), moved.parts()).expect("written");
        drop(journal);
        let mut next = Journal::new(vec![path], "text");
        assert!(next.found(rig.parts()).is_some());
    }

    #[test]
    fn nudges_taken_back_are_not_offered() {
        let _locks = crate::files::locks_are_own();
        let (rig, path) = (rig(), place("back"));
        let mut journal = Journal::new(vec![path.clone()], "text");
        let once = moved(&rig, 0, 0.5);
        journal.note(rig.parts(), once.parts()).expect("written");
        journal.note(rig.parts(), rig.parts()).expect("written");
        assert_eq!(journal.found(rig.parts()), None);
        journal.remove();
        assert!(!path.exists());
    }

    #[test]
    fn two_runs_for_one_rig_leave_each_other_alone() {
        let _locks = crate::files::locks_are_own();
        let (rig, path) = (rig(), place("two"));
        let second = path.with_file_name("second.nudges");
        let paths = vec![path.clone(), second.clone()];
        let (mut one, mut other) = (
            Journal::new(paths.clone(), "text"),
            Journal::new(paths.clone(), "text"),
        );
        let moved = moved(&rig, 0, 0.5);
        one.note(rig.parts(), moved.parts()).expect("written");
        assert_eq!(other.found(rig.parts()), None);
        other.note(rig.parts(), moved.parts()).expect("written");
        assert!(second.exists());
        other.remove();
        assert!(path.exists() && !second.exists());
        // Ended by a crash, its nudges are there for the next run.
        drop(one);
        let mut next = Journal::new(paths.clone(), "text");
        assert!(next.found(rig.parts()).is_some());

        // One that was never offered here is neither written nor removed.
        let mut late = Journal::new(paths, "text");
        late.note(rig.parts(), moved.parts()).expect("written");
        assert!(second.exists());
        late.remove();
        assert!(path.exists() && !second.exists());
    }

    #[test]
    fn the_second_place_serves_where_the_first_cant_be_written() {
        let _locks = crate::files::locks_are_own();
        let (rig, path) = (rig(), place("second"));
        fs::create_dir_all(path.parent().expect("has one")).expect("made");
        let file = path.with_file_name("file");
        fs::write(&file, "in the way").expect("written");
        let mut journal = Journal::new(vec![file.join("no.nudges"), path.clone()], "text");
        let once = moved(&rig, 0, 0.5);
        journal.note(rig.parts(), once.parts()).expect("written");
        assert!(path.exists());
        let mut nowhere = Journal::new(vec![file.join("no.nudges")], "text");
        assert!(nowhere.note(rig.parts(), once.parts()).is_err());
    }
}
