//! The program built without windows, for machines without displays.

#![cfg(not(feature = "desktop"))]

mod commands;

use commands::{folder, run, stderr};

#[test]
fn it_has_all_commands_that_need_no_display() {
    let help = run(&["--help"]);
    let help = String::from_utf8(help.stdout).expect("a text");
    for command in ["screenshot", "seat", "compare", "sheet", "frames", "check"] {
        assert!(help.contains(&format!("\n  {command} ")), "{help}");
    }
    for command in ["show", "displays"] {
        assert!(!help.contains(&format!("\n  {command} ")), "{help}");
        let refused = run(&[command]);
        assert_eq!(refused.status.code(), Some(2));
        let words = stderr(&refused);
        assert!(words.contains("unrecognized subcommand"), "{words}");
    }
}

#[test]
fn it_checks_a_rig_by_itself_and_says_so() {
    let checked = run(&["check", "tram-cab", "--json"]);
    let words = stderr(&checked);
    assert!(words.contains("asks for no displays"), "{words}");
    assert!(
        words.contains("not checked, for want of displays"),
        "{words}"
    );
    let found: serde_json::Value = serde_json::from_slice(&checked.stdout).expect("JSON");
    assert!(found.is_array(), "{found}");
    // A rig of the connected displays can't be made.
    assert_eq!(run(&["check"]).status.code(), Some(2));
}

#[test]
fn it_draws_the_same_pattern() {
    let out = folder("without-windows").join("tram.png");
    let path = out.to_str().expect("a plain name");
    let drawn = run(&["screenshot", "tram-cab", "--out", path]);
    assert!(drawn.status.success(), "{}", stderr(&drawn));
    let size = std::fs::metadata(out).expect("written").len();
    assert!(size > 10_000, "{size} bytes");
}
