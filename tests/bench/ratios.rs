//! Reads criterion's estimates back, so that a run can print ratios.

use std::fs;
use std::path::PathBuf;

/// Median of a benchmark's last run, in nanoseconds.
pub fn median_ns(name: &str) -> Option<f64> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/criterion");
    let path = folder.join(name).join("new/estimates.json");
    let text = fs::read_to_string(path).ok()?;
    let estimates: serde_json::Value = serde_json::from_str(&text).ok()?;
    estimates["median"]["point_estimate"].as_f64()
}

/// Nanoseconds as milliseconds, for a table.
pub fn ms(ns: f64) -> String {
    format!("{:.2} ms", ns / 1e6)
}
