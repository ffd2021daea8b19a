//! Every input that is kept for the fuzzer, once more on each run of the tests.

#[path = "fuzz/bodies.rs"]
#[allow(unreachable_pub, reason = "the fuzzer's own crate reaches them")]
mod bodies;

use std::fs;
use std::path::{Path, PathBuf};

use bodies::TARGETS;

/// Largest that the kept inputs are in all.
const MAX_CORPUS_BYTES: u64 = 1 << 20;

fn fuzz() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz")
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = entries
        .map(|entry| entry.expect("an entry").file_name())
        .map(|name| name.to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Replays a target's inputs; a panic says which one it was.
fn replay(target: &str) {
    let (_, body) = TARGETS
        .iter()
        .find(|(name, _)| *name == target)
        .expect("a target");
    let folder = fuzz().join("corpus").join(target);
    let names = names(&folder);
    assert!(names.len() > 10, "only {} inputs", names.len());
    for name in names {
        let bytes = fs::read(folder.join(&name)).expect("readable");
        // Shown where the test fails.
        println!("{target}/{name}");
        body(&bytes);
    }
}

#[test]
fn journals() {
    replay("journal");
}

#[test]
fn marks() {
    replay("marks");
}

#[test]
fn photographs() {
    replay("photograph");
}

#[test]
fn pictures() {
    replay("png");
}

#[test]
fn redrawing() {
    replay("redraw");
}

#[test]
fn rig_texts() {
    replay("rig_text");
}

#[test]
fn saving() {
    replay("saving");
}

#[test]
fn settings() {
    replay("settings");
}

#[test]
fn every_target_has_a_program_and_inputs_that_stay_small() {
    let targets: Vec<String> = TARGETS.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(names(&fuzz().join("corpus")), targets);
    let programs: Vec<String> = targets.iter().map(|name| format!("{name}.rs")).collect();
    assert_eq!(names(&fuzz().join("fuzz_targets")), programs);
    let manifest = fs::read_to_string(fuzz().join("Cargo.toml")).expect("readable");
    for target in &targets {
        assert!(
            manifest.contains(&format!("name = \"{target}\"")),
            "{target}"
        );
    }
    let bytes = |target: &String| {
        let folder = fuzz().join("corpus").join(target);
        let sizes = names(&folder)
            .into_iter()
            .map(|name| fs::metadata(folder.join(name)).expect("there").len());
        sizes.sum::<u64>()
    };
    let all: u64 = targets.iter().map(bytes).sum();
    assert!(all < MAX_CORPUS_BYTES, "{all} bytes");
}

/// Inputs that are refused at once test nothing behind that.
#[test]
fn most_rigs_to_save_and_to_redraw_are_rigs() {
    for (target, least) in [("saving", 25), ("redraw", 12)] {
        let folder = fuzz().join("corpus").join(target);
        let texts = names(&folder)
            .into_iter()
            .filter_map(|name| fs::read_to_string(folder.join(name)).ok());
        let read = texts.filter(|text| throughline::rig::read(text, target, &[]).is_ok());
        let count = read.count();
        assert!(count >= least, "{target}: {count}");
    }
}
