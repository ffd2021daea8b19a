//! Real parts on a machine without displays: display servers with several
//! outputs, window managers, keys, a mouse and screenshots.
//!
//! Every process is started under a time limit of its own and ends with the
//! value that holds it. Waiting is polling with a deadline, so that a slow
//! machine takes longer and doesn't fail.

#![allow(dead_code, reason = "each test file uses a part of the lab")]

pub(crate) mod picture;
pub(crate) mod show;
pub(crate) mod wayland;
pub(crate) mod wine;
pub(crate) mod x11;

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

/// Longest life of any process of a test.
const PROCESS_LIMIT: &str = "150";
/// Longest wait for anything.
pub(crate) const PATIENCE: Duration = Duration::from_secs(40);

/// The program under test.
pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_throughline");

/// One test at a time: they measure time and share the machine.
pub(crate) fn turn() -> MutexGuard<'static, ()> {
    static TURN: Mutex<()> = Mutex::new(());
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Whether all these programs and files are there. Where one is missing, it
/// says so, and fails where CI runs the tests.
pub(crate) fn has_parts(parts: &[&str]) -> bool {
    let is_there = |part: &&&str| {
        if part.starts_with('/') {
            return Path::new(part).exists();
        }
        let path = std::env::var_os("PATH").unwrap_or_default();
        std::env::split_paths(&path).any(|folder| folder.join(part).is_file())
    };
    let missing: Vec<&&str> = parts.iter().filter(|part| !is_there(part)).collect();
    if missing.is_empty() {
        return true;
    }
    assert!(
        std::env::var_os("CI").is_none(),
        "CI has no {missing:?}: install the lab's packages"
    );
    say_skipped(&format!("{missing:?} not installed"));
    false
}

/// Says on stderr that a test did not run, where passing tests are heard, too.
pub(crate) fn say_skipped(why: &str) {
    let name = thread::current().name().unwrap_or("a test").to_owned();
    writeln!(std::io::stderr(), "SKIPPED {name}: {why}").expect("stderr is there");
}

/// A process that ends with its value.
pub(crate) struct Process(Child);

impl Process {
    /// Starts a command under the time limit; what it says goes to a file.
    pub(crate) fn start(command: &mut Command, log: &Path) -> Process {
        let log = File::create(log).expect("the test's folder can be written");
        let other = log.try_clone().expect("a second handle");
        let program = command.get_program().to_owned();
        let mut limited = Command::new("timeout");
        limited.args(["--kill-after=5", PROCESS_LIMIT]).arg(program);
        limited.args(command.get_args());
        for (name, value) in command.get_envs() {
            match value {
                Some(value) => limited.env(name, value),
                None => limited.env_remove(name),
            };
        }
        if let Some(folder) = command.get_current_dir() {
            limited.current_dir(folder);
        }
        let child = limited
            .stdin(Stdio::null())
            .stdout(log)
            .stderr(other)
            .spawn()
            .expect("timeout is part of every system");
        Process(child)
    }

    /// The exit code, once it has ended; 124 is the time limit's.
    pub(crate) fn wait(&mut self) -> i32 {
        let mut code = None;
        poll("the process ends", || {
            code = self.0.try_wait().expect("a child of ours");
            code.is_some()
        });
        code.and_then(|status| status.code()).unwrap_or(-1)
    }

    /// Whether it still runs.
    pub(crate) fn runs(&mut self) -> bool {
        self.0.try_wait().is_ok_and(|status| status.is_none())
    }

    /// The process behind the time limit.
    pub(crate) fn inner_id(&self) -> u32 {
        let mut found = None;
        poll("the limited process starts", || {
            found = children(self.0.id()).first().copied();
            found.is_some()
        });
        found.expect("just found")
    }

    /// Holds everything behind the time limit, as a busy machine would.
    pub(crate) fn hold(&self) {
        signal_all("STOP", self.inner_id());
    }

    /// Lets it go on.
    pub(crate) fn release(&self) {
        signal_all("CONT", self.inner_id());
    }

    /// Ends the process behind the time limit as a crash would.
    pub(crate) fn kill_at_once(&mut self) {
        signal("KILL", self.inner_id());
        self.wait();
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        if self.runs() {
            // What is held hears nothing.
            signal_all("CONT", self.0.id());
            // The time limit passes it on to what it started.
            signal("TERM", self.0.id());
            let end = Instant::now() + Duration::from_secs(4);
            while self.runs() && Instant::now() < end {
                thread::sleep(Duration::from_millis(20));
            }
            let _ = self.0.kill();
            let _ = self.0.wait();
        }
    }
}

fn children(id: u32) -> Vec<u32> {
    let path = format!("/proc/{id}/task/{id}/children");
    let children = fs::read_to_string(path).unwrap_or_default();
    let ids = children.split_whitespace();
    ids.filter_map(|id| id.parse().ok()).collect()
}

/// Signals a process and everything that it started.
fn signal_all(name: &str, id: u32) {
    signal(name, id);
    for child in children(id) {
        signal_all(name, child);
    }
}

fn signal(name: &str, id: u32) {
    // A process that has just gone is as good as ended.
    let _ = Command::new("kill")
        .args([&format!("-{name}"), &id.to_string()])
        .stderr(Stdio::null())
        .status();
}

/// Waits until something is so.
///
/// # Panics
///
/// Where it isn't after [`PATIENCE`].
pub(crate) fn poll(what: &str, mut is_so: impl FnMut() -> bool) {
    let end = Instant::now() + PATIENCE;
    while !is_so() {
        assert!(Instant::now() < end, "waited in vain until {what}");
        thread::sleep(Duration::from_millis(60));
    }
}

/// Runs a command to its end, within a time limit. Gives what it said.
pub(crate) fn run(command: &mut Command) -> Result<String, String> {
    let program = command.get_program().to_owned();
    let mut limited = Command::new("timeout");
    limited.args(["--kill-after=5", "30"]).arg(&program);
    limited.args(command.get_args());
    for (name, value) in command.get_envs() {
        match value {
            Some(value) => limited.env(name, value),
            None => limited.env_remove(name),
        };
    }
    let output = limited
        .stdin(Stdio::null())
        .output()
        .map_err(|error| error.to_string())?;
    if output.status.success() {
        Ok(String::from_utf8_lossy(&output.stdout).into_owned())
    } else {
        let said = String::from_utf8_lossy(&output.stderr);
        let status = output.status;
        Err(format!("{}: {status}: {said}", program.display()))
    }
}

/// A new folder for a test's files.
pub(crate) fn folder(test: &str) -> PathBuf {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let number = COUNT.fetch_add(1, Ordering::Relaxed);
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join(format!("{test}-{}-{number}", std::process::id()));
    // From an earlier run with the same number, if any.
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("the target folder can be written");
    folder
}
