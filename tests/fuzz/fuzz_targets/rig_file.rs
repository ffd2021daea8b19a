//! No text makes reading panic, hang or grow, and what is read can be written.

#![no_main]

use libfuzzer_sys::fuzz_target;
use throughline::rig;

/// Lines that begin so are settings, not part of the file.
const SETTING: &str = "--set ";

fuzz_target!(|bytes: &[u8]| {
    let input = String::from_utf8_lossy(bytes);
    let mut text = String::new();
    let mut settings = Vec::new();
    for line in input.split_inclusive('\n') {
        match line.strip_prefix(SETTING).and_then(|s| s.split_once('=')) {
            Some((path, value)) => settings.push((path.to_owned(), value.to_owned())),
            None => text.push_str(line),
        }
    }
    match rig::read(&text, "fuzz.toml", &settings) {
        Ok(rig) => {
            let again = rig::read(&rig::write(&rig), "written.toml", &[]);
            assert_eq!(again.as_ref(), Ok(&rig));
        }
        Err(error) => assert_eq!(error.to_string().lines().count(), 1),
    }
});
