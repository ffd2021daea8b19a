//! Files on Windows' terms, under wine: what another program holds open isn't replaced,
//! is not lost, and is said.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;

use lab::show::{start_named, write_rig};
use lab::wine::{Wine, windows_path};
use lab::x11::{PARTS, Server, THREE};
use lab::{folder, has_parts, poll, turn};

#[test]
fn a_file_that_an_editor_holds_is_saved_once_it_is_let_go() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let Some(wine) = Wine::get() else {
        return;
    };
    let folder = folder("windows-held");
    let server = Server::start(&folder, &THREE);
    let rig = write_rig(&folder);
    let before = fs::read_to_string(&rig).expect("there");

    // A command says it and leaves nothing behind.
    let out = folder.join("p.png");
    fs::write(&out, "stood there before").expect("written");
    let mut editor = wine.hold(&server, &out);
    let arguments = ["screenshot", "tram-cab", "--out", &windows_path(&out)];
    let output = wine.output(None, &folder, &arguments);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    let way_out = "if another program has it open, close it there";
    assert!(
        said.contains(way_out) && said.lines().count() == 1,
        "{said}"
    );
    assert_eq!(fs::read(&out).expect("there"), b"stood there before");
    let entries = fs::read_dir(&folder).expect("the test's folder").flatten();
    let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    assert!(names.into_iter().all(|name| !name.ends_with(".part")));
    editor.kill_at_once();

    // `show` keeps the nudge and saves it later.
    let program = wine.program(Some(&server));
    let mut show = start_named(program, &rig, &windows_path(&rig), &[]);
    let mut editor = wine.hold(&server, &rig);
    poll("the save is refused", || {
        server.keys(&["Prior", "s"]);
        std::thread::sleep(std::time::Duration::from_secs(2));
        show.said().contains(way_out)
    });
    assert_eq!(show.rig_text(), before);
    editor.kill_at_once();
    poll("the nudge is saved", || {
        server.keys(&["s"]);
        std::thread::sleep(std::time::Duration::from_secs(1));
        show.rig_text() != before
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}
