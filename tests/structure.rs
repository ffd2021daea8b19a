//! The house's plan: what may lean on what, and how large a room may be.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// What the program has beside the library, each with what it may lean on.
const PROGRAM: [(&str, &[&str]); 7] = [
    ("double_click", &[]),
    ("threads", &[]),
    ("quiet", &[]),
    ("files", &["quiet"]),
    ("desktop", &["quiet"]),
    ("show", &["files", "desktop", "quiet"]),
    ("cli", &["files", "desktop", "show", "quiet"]),
];
const MOST_LINES: usize = 500;

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            if !path.ends_with("fuzz/target") {
                found.extend(sources(&path));
            }
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A source without its tests, which may lean on anything.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).expect("a text");
    let end = text.find("#[cfg(test)]\nmod tests").unwrap_or(text.len());
    text[..end].to_owned()
}

/// The folder of `src`, or the file there, that a source belongs to.
fn room(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).expect("in src");
    let first = inside.iter().next().expect("not empty").to_string_lossy();
    first.trim_end_matches(".rs").to_owned()
}

/// The names behind every `crate::` of a text, whether one by one or in braces.
fn named(text: &str, prefix: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let code: Vec<&str> = text
        .lines()
        .map(|line| line.split("//").next().unwrap_or_default())
        .collect();
    for rest in code.join("\n").split(prefix).skip(1) {
        let list = match rest.strip_prefix('{') {
            Some(list) => list.split('}').next().unwrap_or_default(),
            None => rest.split([';', ',', ')']).next().unwrap_or_default(),
        };
        for item in list.split(',') {
            let name: String = item
                .trim()
                .chars()
                .take_while(|c| c.is_ascii_alphanumeric() || *c == '_')
                .collect();
            names.insert(name);
        }
    }
    names
}

/// Every room, and the rooms that it leans on.
fn house() -> BTreeMap<String, BTreeSet<String>> {
    let mut house: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let files = sources(&root().join("src"));
    for path in &files {
        house.entry(room(path)).or_default();
    }
    for path in &files {
        let text = code(path);
        let own = room(path);
        let mut leans = named(&text, "crate::");
        if own == "main" || PROGRAM.iter().any(|(name, _)| *name == own) {
            // The library is a package of its own to the program.
            leans.extend(named(&text, "throughline::"));
        }
        leans.retain(|name| house.contains_key(name) && *name != own);
        house.entry(own).or_default().extend(leans);
    }
    house
}

/// Rooms that lean on each other in a circle, in the order of the way round.
fn circle(house: &BTreeMap<String, BTreeSet<String>>) -> Option<Vec<String>> {
    fn visit(
        room: &str,
        house: &BTreeMap<String, BTreeSet<String>>,
        way: &mut Vec<String>,
        done: &mut BTreeSet<String>,
    ) -> Option<Vec<String>> {
        if let Some(at) = way.iter().position(|known| known == room) {
            return Some(way[at..].to_vec());
        }
        if !done.insert(room.to_owned()) {
            return None;
        }
        way.push(room.to_owned());
        let found = house[room]
            .iter()
            .find_map(|next| visit(next, house, way, done));
        way.pop();
        found
    }
    let mut done = BTreeSet::new();
    house
        .keys()
        .find_map(|room| visit(room, house, &mut Vec::new(), &mut done))
}

#[test]
fn no_folders_lean_on_each_other_in_a_circle() {
    let house = house();
    assert!(house.len() > 15, "only {} rooms", house.len());
    assert_eq!(circle(&house), None);
    // And a circle would be seen.
    let mut bent = house;
    let below = bent["rig"].iter().next().expect("it stands on something");
    let below = below.clone();
    bent.entry(below.clone())
        .or_default()
        .insert("rig".to_owned());
    let found = circle(&bent).expect("a circle");
    assert!(found.contains(&below) && found.contains(&"rig".to_owned()));
}

#[test]
fn the_program_leans_one_way() {
    let house = house();
    for (room, leans) in &house {
        let program = PROGRAM.iter().find(|(name, _)| name == room);
        let allowed = match (room.as_str(), program) {
            ("main", _) => continue,
            (_, Some((_, allowed))) => *allowed,
            (_, None) => &[],
        };
        for other in PROGRAM.map(|(name, _)| name) {
            assert!(
                !leans.contains(other) || allowed.contains(&other),
                "{room} leans on {other}"
            );
        }
    }
    for (name, _) in PROGRAM {
        assert!(house.contains_key(name), "{name} is gone");
    }
}

#[test]
fn the_library_asks_for_no_file_and_no_window() {
    let program: Vec<&str> = PROGRAM.iter().map(|(name, _)| *name).collect();
    for path in sources(&root().join("src")) {
        let own = room(&path);
        if own == "main" || program.contains(&own.as_str()) {
            continue;
        }
        let text = code(&path);
        for stranger in [
            "std::fs",
            "std::net",
            "std::process",
            "std::env",
            "winit::",
            "wgpu",
            "x11rb",
            "clap::",
        ] {
            assert!(!text.contains(stranger), "{}: {stranger}", path.display());
        }
    }
}

#[test]
fn one_module_alone_has_code_that_nobody_checks() {
    let mut found = Vec::new();
    for path in sources(&root().join("src")) {
        let text = fs::read_to_string(&path).expect("a text");
        let lines: Vec<&str> = text.lines().collect();
        for (at, line) in lines.iter().enumerate() {
            let code = line.split("//").next().unwrap_or_default();
            if !code.contains("unsafe {") && !code.contains("unsafe fn") {
                continue;
            }
            let reason = lines[..at].iter().rev().map(|line| line.trim());
            let mut reason = reason.take_while(|line| line.starts_with("//"));
            let has_reason = reason.any(|line| line.starts_with("// SAFETY: "));
            assert!(has_reason, "{}:{}: no reason", path.display(), at + 1);
            found.push(room_file(&path));
        }
    }
    found.dedup();
    assert_eq!(found, ["desktop/windows/calls.rs"]);
}

fn room_file(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).expect("in src");
    inside.to_string_lossy().replace('\\', "/")
}

#[test]
fn no_file_is_too_long_to_read_at_once() {
    let mut files = sources(&root().join("src"));
    files.extend(sources(&root().join("tests")));
    for path in files {
        let lines = fs::read_to_string(&path).expect("a text").lines().count();
        assert!(lines <= MOST_LINES, "{}: {lines} lines", path.display());
    }
}
