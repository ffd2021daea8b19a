//! Any rig, nudged: redrawn in parts and drawn anew.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| bodies::redraw(bytes));
