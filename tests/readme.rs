//! The README's commands and files do what it says.

mod commands;

use std::fs;
use std::path::PathBuf;

const README: &str = include_str!("../README.md");

/// The words of a shell line: spaces part them, double quotes hold them together.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().expect("never empty").push(c),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Lines of the README's shell blocks.
fn commands() -> Vec<&'static str> {
    let blocks = README.split("```sh\n").skip(1);
    blocks
        .flat_map(|block| block.split("```").next().unwrap_or("").lines())
        .collect()
}

#[test]
fn every_command_of_the_readme_works() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("readme");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("rigs")).expect("a folder");
    let readings = "rigs/tram-cab.readings.json";
    let kept = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(readings);
    fs::copy(kept, folder.join(readings)).expect("it is kept");
    let mut ran = 0;
    for line in commands() {
        let Some(arguments) = line.strip_prefix("cargo run --release -- ") else {
            assert_eq!(line, "cargo test", "a command that this test doesn't know");
            continue;
        };
        let output = commands::program()
            .args(words(arguments))
            .current_dir(&folder)
            .output()
            .expect("the program starts");
        let text = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{line}: {text}");
        ran += 1;
    }
    assert!(ran >= 2);
    assert!(
        fs::metadata(folder.join("pattern.png"))
            .expect("made by the first command")
            .len()
            > 10_000
    );
}

#[test]
fn every_file_that_the_readme_shows_is_there() {
    let mut links = 0;
    for link in README.split("](").skip(1) {
        let target = link.split(')').next().unwrap_or("");
        if !target.starts_with("http") {
            let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(target);
            assert!(path.exists(), "{target}");
            links += 1;
        }
    }
    assert!(links >= 3);
}
