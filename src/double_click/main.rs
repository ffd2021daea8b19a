//! Opens `show` for a double click, or for a rig file dropped on it, without a console:
//! what goes wrong is said in a window.

#![cfg_attr(windows, windows_subsystem = "windows")]

mod outcome;

use std::env;
use std::ffi::OsString;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, ExitCode, ExitStatus, Stdio};

use outcome::{Outcome, message};

/// The program with the commands, in the same folder.
const PROGRAM: &str = "throughline.exe";

fn main() -> ExitCode {
    let dropped: Vec<OsString> = env::args_os().skip(1).collect();
    let outcome = opened(&dropped);
    match message(&outcome) {
        None => ExitCode::SUCCESS,
        Some(text) => {
            say(&text);
            ExitCode::from(2)
        }
    }
}

/// Shows a rig, or one made of the connected displays, until its window is closed.
fn opened(dropped: &[OsString]) -> Outcome {
    if dropped.len() > 1 {
        return Outcome::Several(dropped.len());
    }
    let started = started(dropped.first().map(Path::new));
    match started.and_then(heard) {
        Ok((status, said)) if status.success() => Outcome::Closed { said },
        Ok((status, said)) => Outcome::Failed {
            code: status.code(),
            said,
        },
        Err(error) => Outcome::NotStarted(error.to_string()),
    }
}

fn started(rig: Option<&Path>) -> std::io::Result<Child> {
    let own = env::current_exe()?;
    let mut command = Command::new(own.with_file_name(PROGRAM));
    command.arg("show").args(rig);
    // Pictures and saved files go where the rig is.
    if let Some(folder) = rig.and_then(Path::parent).filter(|folder| folder.is_dir()) {
        command.current_dir(folder);
    }
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped());
    without_console(&mut command);
    let child = command.spawn()?;
    let_to_the_front(&child);
    Ok(child)
}

/// Waits for the end, and gives all that was said on the way.
fn heard(mut child: Child) -> std::io::Result<(ExitStatus, String)> {
    let mut bytes = Vec::new();
    if let Some(mut stderr) = child.stderr.take() {
        stderr.read_to_end(&mut bytes)?;
    }
    let said = String::from_utf8_lossy(&bytes).into_owned();
    Ok((child.wait()?, said))
}

/// Has a program for a console run without one.
#[cfg(windows)]
fn without_console(command: &mut Command) {
    use std::os::windows::process::CommandExt;

    /// `CREATE_NO_WINDOW`.
    const NO_WINDOW: u32 = 0x0800_0000;
    command.creation_flags(NO_WINDOW);
}

#[cfg(not(windows))]
fn without_console(_: &mut Command) {}

/// Hands on the right to open a window before all others, which a double click gives to
/// the program that was clicked.
#[cfg(windows)]
fn let_to_the_front(child: &Child) {
    // Without it the window opens all the same.
    let _ = winsafe::AllowSetForegroundWindow(Some(child.id()));
}

#[cfg(not(windows))]
fn let_to_the_front(_: &Child) {}

/// Says a text in a window, and waits until it was read.
#[cfg(windows)]
fn say(text: &str) {
    use winsafe::prelude::*;
    use winsafe::{HWND, co};

    let look = co::MB::ICONWARNING | co::MB::SETFOREGROUND;
    // There is nobody else to tell.
    let _ = HWND::NULL.MessageBox(text, "Throughline", look);
}

#[cfg(not(windows))]
fn say(text: &str) {
    use std::io::Write;

    let _ = writeln!(std::io::stderr(), "{text}");
}
