//! The examples that each command's help ends with, typed as they stand there.

#![cfg(all(feature = "desktop", unix))]

mod commands;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use commands::{PROGRAM, folder, program, run, stderr};

/// What has to be there: a rig, readings, pictures before and after, photographs.
fn laid_out(folder: &Path) {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("rigs");
    for (from, to) in [
        ("tram-cab.toml", "my-rig.toml"),
        ("tram-cab.readings.json", "my-rig.readings.json"),
    ] {
        fs::copy(source.join(from), folder.join(to)).expect("copied");
    }
    let made = |line: &str| {
        let output = typed(folder, line);
        assert_eq!(output.status.code(), Some(0), "{line}: {}", stderr(&output));
    };
    made("throughline screenshot my-rig.toml --out before.png");
    made("throughline screenshot my-rig.toml --set seam.1.gap_mm=3 --out after.png");
    made("throughline screenshot my-rig.toml --layers marks --out marks.png");
    for (name, eye) in [
        ("eye", "0,0,0"),
        ("left", "-350,20,250"),
        ("right", "350,-10,250"),
    ] {
        made(&format!(
            "throughline seat my-rig.toml --picture marks.png --look-deg 0,0 --fov-deg 83 \
             --projection rectilinear --size 2400x1700 --eye={eye} --out {name}.png"
        ));
        as_photograph(&folder.join(format!("{name}.png")));
    }
    made("throughline screenshot my-rig.toml --layers motion --out strips.png");
    as_photograph(&folder.join("strips.png"));
}

fn as_photograph(path: &Path) {
    let picture = image::open(path).expect("a picture").into_luma8();
    picture
        .save(path.with_extension("jpg"))
        .expect("it can be packed");
}

/// A line typed into a shell in a folder, without any display.
fn typed(folder: &Path, line: &str) -> Output {
    let mut shell = Command::new("sh");
    // Not everybody has a manual reader.
    let line = line.replace("man -l -", "cat");
    shell.args(["-e", "-c", &line]).current_dir(folder);
    let programs = Path::new(PROGRAM).parent().expect("a folder");
    let path = std::env::var("PATH").expect("set");
    shell.env("PATH", format!("{}:{path}", programs.display()));
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        shell.env_remove(name);
    }
    shell.output().expect("it starts")
}

#[test]
fn every_example_does_what_it_says() {
    let folder = folder("help-examples");
    laid_out(&folder);
    let list = String::from_utf8(run(&["manual", "--list"]).stdout).expect("text");
    for command in list.lines() {
        let help = program().args([command, "--help"]).output();
        let help = String::from_utf8(help.expect("it starts").stdout).expect("text");
        let (_, examples) = help.split_once("\nExamples:\n").expect(command);
        let mut lines = examples.lines();
        while let Some(line) = lines.next() {
            let gives = lines.next().expect("what it gives");
            assert!(gives.starts_with("      "), "{line}: {gives}");
            assert!(line.len() < 80, "{line}");
            let line = line.trim();
            assert!(
                line.starts_with(&format!("throughline {command} ")),
                "{line}"
            );
            let output = typed(&folder, line);
            let said = stderr(&output);
            if ["displays", "show"].contains(&command) || line.contains("--measure") {
                // There is none here; what stands in the line was understood.
                assert!(said.contains("display"), "{line}: {said}");
                assert!(!said.contains("--help"), "{line}: {said}");
                continue;
            }
            assert_eq!(output.status.code(), Some(0), "{line}: {said}");
            for name in written_by(line) {
                let length = fs::metadata(folder.join(name)).map(|known| known.len());
                assert!(length.is_ok_and(|length| length > 100), "{line}: {name}");
            }
        }
    }
}

/// The files that a line names to be written.
fn written_by(line: &str) -> impl Iterator<Item = &str> {
    let words: Vec<&str> = line.split(' ').collect();
    let names: Vec<&str> = words
        .windows(2)
        .filter(|pair| ["--out", "--plan", ">"].contains(&pair[0]))
        .map(|pair| pair[1])
        .collect();
    names.into_iter()
}
