//! Running the program as its user does.

#![allow(dead_code, reason = "each test file uses a part of it")]

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};

/// The program under test.
pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_throughline");

/// The program, to be given arguments.
pub(crate) fn program() -> Command {
    Command::new(PROGRAM)
}

/// Runs the program to its end.
pub(crate) fn run(arguments: &[&str]) -> Output {
    program()
        .args(arguments)
        .output()
        .expect("the program starts")
}

/// A new folder for a test's files.
pub(crate) fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder for the test");
    folder
}

/// What a command said on stderr.
pub(crate) fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}
