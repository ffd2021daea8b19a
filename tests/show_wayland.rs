//! `show` on Wayland: one full-screen window on each output.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::path::Path;

use lab::picture::{Picture, expected};
use lab::show::{PANELS, start, write_rig};
use lab::wayland::{Compositor, KWIN_PARTS, SWAY_PARTS};
use lab::{folder, has_parts, poll, turn};

#[test]
fn sway_shows_a_panel_on_each_output() {
    let _turn = turn();
    if !has_parts(&SWAY_PARTS) {
        return;
    }
    let folder = folder("sway");
    let rig = write_rig(&folder);
    let wanted = expected(&rig, &[]);
    // No places are told on Wayland, so sizes and order count.
    let outputs = [
        ([1280, 720], [0, 300]),
        ([1600, 900], [1280, 120]),
        ([720, 1280], [2880, 0]),
    ];
    let sway = Compositor::sway(&folder, &outputs);
    let program = sway.command(lab::PROGRAM);
    let mut show = start(program, &rig, &["--seconds", "100"]);
    for (index, [x, y, w, h]) in PANELS.into_iter().enumerate() {
        poll("the output shows its panel", || {
            let shown = sway.screenshot(index + 1).expect("grim works");
            assert_eq!(shown.size, [w, h]);
            shown.differing([0, 0, w, h], &wanted, [x, y]) == 0
        });
    }
    assert!(!show.said().contains("throughline:"), "{}", show.said());
    // A key reaches it, and the picture follows.
    sway.key("Next");
    poll("the change is presented", || {
        show.said().contains("change presented")
    });
    sway.key("q");
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// Three displays of one size, of which the middle one is scaled: only their places,
/// which are not in pixels, tell which shows which panel.
#[test]
fn sways_scaled_displays_keep_their_order() {
    let _turn = turn();
    if !has_parts(&SWAY_PARTS) {
        return;
    }
    let folder = folder("sway-scaled");
    let rig = folder.join("three.toml");
    let panel = |name: &str, x: i32| {
        format!(
            "[[panel]]\nname = \"{name}\"\npixels = [1280, 720]\ndiagonal_in = 24.0\n\
             desktop_px = [{x}, 0]\n"
        )
    };
    let text = format!(
        "format = 1\nname = \"Three\"\n[seat]\nview = \"two/1\"\ndistance_mm = 700.0\n{}{}{}\
         [[seam]]\nangle_deg = 30.0\n[[seam]]\nangle_deg = 40.0\n",
        panel("one", -1280),
        panel("two", 0),
        panel("three", 1280)
    );
    fs::write(&rig, text).expect("the test's folder can be written");
    let wanted = expected(&rig, &[]);
    let outputs = [0, 1280, 1920].map(|x| ([1280, 720], [x, 0]));
    let sway = Compositor::sway_scaled(&folder, &outputs, &["1", "2", "1"]);
    let mut command = sway.command(lab::PROGRAM);
    command.args(["displays", "--json"]);
    let listed = lab::run(&mut command).expect("displays are listed");
    let listed: serde_json::Value = serde_json::from_str(&listed).expect("JSON");
    for (index, (_, place)) in outputs.iter().enumerate() {
        assert_eq!(listed[index]["name"], format!("HEADLESS-{}", index + 1));
        assert_eq!(listed[index]["position_px"], serde_json::json!(place));
    }
    let mut show = start(sway.command(lab::PROGRAM), &rig, &["--seconds", "100"]);
    let sides = [(1, 0), (2, 1280), (3, 2560)];
    for (output, x) in sides {
        poll("the output shows its panel", || {
            let shown = sway.screenshot(output).expect("grim works");
            shown.size == [1280, 720] && shown.differing([0, 0, 1280, 720], &wanted, [x, 0]) == 0
        });
    }
    assert!(!show.said().contains("throughline:"), "{}", show.said());
    sway.key("q");
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn kwin_shows_pixel_for_pixel_at_a_fractional_scale() {
    let _turn = turn();
    if !has_parts(&KWIN_PARTS) {
        return;
    }
    let folder = folder("kwin");
    let rig = two_panels(&folder);
    let wanted = expected(&rig, &[]);
    // KWin takes the size before scaling: 1200 × 750 at 1.5 is 1800 × 1125.
    let kwin = Compositor::kwin(&folder, [1200, 750], "1.5", 2);
    let arguments = ["--seconds", "12", "--capture", "shown.png"];
    let mut show = start(kwin.command(lab::PROGRAM), &rig, &arguments);
    poll("the compositor shows every pixel as it is", || {
        let Some(shown) = kwin.kwin_screenshot() else {
            return false;
        };
        assert_eq!(shown.size, [3600, 1125]);
        let differing = shown.differing([0, 0, 3600, 1125], &wanted, [0, 0]);
        eprintln!("pixels that differ so far: {differing}");
        differing == 0
    });
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert!(!show.said().contains("throughline:"), "{}", show.said());
    let shown = Picture::read(&folder.join("shown.png"));
    assert_eq!(shown.size, [3600, 1125]);
    assert_eq!(shown.differing([0, 0, 3600, 1125], &wanted, [0, 0]), 0);
}

fn two_panels(folder: &Path) -> std::path::PathBuf {
    let rig = folder.join("two.toml");
    let panel = |name: &str| {
        format!("[[panel]]\nname = \"{name}\"\npixels = [1800, 1125]\ndiagonal_in = 24.0\n")
    };
    let text = format!(
        "format = 1\nname = \"Two\"\n[seat]\nview = \"one/1\"\ndistance_mm = 700.0\n{}{}\
         [[seam]]\nangle_deg = 30.0\n",
        panel("one"),
        panel("two")
    );
    fs::write(&rig, text).expect("the test's folder can be written");
    rig
}
