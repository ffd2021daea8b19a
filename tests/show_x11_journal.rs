//! What `show` does with files of earlier runs that are not as they should be.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;

use lab::picture::expected_first;
use lab::show::{PANELS, start, write_rig};
use lab::x11::{PARTS, Server, THREE};
use lab::{PROGRAM, folder, has_parts, poll, turn};

#[test]
fn a_damaged_journal_is_kept_and_told_of_and_nudges_survive_a_kill() {
    let _turn = turn();
    let mut parts = PARTS.to_vec();
    parts.push("openbox");
    if !has_parts(&parts) {
        return;
    }
    let folder = folder("damaged");
    let rig = write_rig(&folder);
    let journal = rig.with_extension("toml.nudges");
    // As a power cut leaves it.
    fs::write(&journal, [0; 200]).expect("written");
    let wanted = expected_first(&rig, &[]);
    let server = Server::start(&folder, &THREE);
    let _manager = server.start_manager("openbox", &[]);
    let mut show = start(server.command(PROGRAM), &rig, &[]);
    let kept = rig.with_extension("toml.nudges.damaged-1");
    poll("it is told of", || {
        show.said().contains("can't be read") && show.said().contains("toml.nudges.damaged-1")
    });
    assert_eq!(fs::read(&kept).expect("kept"), [0; 200]);
    // On the glass, too: words lie over the pattern of the facing panel.
    let [x, y, ..] = PANELS[1];
    poll("the words are on the glass", || {
        server.screenshot().differing(PANELS[1], &wanted, [x, y]) > 500
    });
    server.keys(&["Prior", "Right", "Up"]);
    poll("the nudges are journalled", || {
        fs::read_to_string(&journal).is_ok_and(|text| text.contains("seam.1.gap_mm 14.1"))
    });
    show.process.kill_at_once();

    let before = fs::read_to_string(&rig).expect("there");
    let mut again = start(server.command(PROGRAM), &rig, &[]);
    server.keys(&["Return", "s"]);
    poll("the nudges are saved", || again.rig_text() != before);
    let text = again.rig_text();
    assert!(text.contains("angle_deg = 40.5 ") && text.contains("gap_mm = 14.1"));
    assert!(kept.exists());
    server.keys(&["q"]);
    assert_eq!(again.process.wait(), 0, "{}", again.said());
}

#[test]
fn a_name_without_room_for_the_previous_file_is_told_of_beforehand() {
    let _turn = turn();
    if !has_parts(&PARTS) {
        return;
    }
    let folder = folder("long-name");
    let rig = write_rig(&folder);
    let long = folder.join(format!("{}.toml", "r".repeat(245)));
    fs::rename(&rig, &long).expect("a long name");
    let before = fs::read(&long).expect("there");
    let server = Server::start(&folder, &THREE);
    let mut command = server.command(PROGRAM);
    command.env("XDG_STATE_HOME", folder.join("state"));
    let mut show = start(command, &long, &[]);
    poll("it is told of", || {
        show.said().contains("leaves no room for \".previous\"")
    });
    server.keys(&["Prior", "s"]);
    poll("saving is refused in a sentence", || {
        show.said().contains("not saved")
    });
    assert_eq!(fs::read(&long).expect("there"), before);
    // The nudge is in the journal of the user's state folder.
    poll("the nudge is journalled elsewhere", || {
        let state = fs::read_dir(folder.join("state/throughline"));
        state.is_ok_and(|mut entries| entries.next().is_some())
    });
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}
