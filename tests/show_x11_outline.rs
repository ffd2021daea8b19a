//! Another program's window on the glass: outlined, with the lines as that program
//! draws them inside it.

#![cfg(feature = "desktop")]

mod lab;

use lab::picture::{Picture, expected_first, pictured};
use lab::show::{PANELS, RIG, Show};
use lab::turn;
use lab::x11::{THREE, showing};

/// A window of three columns, in desktop pixels from the middle panel's corner, and its
/// left, top, right and bottom edge and its cuts on the canvas.
const WINDOW: [i32; 4] = [-1200, 200, 4200, 500];
const EDGES: [usize; 4] = [80, 320, 4280, 820];
const CUTS: [usize; 2] = [1480, 2880];

/// The program's lines as `screenshot` draws them, with the outline drawn here.
fn outlined(show: &Show) -> Picture {
    let settings = [
        format!("window.px={WINDOW:?}"),
        "window.columns=[1, 1, 1]".to_owned(),
    ];
    let settings = settings.each_ref().map(String::as_str);
    let mut picture = pictured(&show.rig, &settings, &["--drawn-as", "flat-views"]);
    let [left, top, right, bottom] = EDGES;
    // A twentieth of the window's height.
    let long = 25;
    let mut rects = vec![
        [left, top, right, top + 3],
        [left, bottom - 3, right, bottom],
        [left, top, left + 3, bottom],
        [right - 3, top, right, bottom],
    ];
    for cut in CUTS {
        rects.push([cut - 1, top, cut + 1, top + long]);
        rects.push([cut - 1, bottom - long, cut + 1, bottom]);
    }
    let [width, height] = picture.size;
    for [left, top, right, bottom] in rects {
        for y in top..bottom.min(height) {
            for x in left..right.min(width) {
                picture.rgb[3 * (y * width + x)..][..3].fill(255);
            }
        }
    }
    picture
}

#[test]
fn an_outline_shows_the_programs_lines_until_p_shows_the_rigs() {
    let _turn = turn();
    let outline = WINDOW.map(|number| number.to_string()).join(",");
    let Some((server, _manager, mut show)) =
        showing("outline", RIG, &THREE, &["--outline", &outline])
    else {
        return;
    };
    let wanted = outlined(&show);
    assert!(PANELS.iter().all(|panel| wanted.lit(*panel) > 1000));
    server.keys(&["o"]);
    server.wait_for(&wanted);
    // A nudge moves none of the program's lines.
    server.keys(&["Prior", "Prior"]);
    server.wait_for(&wanted);
    server.keys(&["BackSpace", "BackSpace", "p"]);
    server.wait_for(&expected_first(&show.rig, &[]));
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
    assert!(show.rig_text() == RIG, "the file stays as it is");
}

#[test]
fn p_shows_the_rigs_own_window() {
    let _turn = turn();
    let text = format!("{RIG}\n[window]\npx = {WINDOW:?}\ncolumns = [1, 1, 1]\n");
    let Some((server, _manager, mut show)) = showing("own-window", &text, &THREE, &[]) else {
        return;
    };
    let own = expected_first(&show.rig, &[]);
    server.keys(&["o"]);
    server.wait_for(&own);
    server.keys(&["p"]);
    server.wait_for(&outlined(&show));
    server.keys(&["p"]);
    server.wait_for(&own);
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}
