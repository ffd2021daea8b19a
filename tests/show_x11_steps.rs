//! README's six steps, word by word, by somebody who has never seen the program: on an
//! X server with three displays, in an empty folder.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::path::Path;
use std::process::Output;

use lab::x11::{PARTS, Server, THREE};
use lab::{folder, has_parts, poll, turn};
use throughline::rig;

const README: &str = include_str!("../README.md");

/// The lines to type, in their order.
fn lines() -> Vec<&'static str> {
    let (_, steps) = README
        .split_once("\n## Fifteen minutes to straight lines\n")
        .expect("it opens with the steps");
    let (steps, _) = steps.split_once("\n## ").expect("more comes");
    for step in 1..=6 {
        assert!(steps.contains(&format!("\n**{step}. ")), "step {step}");
    }
    let blocks = steps.split("```text\n").skip(1);
    blocks
        .flat_map(|block| block.split("```").next().expect("closed").lines())
        .collect()
}

/// Types a line in a folder, to its end.
fn typed(server: &Server, folder: &Path, line: &str) -> Output {
    let mut words = line.split(' ');
    assert_eq!(words.next(), Some("throughline"), "{line}");
    let mut command = server.command(lab::PROGRAM);
    command.args(words).current_dir(folder);
    command.output().expect("it starts")
}

fn text(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Writes a value over a guess: the given occurrence of a key at a line's beginning.
fn measured(text: &mut String, key: &str, nth: usize, line: &str) {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let begins = format!("{key} = ");
    let mut found = lines.iter_mut().filter(|line| line.starts_with(&begins));
    *found.nth(nth).unwrap_or_else(|| panic!("{key} {nth}")) = line.to_owned();
    *text = lines.join("\n") + "\n";
}

/// Under TAPE, what it reads at the first seam, and what a degree more adds.
fn tape(sheet: &str) -> [f64; 2] {
    let (_, table) = sheet.split_once("\nTAPE ").expect("a table");
    let row = table.lines().nth(3).expect("the first seam's");
    let mut numbers = row
        .split_whitespace()
        .rev()
        .map(|word| word.parse().expect("a number"));
    let [degree_more, level] = [(); 2].map(|()| numbers.next().expect("in the row"));
    [level, degree_more]
}

#[test]
fn the_six_steps_lead_from_nothing_to_a_saved_rig() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("steps");
    let server = Server::start(&folder, &THREE);
    let _manager = server.start_manager("openbox", &[]);
    let mut lines = lines().into_iter();
    let mut next = |wanted: &str| {
        let line = lines.next().expect("a line");
        assert!(line.starts_with(&format!("throughline {wanted}")), "{line}");
        line
    };

    // 1. List the displays.
    let output = typed(&server, &folder, next("displays"));
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let rig_file = folder.join("my-rig.toml");
    let mut file = fs::read_to_string(&rig_file).expect("written");
    assert!(file.contains("guessed"));

    // 2. Measure: what a tape says of a bench that nobody has described yet. The first
    // fold is wrong by three degrees, since there is no protractor.
    let folds_deg = [40.0, 45.0];
    for (panel, diagonal) in [21.5, 24.0, 21.5].into_iter().enumerate() {
        if file.matches("\ndiagonal_in = ").count() == 3 {
            measured(
                &mut file,
                "diagonal_in",
                panel,
                &format!("diagonal_in = {diagonal}"),
            );
        }
        let bezel = "bezel_mm = { left = 7, right = 7, top = 7, bottom = 12 }";
        measured(&mut file, "bezel_mm", panel, bezel);
    }
    for (seam, fold_deg) in [folds_deg[0] + 3.0, folds_deg[1]].into_iter().enumerate() {
        measured(&mut file, "angle_deg", 0, &format!("fold_deg = {fold_deg}"));
        measured(&mut file, "gap_mm", seam, "gap_mm = 2");
        measured(&mut file, "step_mm", seam, "step_mm = 0");
        measured(&mut file, "rise_mm", seam, "rise_mm = 4");
    }
    measured(&mut file, "distance_mm", 0, "distance_mm = 680");
    measured(&mut file, "height_mm", 0, "height_mm = 25");
    measured(&mut file, "offset_mm", 0, "offset_mm = 0");
    fs::write(&rig_file, &file).expect("ours");
    let output = typed(&server, &folder, next("sheet"));
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let [should, degree_more] = tape(&text(&output));
    let settings = [("seam.1.fold_deg".to_owned(), folds_deg[0].to_string())];
    let glass = rig::read(&file, "bench", &settings).expect("a sound rig");
    let reads = glass.layout().outer_mm(0);
    let fold_deg = folds_deg[0] + 3.0 + (reads - should) / degree_more;
    assert!((fold_deg - folds_deg[0]).abs() < 0.15, "{fold_deg}");
    measured(
        &mut file,
        "fold_deg",
        0,
        &format!("fold_deg = {fold_deg:.1}"),
    );
    fs::write(&rig_file, &file).expect("ours");

    // 3. Check.
    let output = typed(&server, &folder, next("check"));
    assert_eq!(output.status.code(), Some(0), "{}", text(&output));

    // 4. Show; 5. read; 6. save.
    let words: Vec<&str> = next("show").split(' ').skip(1).collect();
    assert_eq!(words, ["show", "my-rig.toml"]);
    let command = server.command(lab::PROGRAM);
    let mut show = lab::show::start_named(command, &rig_file, "my-rig.toml", &[]);
    server.keys(&["End", "Right", "Up", "Up", "s"]);
    poll("the nudges are saved", || {
        fs::read_to_string(&rig_file).is_ok_and(|now| now != file)
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    let saved = fs::read_to_string(&rig_file).expect("there");
    let changed = saved
        .lines()
        .zip(file.lines())
        .filter(|(now, before)| now != before);
    assert_eq!(changed.count(), 1, "{saved}");
    let output = typed(&server, &folder, next("sheet"));
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(text(&output).contains("ONE CAMERA A SCREEN"));
    assert_eq!(lines.next(), None);
}
