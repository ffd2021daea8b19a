//! What `show` says over the pattern, where it says it, and when.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::thread;
use std::time::Duration;

use lab::picture::{Picture, expected_layers};
use lab::show::{PANELS, RIG, Show};
use lab::x11::{Server, THREE, showing};
use lab::{poll, turn};
use throughline::glass::Drawing;
use throughline::nudging::{Console, Nudging};
use throughline::pattern::{Choices, Layers};
use throughline::rig;

/// The pattern without words, which are on before and after.
fn bare(server: &Server) -> Picture {
    server.keys(&["o"]);
    thread::sleep(Duration::from_millis(1500));
    let bare = server.screenshot();
    server.keys(&["o"]);
    bare
}

#[test]
fn words_stand_in_the_facing_view_and_hide_no_text() {
    let _turn = turn();
    let text = RIG
        .replace("view = \"middle/1\"", "view = \"middle/2\"")
        .replace(
            "pixels = [1600, 900]\n",
            "pixels = [1600, 900]\nviews = 2\n",
        );
    let Some((server, _manager, mut show)) = showing("place", &text, &THREE, &[]) else {
        return;
    };
    // The right one of the middle panel's two views.
    let [x, y, w, h] = PANELS[1];
    let view = [x + w / 2, y, w / 2, h];
    let wanted = bare(&server);
    poll("words are in the view", || {
        server.screenshot().differing(view, &wanted, [view[0], y]) > 500
    });
    let shown = server.screenshot();
    assert_eq!(shown.differing([x, y, w / 2, h], &wanted, [x, y]), 0);
    let rig = rig::read(&text, "bench", &[]).expect("a rig");
    let console = Console::new(Nudging::new(rig.clone(), Layers::ALL), Vec::new());
    let choices = Choices {
        ladders: console.ladders(),
        ..Choices::default()
    };
    let drawing = Drawing::new(&rig, Layers::ALL, choices, None);
    assert!(drawing.to_be_seen().count() > 50);
    let hidden = drawing.to_be_seen().filter(|seen| {
        let [x, y, w, h] = [seen.x, seen.y, seen.w, seen.h].map(|n| n as usize);
        shown.differing([x, y, w, h], &wanted, [x, y]) > 0
    });
    assert_eq!(hidden.count(), 0, "texts are hidden");
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn complaints_are_put_away_until_they_change() {
    let _turn = turn();
    // The upright display is one row short of its panel.
    let mut outputs = THREE;
    outputs[2].0 = [720, 1279];
    let Some((server, _manager, mut show)) = showing("away", RIG, &outputs, &[]) else {
        return;
    };
    let wanted = bare(&server);
    let [x, y, ..] = PANELS[1];
    let words = || server.screenshot().differing(PANELS[1], &wanted, [x, y]);
    poll("they come back", || words() > 500);
    thread::sleep(Duration::from_millis(10_500));
    let complaints = words();
    assert!(complaints > 500, "the complaint stands alone");
    server.keys(&["d", "o", "o"]);
    // The key's own words are there for a while; the complaint isn't.
    poll("the words go and leave nothing", || words() == 0);
    // In another mode of that display, there is another complaint.
    outputs[2].0 = [720, 1270];
    server.add_mode(2, outputs[2].0);
    server.set_outputs(&outputs);
    thread::sleep(Duration::from_millis(2500));
    poll("another complaint comes", || words() > 500);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn what_saving_did_is_said_with_the_words_off() {
    let _turn = turn();
    let Some((server, _manager, mut show)) = showing("answer", RIG, &THREE, &[]) else {
        return;
    };
    server.keys(&["Prior", "o"]);
    // The guides are the loaded rig's, so that no other command draws this picture.
    poll("it is on the glass", || {
        show.said().contains("change presented")
    });
    thread::sleep(Duration::from_millis(1500));
    let nudged = server.screenshot();
    let words = || {
        let [x, y, ..] = PANELS[1];
        server.screenshot().differing(PANELS[1], &nudged, [x, y])
    };
    server.keys(&["s"]);
    poll("it is said", || words() > 500);
    assert!(show.rig_text().contains("angle_deg = 40.5 "));
    server.keys(&["Escape"]);
    poll("the next key takes it away", || words() == 0);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn a_held_key_is_one_step_back() {
    let _turn = turn();
    let Some((server, _manager, mut show)) = showing("held", RIG, &THREE, &[]) else {
        return;
    };
    let journal = show.rig.with_extension("toml.nudges");
    let last = || {
        let text = fs::read_to_string(&journal).unwrap_or_default();
        text.lines().last().unwrap_or_default().to_owned()
    };
    server.keys(&["Up"]);
    poll("a step", || last() == "seam.1.angle_deg 40.05");
    server.xdotool(&["keydown", "Up"]).expect("held");
    poll("many steps", || {
        let text = fs::read_to_string(&journal).unwrap_or_default();
        text.lines().count() > 6
    });
    server.xdotool(&["keyup", "Up"]).expect("let go");
    server.keys(&["BackSpace"]);
    poll("all of the held key's are undone, and no others", || {
        last() == "seam.1.angle_deg 40.05"
    });
    server.keys(&["BackSpace"]);
    poll("so is the one before", || last() == "seam.1.angle_deg 40.0");
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

#[test]
fn an_edited_rig_file_is_noticed_and_shown_and_no_nudge_is_lost() {
    let _turn = turn();
    let Some((server, _manager, mut show)) = showing("edited", RIG, &THREE, &[]) else {
        return;
    };
    let journal = show.rig.with_extension("toml.nudges");
    server.keys(&["Right", "Prior"]);
    poll("the nudge is journalled", || {
        fs::read_to_string(&journal).is_ok_and(|text| text.contains("seam.1.gap_mm 15.0"))
    });
    let notices = |show: &Show| show.said().matches("was changed by someone else").count();
    assert_eq!(notices(&show), 0);
    // What is no rig is told of, and changes nothing.
    fs::write(&show.rig, "format = 1\n").expect("written");
    poll("it is told", || notices(&show) == 1);
    assert!(show.said().contains("and is not shown"), "{}", show.said());
    let edited = RIG.replace("angle_deg = 45.0", "angle_deg = 50.0");
    fs::write(&show.rig, &edited).expect("written");
    poll("it is noticed", || notices(&show) == 2);
    let before = server.screenshot();
    server.keys(&["Return"]);
    // The nudge is on offer again, over the file's rig.
    let [x, y, ..] = PANELS[2];
    poll("the file's rig is shown", || {
        server.screenshot().differing(PANELS[2], &before, [x, y]) > 100
    });
    server.keys(&["Return", "s"]);
    poll("both are in the file", || {
        let text = show.rig_text();
        text.contains("angle_deg = 50.0") && text.contains("gap_mm = 15.0")
    });
    let previous = show.rig.with_extension("toml.previous");
    assert_eq!(fs::read_to_string(previous).expect("kept"), edited);

    // Turned down, the other's text is kept when it is saved over.
    let others = show.rig_text().replace("15.0", "17.0");
    fs::write(&show.rig, &others).expect("written");
    poll("it is noticed again", || notices(&show) == 3);
    server.keys(&["Delete", "Prior", "s"]);
    poll("it is saved over", || {
        show.rig_text().contains("gap_mm = 16.0")
    });
    let other = show.rig.with_extension("toml.other-1");
    assert_eq!(fs::read_to_string(other).expect("kept"), others);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// The walk shows one layer after the other, on the panels without words byte for byte;
/// a size can be nudged in it, and Escape brings the pattern back.
#[test]
fn the_walk_checks_the_glass_step_by_step() {
    let _turn = turn();
    let Some((server, _manager, mut show)) = showing("walk", RIG, &THREE, &[]) else {
        return;
    };
    let pattern = bare(&server);
    let shows = |wanted: &Picture| {
        let shown = server.screenshot();
        [PANELS[0], PANELS[2]]
            .into_iter()
            .all(|panel| shown.differing(panel, wanted, [panel[0], panel[1]]) == 0)
    };
    server.keys(&["w"]);
    let steps =
        ["gauge", "scaling", "motion", "tones"].map(|layers| expected_layers(&show.rig, layers));
    poll("the gauges", || shows(&steps[0]));
    keep(&server, "walk-sizes");
    server.keys(&["Return"]);
    poll("the patches", || shows(&steps[1]));
    keep(&server, "walk-pixels");
    server.keys(&["Return"]);
    poll("the bars, standing still", || shows(&steps[2]));
    keep(&server, "walk-refresh");
    server.keys(&["m"]);
    poll("the bars sweep", || !shows(&steps[2]));
    keep(&server, "walk-moving");
    server.keys(&["m"]);
    poll("the bars stand again", || shows(&steps[2]));
    server.keys(&["Return"]);
    poll("the greys", || shows(&steps[3]));
    keep(&server, "walk-tones");
    server.keys(&["b", "b", "b"]);
    poll("the gauges again", || shows(&steps[0]));
    server.keys(&["Escape"]);
    // The panel's size is chosen now, so that the first seam has all its ladders.
    let [x, y, ..] = PANELS[2];
    let is_back = || server.screenshot().differing(PANELS[2], &pattern, [x, y]) == 0;
    poll("the pattern again", is_back);
    server.keys(&["w", "Prior", "s"]);
    poll("another size is saved", || show.rig_text() != RIG);
    let saved = show.rig_text();
    assert_eq!(
        saved,
        RIG.replace("diagonal_in = 24.0", "diagonal_in = 24.1")
    );
    // One way only: the middle panel is 533.54 mm wide and 300.12 mm high then.
    server.keys(&["x", "Prior", "s"]);
    let sides = saved.replace("diagonal_in = 24.1", "size_mm = [534.53, 300.11]");
    poll("width and height are saved", || show.rig_text() == sides);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// Keeps what is on the glass, to be looked at, in the folder that the variable names.
fn keep(server: &Server, name: &str) {
    if let Some(folder) = std::env::var_os("THROUGHLINE_KEEP") {
        let shown = server.screenshot();
        let path = std::path::Path::new(&folder)
            .join(name)
            .with_extension("ppm");
        let mut bytes = format!("P6 {} {} 255\n", shown.size[0], shown.size[1]).into_bytes();
        bytes.extend(&shown.rgb);
        fs::write(path, bytes).expect("the folder can be written");
    }
}
