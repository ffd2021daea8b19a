//! The pictures of `seat` and `compare`, and what is said beside them.

mod commands;

use std::fs;
use std::path::Path;
use std::process::Output;

use commands::{folder, program, stderr};
use throughline::compare::{Side, flip};
use throughline::pictures;
use throughline::raster::Picture;
use throughline::typeset::Typesetter;

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let output = program()
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the program starts");
    let code = output.status.code();
    assert_eq!(code, Some(0), "{arguments:?}: {}", stderr(&output));
    output
}

/// A seat view of a demo, written to a file: what the program said, and its pixels.
fn view(folder: &Path, name: &str, arguments: &[&str]) -> (Output, Picture) {
    let output = run(folder, &[&["seat", "--out", name], arguments].concat());
    (output, picture(&folder.join(name)))
}

fn picture(path: &Path) -> Picture {
    let file = std::io::BufReader::new(fs::File::open(path).expect("the file is there"));
    let read = pictures::read(file, &[], |_| true);
    read.unwrap_or_else(|error| panic!("{}: {error}", path.display()))
        .picture
}

fn pixel(picture: &Picture, x: u32, y: u32) -> [u8; 3] {
    let start = y as usize * picture.stride() + x as usize * 4;
    let bytes = picture.bytes();
    [bytes[start], bytes[start + 1], bytes[start + 2]]
}

/// The check sum of a chunk (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            (crc >> 1) ^ if crc & 1 == 1 { 0xedb8_8320 } else { 0 }
        })
    })
}

/// Names and contents of a PNG file's chunks, each with a right check sum.
fn chunks(file: &[u8]) -> Vec<(String, &[u8])> {
    let number = |at: usize| u32::from_be_bytes(file[at..at + 4].try_into().expect("four"));
    let mut chunks = Vec::new();
    let mut at = 8;
    while at < file.len() {
        let end = at + 8 + number(at) as usize;
        let name = String::from_utf8_lossy(&file[at + 4..at + 8]).into_owned();
        assert_eq!(crc(&file[at + 4..end]), number(end), "{name}");
        chunks.push((name, &file[at + 8..end]));
        at = end + 4;
    }
    chunks
}

#[test]
fn a_flip_holds_both_pictures_whole() {
    let folder = folder("whole-flip");
    let size = ["--size", "400x150", "--layers", "horizon,diagonals"];
    let rise = |name: &str, rise: &str| {
        let setting = format!("seam.2.rise_mm={rise}");
        let arguments = [&["tram-cab", "--set-built", &setting], &size[..]].concat();
        view(&folder, name, &arguments).1
    };
    let (before, after) = (rise("a.png", "-20"), rise("b.png", "0"));
    run(
        &folder,
        &["compare", "a.png", "b.png", "--flip", "--out", "c.png"],
    );

    // PNG, third edition, 11.3.4: one count runs through frames and their data.
    let file = fs::read(folder.join("c.png")).expect("written");
    let chunks = chunks(&file);
    let mut count = 0;
    let mut order: Vec<&str> = Vec::new();
    for (name, content) in &chunks {
        if ["fcTL", "fdAT"].contains(&name.as_str()) {
            assert_eq!(content[..4], u32::to_be_bytes(count), "{name}");
            count += 1;
        }
        if order.last() != Some(&name.as_str()) {
            order.push(name);
        }
    }
    let frames: Vec<_> = order.iter().skip_while(|name| **name != "fcTL").collect();
    assert_eq!(frames, [&"fcTL", &"IDAT", &"fcTL", &"fdAT", &"IEND"]);

    let side = |picture, title| Side { picture, title };
    let expected = flip(
        [side(&before, "before: a.png"), side(&after, "after: b.png")],
        &mut Typesetter::new(),
    );
    let mut reader = png::Decoder::new(std::io::Cursor::new(&file[..]))
        .read_info()
        .expect("a PNG");
    let mut frames = Vec::new();
    for expected in &expected {
        let mut frame = vec![0; reader.output_buffer_size().expect("it fits")];
        reader.next_frame(&mut frame).expect("a whole frame");
        let rgb: Vec<u8> = expected
            .bytes()
            .chunks_exact(4)
            .flat_map(|pixel| &pixel[..3])
            .copied()
            .collect();
        assert!(frame == rgb);
        frames.push(frame);
    }
    // Below a title each frame is its picture.
    for (frame, picture) in frames.iter().zip([&before, &after]) {
        let pixels = picture.bytes().chunks_exact(4);
        let rgb: Vec<u8> = pixels.flat_map(|pixel| &pixel[..3]).copied().collect();
        assert!(frame.ends_with(&rgb));
    }
    assert!(before != after);
}

/// What differs is nothing beside the seam that was moved, and much at it.
#[test]
fn an_untouched_seam_looks_the_same_before_and_after() {
    let folder = folder("untouched-seam");
    for (name, changed) in [
        ("tram-cab", "seam.1.rise_mm=-5"),
        ("tram-cab", "seam.1.angle_deg=52"),
        ("night-train", "panel.1.diagonal_in=26"),
        ("ferry-bridge", "seam.1.gap_mm=40"),
    ] {
        let size = ["--size", "960x400"];
        let wrong = [&[name, "--set-built", changed], &size[..]].concat();
        let (_, before) = view(&folder, "a.png", &wrong);
        let (_, after) = view(&folder, "b.png", &[&[name], &size[..]].concat());
        let differs = |columns: std::ops::Range<u32>| {
            let all = columns.flat_map(|x| (0..400).map(move |y| (x, y)));
            all.filter(|&(x, y)| pixel(&before, x, y) != pixel(&after, x, y))
                .count()
        };
        assert_eq!(differs(480..960), 0, "{name} {changed}");
        assert!(differs(0..480) > 100, "{name} {changed}");
    }
}

/// A nearer eye and a rig that stands nearer look the same, in the same frame.
#[test]
fn the_frame_is_the_files_wherever_the_eye_is() {
    let folder = folder("frame");
    let view = |name, more: &[&str]| {
        let call = [&["tram-cab", "--size", "480x200"], more].concat();
        view(&folder, name, &call)
    };
    let (_, by_eye) = view("a.png", &["--eye", "0,0,-40"]);
    let (_, by_rig) = view("b.png", &["--set-built", "seat.distance_mm=580"]);
    assert!(by_eye == by_rig);
    let (_, plain) = view("c.png", &[]);
    assert!(by_eye != plain);
}

#[test]
fn what_the_frame_cuts_off_is_said() {
    let folder = folder("cut-off");
    let said = |more: &[&str]| {
        let call = [&["tram-cab", "--size", "96x40"], more].concat();
        stderr(&view(&folder, "a.png", &call).0)
    };
    let cut = "reaches out of the picture";
    // What people get wrong finds room.
    for usual in [
        "seam.1.angle_deg=52",
        "seam.1.rise_mm=40",
        "seat.distance_mm=560",
    ] {
        let said = said(&["--set-built", usual]);
        assert!(!said.contains(cut), "{usual}: {said}");
    }
    let far = said(&["--set-built", "seam.1.rise_mm=400"]);
    assert!(
        far.contains(&format!("panel \"left window\" {cut}")),
        "{far}"
    );
    assert!(!far.contains("right window"), "{far}");
    // Whoever frames it knows.
    let framed = said(&["--set-built", "seam.1.rise_mm=400", "--fov-deg", "100"]);
    assert!(!framed.contains(cut), "{framed}");
}

#[test]
fn a_projection_that_nobody_named_is_said() {
    let folder = folder("projection");
    let said = |more: &[&str]| {
        let call = [&["--size", "96x40"], more].concat();
        stderr(&view(&folder, "a.png", &call).0)
    };
    let cylindrical = "so it is cylindrical";
    assert!(said(&["ferry-bridge", "--fov-deg", "130"]).contains(cylindrical));
    assert!(said(&["tram-cab"]).contains(cylindrical));
    let silent: [&[&str]; 3] = [
        &["tram-cab", "--projection", "cylindrical"],
        &["tram-cab", "--fov-deg", "50"],
        &["ferry-bridge", "--projection", "rectilinear"],
    ];
    for arguments in silent {
        let said = said(arguments);
        assert!(!said.contains(cylindrical), "{arguments:?}: {said}");
    }
}

#[test]
fn of_a_picture_whose_lines_are_unknown_nothing_is_claimed() {
    let folder = folder("unread-picture");
    let call = [
        "screenshot",
        "tram-cab",
        "--out",
        "street.png",
        "--layers",
        "grid",
    ];
    run(&folder, &call);
    let shown = [
        "seat",
        "tram-cab",
        "--picture",
        "street.png",
        "--out",
        "a.png",
    ];
    let words = |more: &[&str]| {
        let output = run(&folder, &[&shown[..], more].concat());
        String::from_utf8(output.stdout).expect("UTF-8")
    };
    let whole = words(&["--size", "96x40"]);
    assert_eq!(
        whole,
        "street.png is shown as it is: its lines aren't read, so the picture alone shows whether they run straight\n\
         the pattern's lines, were they shown instead:\n\
         seam 1 (left window | ahead): all 29 lines would run straight across\n\
         seam 2 (ahead | right window): all 29 lines would run straight across\n"
    );
    let broken = words(&["--size", "96x40", "--set-built", "seam.1.rise_mm=-5"]);
    assert!(
        broken.starts_with("street.png is shown as it is"),
        "{broken}"
    );
    assert!(!broken.contains("lines run straight"), "{broken}");
    let json = words(&["--size", "96x40", "--json"]);
    assert!(json.contains("\"breaks_of\": \"pattern\""), "{json}");
}

/// Share of the dashes' colour in a pixel: all but the blue of it.
fn is_dash([red, green, blue]: [u8; 3]) -> bool {
    red > 120 && red > green && u32::from(blue) * 4 < u32::from(red)
}

/// Rows of a column in which a dash stands.
fn dashed_rows(picture: &Picture, x: u32) -> Vec<u32> {
    let rows = 0..picture.size_px()[1];
    rows.filter(|&y| is_dash(pixel(picture, x, y))).collect()
}

#[test]
fn dashes_continue_the_left_parts_of_lines() {
    let folder = folder("dashes");
    let call = |name, more: &[&str]| {
        let zoomed = [
            "tram-cab",
            "--layers",
            "horizon",
            "--look-deg",
            "27,0",
            "--fov-deg",
            "14",
            "--size",
            "640x400",
            "--projection",
            "rectilinear",
        ];
        view(&folder, name, &[&zoomed[..], more].concat()).1
    };
    let low = ["--set-built", "seam.2.rise_mm=-5"];
    let plain = call("a.png", &low);
    let dashed = call("b.png", &[&low[..], &["--continue"]].concat());
    let columns: Vec<u32> = (0..640)
        .filter(|&x| !dashed_rows(&dashed, x).is_empty())
        .collect();
    assert!((0..640).all(|x| dashed_rows(&plain, x).is_empty()));
    assert!(columns.len() > 60, "{}", columns.len());
    // Dashes begin at the right panel's lit edge, left of which all is dark.
    let edge = columns[0];
    assert!(
        (edge - 20..edge - 2).all(|x| pixel(&dashed, x, 200)[0] < 60),
        "{edge}"
    );
    // The horizon's left part is level with the eye, in the picture's middle row;
    // the panel stands 5 mm low, some 620 to 680 mm away, of 2606 px: 19 px below.
    for x in &columns {
        let rows = dashed_rows(&dashed, *x);
        assert!(
            rows.iter().all(|row| (198..=201).contains(row)),
            "{x}: {rows:?}"
        );
        let white = (0..400).filter(|&y| pixel(&dashed, *x, y)[2] > 200);
        assert!(white.clone().count() > 0 && white.into_iter().all(|y| (212..=226).contains(&y)));
    }
    // Dashes and spaces, as long as each other.
    let covered = columns.len() as f64 / f64::from(columns[columns.len() - 1] - columns[0] + 1);
    assert!((0.4..0.6).contains(&covered), "{covered}");
    // What isn't a dash stays as it is.
    let pixels = (0..640).flat_map(|x| (0..400).map(move |y| (x, y)));
    let changed = pixels.filter(|&(x, y)| pixel(&plain, x, y) != pixel(&dashed, x, y));
    assert!(changed.clone().count() > 100);
    for (x, y) in changed {
        assert!(x >= columns[0] - 1 && (197..=202).contains(&y), "{x} {y}");
    }
}

/// On a rig as its file says, every dash covers the line that it continues.
#[test]
fn dashes_lie_on_the_lines_of_a_true_rig() {
    let folder = folder("true-dashes");
    for (rig, look, projection) in [
        ("tram-cab", "27,0", "rectilinear"),
        ("ferry-bridge", "30,-3", "cylindrical"),
        ("rally-loft", "-28,4", "rectilinear"),
    ] {
        let call = |name, more: &[&str]| {
            let zoomed = [
                rig,
                "--layers",
                "diagonals",
                "--look-deg",
                look,
                "--fov-deg",
                "20",
                "--size",
                "640x400",
                "--projection",
                projection,
            ];
            view(&folder, name, &[&zoomed[..], more].concat()).1
        };
        let plain = call("a.png", &[]);
        let dashed = call("b.png", &["--continue"]);
        let mut dashes = 0;
        for (x, y) in (0..640).flat_map(|x| (0..400).map(move |y| (x, y))) {
            if is_dash(pixel(&dashed, x, y)) {
                // The line itself is blue, two pixels of the canvas wide.
                let [_, _, blue] = pixel(&plain, x, y);
                assert!(blue > 60, "{rig}: {x} {y}");
                dashes += 1;
            }
        }
        assert!(dashes > 100, "{rig}: {dashes}");
    }
}

#[test]
fn what_cannot_be_continued_is_refused_or_said() {
    let folder = folder("not-continued");
    let refused = |arguments: &[&str]| {
        let output = program().current_dir(&folder).args(arguments).output();
        output.expect("the program starts").status.code()
    };
    assert_eq!(
        refused(&["seat", "tram-cab", "--json", "--continue"]),
        Some(2)
    );
    let call = ["seat", "tram-cab", "--out", "a.png", "--continue"];
    assert_eq!(
        refused(&[&call[..], &["--picture", "b.png"]].concat()),
        Some(2)
    );
    let small = [
        "tram-cab",
        "--size",
        "96x40",
        "--continue",
        "--layers",
        "labels",
    ];
    let said = stderr(&view(&folder, "a.png", &small).0);
    assert!(said.contains("none is continued"), "{said}");
}
