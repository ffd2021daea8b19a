//! Any rig's file, nudged and saved.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| bodies::saving(bytes));
