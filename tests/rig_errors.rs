//! Every broken rig file gets its whole message, word for word.
//!
//! Beside `tests/data/broken/NAME.toml` stands `NAME.txt` with the message.
//! `UPDATE_EXPECTED=1 cargo test --test rig_errors` writes the messages anew;
//! read what changed before committing it.

use std::fs;
use std::path::{Path, PathBuf};

use throughline::rig::{self, Place};

const FOLDER: &str = "tests/data/broken";

fn broken_files() -> Vec<PathBuf> {
    let mut files: Vec<_> = fs::read_dir(FOLDER)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files
}

fn file_name(path: &Path) -> &str {
    path.file_name().unwrap().to_str().unwrap()
}

/// The message for a file, or what to complain about.
fn message(path: &Path) -> Result<String, String> {
    let text = fs::read_to_string(path).unwrap();
    match rig::read(&text, file_name(path), &[]) {
        Ok(_) => Err(format!("{} is not broken", path.display())),
        Err(error) => Ok(error.to_string()),
    }
}

#[test]
fn every_broken_file_has_its_message() {
    let update = std::env::var_os("UPDATE_EXPECTED").is_some();
    let files = broken_files();
    assert!(files.len() >= 40, "only {} broken files", files.len());
    let mut wrong = Vec::new();
    for path in &files {
        let expected_path = path.with_extension("txt");
        match message(path) {
            Err(complaint) => wrong.push(complaint),
            Ok(message) if update => fs::write(expected_path, message + "\n").unwrap(),
            Ok(message) => {
                let expected = fs::read_to_string(&expected_path).unwrap_or_default();
                if expected.trim_end_matches('\n') != message {
                    wrong.push(format!("expected: {expected}   found: {message}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn messages_are_one_line_with_a_place_and_a_remedy() {
    for path in broken_files() {
        let message = message(&path).unwrap();
        assert_eq!(message.lines().count(), 1, "{message}");
        let place_and_text = message.strip_prefix(&format!("{}:", file_name(&path)));
        let mut parts = place_and_text.unwrap_or("").splitn(3, ':');
        for what in ["line", "column"] {
            let number = parts.next().and_then(|p| p.parse::<usize>().ok());
            assert!(number.is_some_and(|n| n > 0), "no {what} in {message}");
        }
        let text = parts.next().unwrap_or("");
        assert!(
            text.contains(": ") || text.ends_with('?'),
            "no remedy in {message}"
        );
    }
}

#[test]
fn every_place_is_in_the_text() {
    for path in broken_files() {
        let text = fs::read_to_string(&path).unwrap();
        let error = rig::read(&text, "a rig", &[]).unwrap_err();
        let Place::Text { line, column } = *error.place() else {
            panic!("{error} has no place");
        };
        let Some(told) = text.split('\n').nth(line - 1) else {
            panic!("{error}: there is no such line");
        };
        assert!((1..=told.chars().count() + 1).contains(&column), "{error}");
    }
}

/// A sound rig of one panel with `more` at its end.
fn one_panel(more: &str) -> String {
    format!(
        "format = 1\nname = \"x\"\n[seat]\nview = \"a/1\"\ndistance_mm = 700\n\
         [[panel]]\nname = \"a\"\npixels = [1920, 1080]\ndiagonal_in = 24\n{more}"
    )
}

fn error_of(text: &str) -> String {
    rig::read(text, "file", &[]).unwrap_err().to_string()
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_change_nothing() {
    let plain = one_panel("tilt_deg = 3\n");
    let windows = format!("\u{feff}{}", plain.replace('\n', "\r\n"));
    assert_eq!(
        rig::read(&windows, "file", &[]),
        rig::read(&plain, "file", &[])
    );

    let broken = one_panel("tilt_deg = 300\n");
    let windows = format!("\u{feff}{}", broken.replace('\n', "\r\n"));
    assert_eq!(error_of(&windows), error_of(&broken));
    assert!(error_of(&broken).starts_with("file:10:12: "));
    // The mark stands before the first character and is none itself.
    assert!(error_of("\u{feff}format = 2").starts_with("file:1:10: "));
}

#[test]
fn columns_count_characters() {
    let text = one_panel("refresh_hz = 60\n").replace("name = \"x\"", "name = \"Fähre 渡\"; y");
    assert!(
        error_of(&text).starts_with("file:2:17: "),
        "{}",
        error_of(&text)
    );
}

#[test]
fn a_text_over_one_mebibyte_is_refused_and_one_below_is_not() {
    let padding = |bytes: usize| format!("# {}\n", "x".repeat(bytes - 3));
    let rest = rig::MAX_TEXT_BYTES - one_panel("").len();
    assert!(rig::read(&one_panel(&padding(rest)), "file", &[]).is_ok());
    assert_eq!(
        error_of(&one_panel(&padding(rest + 1))),
        "file: this is longer than 1024 KiB, the most a rig file has: is it the right file?"
    );
}

#[test]
fn deep_nesting_is_refused_at_its_place() {
    let brackets = format!("x = {}1{}", "[".repeat(200_000), "]".repeat(200_000));
    assert!(error_of(&one_panel(&brackets)).starts_with("file:10:13: more than 8 brackets"));

    // Long dotted keys within brackets multiply the depth.
    let path = ["a"; 79].join(".");
    let dotted = format!(
        "x = {}1{}",
        format!("{{ {path} = ").repeat(60),
        "}".repeat(60)
    );
    assert!(error_of(&one_panel(&dotted)).contains("more than 8 brackets"));
    let dotted = format!(
        "x = {}1{}",
        format!("{{ {path} = ").repeat(8),
        "}".repeat(8)
    );
    assert!(error_of(&one_panel(&dotted)).contains("unknown key `x`"));

    let long = ["a"; 200].join(".");
    assert!(error_of(&one_panel(&format!("{long} = 1"))).contains("recursion limit"));

    // Brackets in strings and comments do not count.
    let text = one_panel("# [[[[[[[[[[[[\n").replace("\"x\"", "\"[[[[[[[[[[[[\"");
    assert!(rig::read(&text, "file", &[]).is_ok());
}

/// A quarter mebibyte that repeats a piece; `#` in it is a counter.
fn repeated(head: &str, piece: &str) -> String {
    let mut text = head.to_owned();
    for count in 0.. {
        let next = piece.replace('#', &count.to_string());
        if text.len() + next.len() > rig::MAX_TEXT_BYTES / 4 {
            break;
        }
        text.push_str(&next);
    }
    text
}

#[test]
fn no_long_text_takes_long() {
    let texts = [
        repeated("format = 1\nname = 'x'\n", "k# = 1\n"),
        repeated("format = 1\nname = 'x'\n", "[[panel]]\n"),
        repeated("format = 1\nname = 'x'\n", "[[panel]]\nname='#'\n"),
        repeated("format = 1\nname = 'x'\n[[panel]]\n", "k# = 1\n"),
        repeated("format = 1\nname = 'x'\n[[panel]]\n", "bezel_mm.k# = 1\n"),
        repeated("format = 1\nname = 'x'\n", "[a#.b.c.d]\n"),
        repeated("format = 1\nname = 'x'\n", "a.b.c.d.k# = 1\n"),
        repeated("format = 1\nname = 'x'\nx = [", "1,"),
        repeated("format = 1\nname = 'x'\n", "[a.b.c]\n"),
        repeated("format = 1\nname = 'x'\n", "["),
        repeated("format = 1\nname = 'x'\n", "\"\n"),
        repeated("format = 1\nname = 'x'\n", "{}"),
        repeated("format = ", "9"),
        repeated("format = 1\nname = 'x'\n[seat]\ndistance_mm = ", "9"),
        repeated("format = 1\nname = 'x'\n[seat]\ndistance_mm = 0.", "0"),
        repeated("", "k"),
        repeated("format = 1\nname = \"", "\\u00e9"),
    ];
    for text in texts {
        let start = std::time::Instant::now();
        let message = error_of(&text);
        let head: String = text.chars().take(40).collect();
        // Far above what it takes, far below what a quadratic step takes.
        assert!(
            start.elapsed().as_secs() < 5,
            "{head:?}: {:?}",
            start.elapsed()
        );
        assert!(message.chars().count() < 500, "{head:?}: {message}");
    }
}
