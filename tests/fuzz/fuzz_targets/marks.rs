//! Whatever a grey picture shows.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| bodies::marks(bytes));
