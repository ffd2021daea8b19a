//! Saving, killed at random moments: nothing is lost, and nothing stays that the
//! next run doesn't put right.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use throughline::rig::{self, Measure, Rig, SeatQuantity, demos};

use super::needed::Files;
use super::store::Store;

const FOLDER: &str = "THROUGHLINE_KILLED_IN";
const DISTANCE: Measure = Measure::Seat(SeatQuantity::Distance);

fn with_distance(rig: &Rig, distance_mm: f64) -> Rig {
    let mut parts = rig.parts().clone();
    DISTANCE.put(&mut parts, distance_mm);
    Rig::new(parts).expect("still a rig")
}

fn distance_mm(rig: &Rig) -> f64 {
    DISTANCE.get(rig.parts()).expect("every rig has one")
}

fn opened(path: &Path) -> (Rig, Store) {
    let text = fs::read_to_string(path).expect("the rig file is whole");
    let rig = rig::read(&text, "killed", &[]).expect("a rig file");
    let store = Store::new(
        Some(path.to_owned()),
        "killed",
        text,
        &rig,
        &mut Files::new(),
    );
    (rig, store.expect("it writes nothing else"))
}

/// Runs as a process of its own: nudges, journals and saves, a tenth of a
/// millimetre at a time, and says what was journalled and what was saved.
#[test]
#[ignore = "saves without end; the test below starts and kills it"]
fn saves_without_end() {
    let Some(folder) = std::env::var_os(FOLDER) else {
        return;
    };
    let (rig, mut store) = opened(&PathBuf::from(folder).join("r.toml"));
    let first = distance_mm(&rig);
    for number in 1..100_000 {
        let nudged = with_distance(&rig, first + f64::from(number) / 10.0);
        store.note(&nudged).expect("journalled");
        store.flush();
        say(&nudged);
        if number % 3 == 0 {
            store.save(&nudged).expect("saved");
        }
    }
}

fn say(rig: &Rig) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "reached {:?}", distance_mm(rig)).expect("it is read");
    out.flush().expect("it is read");
}

#[test]
fn a_kill_loses_nothing_and_leaves_nothing() {
    let folder = std::env::temp_dir().join(format!("throughline-killed-{}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    let path = folder.join("r.toml");
    let demo = &demos()[1];
    let commented = format!("# A comment that stays\r\n{}", demo.text);
    fs::write(&path, &commented).expect("written");
    let mut had_parts = 0;
    for number in 0..300_u32 {
        let starting = super::STARTING
            .write()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        let mut child = Command::new(std::env::current_exe().expect("this program"))
            .args([
                "--exact",
                "files::killed::saves_without_end",
                "--ignored",
                "--nocapture",
            ])
            .env(FOLDER, &folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("it starts");
        drop(starting);
        let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
        let reached = |line: &str| -> Option<f64> { line.split("reached ").nth(1)?.parse().ok() };
        let mut last = None;
        while last.is_none() {
            last = reached(&lines.next().expect("it begins").expect("a line"));
        }
        // Up to some saves later.
        let micros = number.wrapping_mul(2_654_435_761) >> 12;
        std::thread::sleep(Duration::from_micros(u64::from(micros % 20_000)));
        child.kill().expect("it can be");
        let _ = child.wait();
        for line in lines.map_while(Result::ok) {
            last = reached(&line).or(last);
        }
        let last = last.expect("it began");

        had_parts += usize::from(names(&folder).iter().any(|name| name.ends_with(".part")));
        let (saved, mut store) = opened(&path);
        let found = store.found();
        assert_eq!(store.warnings(), [""; 0]);
        let offered = found.map_or(distance_mm(&saved), |found| {
            assert_eq!(found.numbers.len(), 1);
            found.numbers[0].1
        });
        assert!(
            offered >= last - 1e-9,
            "{last} was journalled, but {offered} is offered after kill {number}"
        );
        // The next run takes it up and saves.
        let taken = with_distance(&saved, offered + 0.1);
        store.note(&taken).expect("journalled");
        store.save(&taken).expect("saved");
        store.close(&taken, false);
        assert_eq!(
            names(&folder),
            ["r.toml", "r.toml.previous"],
            "kill {number}"
        );
        let text = fs::read_to_string(&path).expect("readable");
        assert!(text.starts_with("# A comment that stays\r\n"));
        // Later runs would go out of a desk's range.
        if distance_mm(&taken) > 5_000.0 {
            fs::write(&path, &commented).expect("written");
        }
    }
    assert!(had_parts > 0, "no kill came while a file was half-written");
    let _ = fs::remove_dir_all(folder);
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = entries
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}
