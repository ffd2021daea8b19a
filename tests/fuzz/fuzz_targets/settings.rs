//! Whatever is set on the command line.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| bodies::settings(bytes));
