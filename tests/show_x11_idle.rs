//! `show` while nothing changes: it uses no processor.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::thread;
use std::time::Duration;

use lab::picture::expected;
use lab::show::{PANELS, start, write_rig};
use lab::x11::{PARTS, Server, THREE};
use lab::{PROGRAM, Process, folder, has_parts, poll, turn};

#[test]
fn an_idle_show_uses_no_processor() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("idle");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let mut show = start(server.command(PROGRAM), &rig, &["--seconds", "60"]);
    server.wait_for(&wanted);
    thread::sleep(Duration::from_secs(2));
    rests(show.process.inner_id());
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// Words that stay, that this is a guess, wait for nothing; those that greet go.
#[test]
fn words_that_stay_use_no_processor() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("idle-words");
    let server = Server::start(&folder, &THREE);
    let mut command = server.command(PROGRAM);
    command.arg("show").current_dir(&folder);
    command.env("XDG_STATE_HOME", folder.join("state"));
    let mut process = Process::start(&mut command, &folder.join("show.log"));
    let [x, y, ..] = PANELS[1];
    poll("words are there", || {
        server.screenshot().lit(PANELS[1]) > 10_000
    });
    // Time for the greeting to be there, and none for it to go.
    thread::sleep(Duration::from_secs(2));
    let greeted = server.screenshot();
    poll("the greeting goes", || {
        server.screenshot().differing(PANELS[1], &greeted, [x, y]) > 1000
    });
    thread::sleep(Duration::from_secs(1));
    let alone = server.screenshot();
    rests(process.inner_id());
    assert_eq!(server.screenshot().differing(PANELS[1], &alone, [x, y]), 0);
    server.keys(&["q"]);
    assert_eq!(process.wait(), 0);
}

fn rests(process: u32) {
    let before = processor_ms(process);
    thread::sleep(Duration::from_secs(5));
    let used = processor_ms(process) - before;
    assert!(used <= 100, "{used} ms of processor time in 5 s");
}

/// Processor time of a process so far; the kernel counts in hundredths.
fn processor_ms(id: u32) -> u64 {
    let stat = fs::read_to_string(format!("/proc/{id}/stat")).expect("it runs");
    // proc(5): the name in brackets may hold blanks; utime and stime are 14 and 15.
    let (_, rest) = stat.rsplit_once(')').expect("a name in brackets");
    let fields: Vec<&str> = rest.split_whitespace().collect();
    let ticks = |index: usize| fields[index - 3].parse::<u64>().expect("a number");
    (ticks(14) + ticks(15)) * 10
}
