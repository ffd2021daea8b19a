//! Reads criterion's estimates back, so that a run can print ratios.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use std::time::Duration;

use criterion::Criterion;

/// The project's own folder.
fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// Where builds go.
pub fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(folder) => PathBuf::from(folder),
        None => root().join("target"),
    }
}

/// The program, built for release at the first call.
///
/// # Panics
///
/// Where it can't be built.
pub fn program() -> &'static Path {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| {
        let mut build = Command::new(env!("CARGO"));
        build.args(["build", "--release", "--package", "throughline"]);
        let status = build.current_dir(root()).status().expect("cargo starts");
        assert!(status.success(), "the program can't be built");
        let name = format!("throughline{}", std::env::consts::EXE_SUFFIX);
        target().join("release").join(name)
    })
}

/// What takes so many samples of each of its functions, in so many seconds.
pub fn bench(samples: usize, seconds: u64) -> Criterion {
    Criterion::default()
        .sample_size(samples)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(seconds))
        .configure_from_args()
}

/// Median of a benchmark's last run, in nanoseconds.
pub fn median_ns(name: &str) -> Option<f64> {
    let folder = target().join("criterion");
    let path = folder.join(name).join("new/estimates.json");
    let text = fs::read_to_string(path).ok()?;
    let estimates: serde_json::Value = serde_json::from_str(&text).ok()?;
    estimates["median"]["point_estimate"].as_f64()
}

/// Nanoseconds as milliseconds, for a table.
pub fn ms(ns: f64) -> String {
    format!("{:.2} ms", ns / 1e6)
}

/// Highest resident size of a run, in bytes, from the kernel's own record; `None` where
/// there is none.
fn peak_bytes(command: &mut Command) -> Option<u64> {
    let mut child = command.stdout(Stdio::null()).spawn().ok()?;
    let status = format!("/proc/{}/status", child.id());
    let mut peak = None;
    while child.try_wait().ok()?.is_none() {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| {
            line.trim()
                .trim_end_matches("kB")
                .trim()
                .parse::<u64>()
                .ok()
        });
        peak = kib.map(|kib| kib * 1024).max(peak);
        std::thread::sleep(Duration::from_micros(300));
    }
    peak
}

/// Prints a table's row: the most memory that a command holds, and what it may.
pub fn print_peak(name: &str, command: &mut Command, limit_bytes: f64) {
    let mib = f64::from(1 << 20);
    match peak_bytes(command) {
        Some(peak) => println!(
            "| peak memory of `{name}` | {:.0} MiB | at most {:.0} MiB |",
            peak as f64 / mib,
            limit_bytes / mib
        ),
        None => println!("| peak memory of `{name}` | not measured here | |"),
    }
}
