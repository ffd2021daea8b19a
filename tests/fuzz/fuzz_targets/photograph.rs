//! Whatever a photograph's file holds.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| bodies::photograph(bytes));
