//! What the box says of a nudge before and after it is saved, and where boxes stand.

use throughline::glass::{BoxLine, Drawing, Stand, cap_px, notice};
use throughline::nudging::{Console, Key, Nudging, Request, advice, complaint_box, main_box};
use throughline::pattern::{Choices, Layers};
use throughline::raster::{Picture, draw};
use throughline::rig::{Measure, PanelQuantity, PxRect, SeamQuantity, demos, read};
use throughline::typeset::Typesetter;

#[test]
fn both_desks_are_spoken_of_and_neither_as_the_other() {
    let demo = demos().iter().find(|demo| demo.name == "tram-cab");
    let demo = demo.expect("built in");
    let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
    let [_, middle, right] = [0, 1, 2].map(|panel| rig.panels()[panel].name.clone());
    let angle = Measure::Seam(1, SeamQuantity::Angle);
    let said = advice(angle, rig.parts(), 2.0, false);
    assert_eq!(
        said,
        [
            format!(
                "If the lines run straight now: \"{right}\" stands 2.00° further in than the file \
                 says. S writes that into the file; nothing to move."
            ),
            "To have it as the file says: Space, then turn it OUT until the lines run straight."
                .to_owned(),
        ]
    );
    // With the file's pattern on the glass, Space would lead away from it.
    let flipped = advice(angle, rig.parts(), 2.0, true);
    assert!(!flipped[0].contains("straight now") && !flipped[1].contains("Space"));
    // No desk makes a panel larger.
    let size = Measure::Panel(1, PanelQuantity::Diagonal);
    let said = advice(size, rig.parts(), -0.5, false);
    assert!(said[0].contains(&format!(
        "\"{middle}\" is 0.50 in smaller than the file says"
    )));
    assert!(said[1].starts_with("Nothing on the desk can be moved for that"));
}

/// On the demos, the box of a nudged value and a complaint find places that hide no
/// letter of the pattern, in the columns of the facing view.
#[test]
fn boxes_hide_no_letter_of_the_demos() {
    for demo in demos() {
        let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
        let seat = rig.seat().view;
        let panel = rig.canvas().panels[seat.panel];
        let columns = panel.w / rig.panels()[seat.panel].views;
        let view = PxRect {
            x: panel.x + columns * seat.view,
            w: columns,
            ..panel
        };
        let mut drawing = Drawing::new(&rig, Layers::ALL, Choices::default(), None);
        let mut taken: Vec<PxRect> = drawing.to_be_seen().collect();
        let cap = cap_px(rig.panels()[seat.panel].pitch_mm()[1], view.h);
        let mut console = Console::new(Nudging::new(rig, Layers::ALL), Vec::new());
        console.press(Key::PageUp);
        let complaint = "one display stands elsewhere than the rig file says".to_owned();
        let boxes = [
            (main_box(&console, None, false, "", &[]), Stand::Bottom),
            (complaint_box(&[complaint]), Stand::Top),
        ];
        let (_, typesetter) = drawing.picture_and_type();
        for (lines, stand) in boxes {
            let words = notice(&lines, view, cap, stand, &taken, typesetter).expect("has room");
            assert!(view.holds(words.area), "{}", demo.name);
            let hidden = taken
                .iter()
                .filter(|t| t.intersection(words.area).is_some());
            assert_eq!(
                hidden.count(),
                0,
                "{}: {stand:?} {:?}",
                demo.name,
                words.area
            );
            taken.push(words.area);
        }
    }
}

/// The texts of the box.
fn texts(console: &Console) -> Vec<String> {
    let lines = main_box(console, None, false, "", &[]).into_iter();
    let texts = lines.filter_map(|line| match line {
        BoxLine::Text(words) => Some(words.text),
        _ => None,
    });
    texts.collect()
}

#[test]
fn the_keys_name_the_page_of_help_where_there_is_one() {
    let demo = &demos()[0];
    let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
    let mut console = Console::new(Nudging::new(rig, Layers::ALL), Vec::new());
    console.press(Key::Char('h'));
    let without = texts(&console).len();
    let mut console = console.with_manual(Some(r"D:\Throughline\help.html".to_owned()));
    let named = texts(&console);
    assert_eq!(named.len(), without + 1);
    let said = named.last().expect("not empty");
    assert!(
        said.ends_with(r"page of its own: D:\Throughline\help.html"),
        "{said}"
    );
    console.press(Key::Char('h'));
    assert!(!texts(&console).concat().contains("help.html"));
}

#[test]
fn what_is_saved_is_not_called_unsaved() {
    let demo = &demos()[0];
    let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
    let mut console = Console::new(Nudging::new(rig, Layers::ALL), Vec::new());
    let says = |console: &Console, what: &str| texts(console).iter().any(|t| t.contains(what));
    console.press(Key::PageUp);
    assert!(says(&console, "1 value not saved"));
    assert!(says(&console, "than the file says") && says(&console, "Space, then"));
    assert_eq!(console.press(Key::Char('s')), Some(Request::Save));
    console.saved("saved r.toml".to_owned());
    assert!(says(&console, "saved r.toml") && says(&console, "since loading, saved"));
    assert!(!says(&console, "not saved") && !says(&console, "than the file says"));
    // The next key takes the news away, and the next nudge counts alone.
    console.press(Key::Up);
    assert!(!says(&console, "saved r.toml"));
    assert!(says(&console, "1 value not saved"));
    let [fine, _] = console.nudging.chosen().spec().steps.expect("nudged");
    let amount = console.nudging.chosen().spec().show(fine);
    assert!(says(&console, &format!("stands {amount} further")));
    assert!(!says(&console, "Space, then"), "{:?}", texts(&console));
}

/// Before the marks, the box draws the rig from above and where to photograph it from:
/// 2 is farther from the panel ahead than the eye, and nearer to the left one than 3.
#[test]
fn where_to_photograph_from_is_drawn() {
    for demo in demos() {
        let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
        let panels = rig.canvas().panels.clone();
        let facing = rig.seat().view.panel;
        let pitch_mm = rig.panels()[facing].pitch_mm()[1];
        let surfaces = rig.layout().surfaces().to_vec();
        let mut console = Console::new(Nudging::new(rig, Layers::ALL), Vec::new());
        assert!(console.press(Key::Char('0')).is_some());
        let lines = main_box(&console, None, false, "", &[]);
        let sketch = lines.iter().find_map(|line| match line {
            BoxLine::Sketch(sketch) => Some(sketch),
            _ => None,
        });
        let sketch = sketch.expect("it is drawn");
        assert_eq!(sketch.lines.len(), surfaces.len());
        for (line, surface) in sketch.lines.iter().zip(&surfaces) {
            for (share, place) in [(0.0, line[0]), (1.0, line[line.len() - 1])] {
                let point = surface.point_px(share * surface.pixels[0], surface.pixels[1] / 2.0);
                assert!((place[0] - point.x).abs() < 1e-9 && (place[1] + point.z).abs() < 1e-9);
            }
        }
        let away = |number: usize, to: [f64; 2]| {
            let (place, name) = &sketch.places[number - 1];
            assert_eq!(name, &number.to_string());
            (place[0] - to[0]).hypot(place[1] - to[1])
        };
        let ahead = sketch.lines[facing][sketch.lines[facing].len() / 2];
        let outer = sketch.lines[0][0];
        assert!(away(1, [0.0, 0.0]) == 0.0);
        assert!(away(2, ahead) > away(1, ahead) && away(3, ahead) > away(1, ahead));
        assert!(away(2, outer) < away(3, outer));
        let said = texts(&console).join(" ");
        assert!(
            said.contains("2 and 3 about 350 mm to its left and right and 250 mm farther back")
        );

        // In pictures to be looked at: `target/tmp/box-NAME.png`.
        let [w, h] = [panels[facing].w, panels[facing].h];
        let area = PxRect { x: 0, y: 0, w, h };
        let mut typesetter = Typesetter::new();
        let cap = cap_px(pitch_mm, h);
        let boxed = notice(&lines, area, cap, Stand::Middle, &[], &mut typesetter);
        let boxed = boxed.expect("has room");
        assert!(area.holds(boxed.area), "{}", demo.name);
        let mut picture = Picture::new([w, h]);
        draw(&boxed.marks, &mut picture, area);
        let path = format!("{}/box-{}.png", env!("CARGO_TARGET_TMPDIR"), demo.name);
        let file = std::fs::File::create(path).expect("a folder of tests' own");
        let mut encoder = png::Encoder::new(file, w, h);
        encoder.set_color(png::ColorType::Rgba);
        let mut writer = encoder.write_header().expect("a header");
        writer.write_image_data(picture.bytes()).expect("its bytes");
    }
}
