//! A running `throughline show`, its rig file and what it said.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::{PROGRAM, Process, poll};

/// A rig for the three displays of [`super::x11::THREE`], with comments.
pub(crate) const RIG: &str = r#"# A workshop bench with three panels.
format = 1
name = "Workshop bench"

[seat]
view = "middle/1"
distance_mm = 700.0    # by tape
height_mm = 20.0

[[panel]]
name = "left"
pixels = [1280, 720]
diagonal_in = 21.5
desktop_px = [-1280, 180]

[[panel]]
name = "middle"        # the large one
pixels = [1600, 900]
diagonal_in = 24.0
desktop_px = [0, 0]

[[panel]]
name = "upright"
pixels = [720, 1280]
diagonal_in = 21.5
desktop_px = [1600, -120]

[[seam]]
angle_deg = 40.0       # by protractor
gap_mm = 14.0

[[seam]]
angle_deg = 45.0
gap_mm = 14.0
"#;

/// The panels of [`RIG`]: their rectangles on the canvas, which are those on
/// the desktop of [`super::x11::THREE`].
pub(crate) const PANELS: [[usize; 4]; 3] = [
    [0, 300, 1280, 720],
    [1280, 120, 1600, 900],
    [2880, 0, 720, 1280],
];

/// A running `show`.
pub(crate) struct Show {
    /// The rig file.
    pub rig: PathBuf,
    log: PathBuf,
    /// The process.
    pub process: Process,
}

/// Writes the rig into a test's folder.
pub(crate) fn write_rig(folder: &Path) -> PathBuf {
    let rig = folder.join("bench.toml");
    fs::write(&rig, RIG).expect("the test's folder can be written");
    rig
}

/// Starts `show` for a rig, by a command for the program, and waits until the
/// first frame was presented.
pub(crate) fn start(command: Command, rig: &Path, arguments: &[&str]) -> Show {
    start_named(command, rig, &rig.to_string_lossy(), arguments)
}

/// The same, for a program that knows the rig by another path.
pub(crate) fn start_named(command: Command, rig: &Path, named: &str, arguments: &[&str]) -> Show {
    let mut show = launch(command, rig, named, arguments);
    show.wait_for_first_frame();
    show
}

/// Starts it, and waits for nothing.
pub(crate) fn launch(mut command: Command, rig: &Path, named: &str, arguments: &[&str]) -> Show {
    let folder = rig.parent().expect("in a test's folder");
    let log = folder.join("show.log");
    command
        .args(["show", named])
        .args(arguments)
        .current_dir(folder)
        .env("THROUGHLINE_TIMINGS", "1")
        .env("XDG_STATE_HOME", folder.join("state"))
        .env("WGPU_BACKEND", "vulkan");
    let process = Process::start(&mut command, &log);
    Show {
        rig: rig.to_owned(),
        log,
        process,
    }
}

impl Show {
    /// Waits until the first frame was presented.
    pub(crate) fn wait_for_first_frame(&mut self) {
        poll("the first frame is presented", || {
            assert!(self.process.runs(), "show ended: {}", self.said());
            self.has_shown()
        });
    }

    /// Whether the first frame was presented.
    pub(crate) fn has_shown(&self) -> bool {
        self.said().contains("first frame")
    }

    /// How many graphics devices, and how many pipelines, it has made so far.
    pub(crate) fn made(&self) -> [usize; 2] {
        let said = self.said();
        ["graphics device made: ", "pipeline made: "].map(|beginning| {
            let is_one = |line: &&str| line.starts_with(beginning);
            said.lines().filter(is_one).count()
        })
    }

    /// What it said so far.
    pub(crate) fn said(&self) -> String {
        fs::read_to_string(&self.log).unwrap_or_default()
    }

    /// What the rig file says now.
    pub(crate) fn rig_text(&self) -> String {
        fs::read_to_string(&self.rig).unwrap_or_default()
    }

    /// The program itself.
    pub(crate) fn program() -> &'static str {
        PROGRAM
    }
}
