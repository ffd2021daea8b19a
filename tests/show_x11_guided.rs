//! A whole guided run in `show`, driven by keys alone, by an eye that sees only the
//! screen: a rig that stands otherwise than its file says is found.

#![cfg(feature = "desktop")]

mod lab;

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

use lab::picture::Picture;
use lab::show::{Show, start, write_rig};
use lab::x11::{Output, PARTS, Server, THREE};
use lab::{PROGRAM, folder, has_parts, poll, run, say_skipped, turn};
use throughline::rig::{self, Measure, SeamQuantity, demos};

/// Python with numpy, for the eye that reads the screen.
fn python() -> Option<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let python = root.join("target/reference-venv/bin/python");
    if python.exists() {
        return Some(python);
    }
    say_skipped("there is no Python with numpy in target/reference-venv");
    None
}

/// The eye: it knows how the rig stands, and sees screenshots.
struct Eye {
    process: Child,
    answers: BufReader<ChildStdout>,
    picture: PathBuf,
}

impl Eye {
    fn new(python: &Path, built: &Path) -> Eye {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut process = Command::new(python)
            .arg(root.join("tests/reference/straightedge_eye.py"))
            .arg(built)
            .arg("7")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the eye opens");
        let answers = BufReader::new(process.stdout.take().expect("piped"));
        Eye {
            process,
            answers,
            picture: built.with_extension("ppm"),
        }
    }

    /// By how many rows the right part must go up; `None` where nothing is to be read.
    fn look(&mut self, seen: &Picture) -> Option<f64> {
        let mut bytes = format!("P6\n{} {}\n255\n", seen.size[0], seen.size[1]).into_bytes();
        bytes.extend(&seen.rgb);
        fs::write(&self.picture, bytes).expect("the test's folder can be written");
        let stdin = self.process.stdin.as_mut().expect("piped");
        writeln!(stdin, "{}", self.picture.display()).expect("the eye looks");
        let mut answer = String::new();
        self.answers
            .read_line(&mut answer)
            .expect("the eye answers");
        match answer.trim() {
            "none" => None,
            rows => Some(rows.parse().expect("rows")),
        }
    }
}

impl Drop for Eye {
    fn drop(&mut self) {
        // It ends with the test, however that ends.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// The picture once it stands still, after keys that change it.
fn still(server: &Server) -> Picture {
    let mut last = server.screenshot();
    poll("the picture stands still", || {
        let next = server.screenshot();
        let is_still = next == last;
        last = next;
        is_still
    });
    last
}

/// Slides line after line until nothing more is to be read; gives how many slides it took.
fn read_all(server: &Server, eye: &mut Eye) -> usize {
    let mut slides = 0;
    let mut seen = still(server);
    while let Some(rows) = eye.look(&seen) {
        assert!(slides < 80, "it never ends");
        let fine = (rows * 4.0).round();
        let (coarse, fine) = ((fine / 16.0).trunc(), fine % 16.0);
        let mut keys = Vec::new();
        for (by, up, down) in [(coarse, "Prior", "Next"), (fine, "Up", "Down")] {
            let key = if by > 0.0 { up } else { down };
            keys.extend(std::iter::repeat_n(key, by.abs() as usize));
        }
        keys.push("Return");
        server.keys(&keys);
        slides += 1;
        poll("another line is shown, or none", || {
            server.screenshot() != seen
        });
        seen = still(server);
    }
    slides
}

fn json(command: &mut Command) -> serde_json::Value {
    let said = run(command).expect("it is done");
    serde_json::from_str(&said).expect("JSON")
}

/// Reads a file of readings whole, without the program: what it was taken on, and every
/// reading with both its slides.
fn read_back(kept: &serde_json::Value, rig: &str) {
    let keys = |value: &serde_json::Value| {
        let object = value.as_object().expect("an object");
        object.keys().cloned().collect::<Vec<_>>().join(" ")
    };
    assert_eq!(keys(kept), "format readings rig rig_toml values");
    assert_eq!(
        (&kept["format"], &kept["rig"]),
        (&1.into(), &"Workshop bench".into())
    );
    // Line by line what the rig file says, but for its comments.
    let own = kept["rig_toml"].as_str().expect("text");
    let said = |text: &str| -> Vec<String> {
        let lines = text
            .lines()
            .map(|line| line.split('#').next().unwrap_or("").trim());
        lines
            .filter(|line| !line.is_empty())
            .map(str::to_owned)
            .collect()
    };
    assert_eq!(said(own), said(rig));
    let number = |value: &serde_json::Value| value.as_f64().expect("a number");
    for (path, wanted) in [
        ("seat.distance_mm", 700.0),
        ("seat.height_mm", 20.0),
        ("seam.1.fold_deg", 40.0),
        ("seam.2.gap_mm", 14.0),
        // 21.5 inches of 16 to 9.
        ("panel.1.width_mm", 21.5 * 25.4 * 16.0 / 337_f64.sqrt()),
    ] {
        assert!(
            (number(&kept["values"][path]) - wanted).abs() < 1e-9,
            "{path}"
        );
    }
    let readings = kept["readings"].as_array().expect("a list");
    assert_eq!(readings.len(), 16);
    for reading in readings {
        assert_eq!(
            keys(reading),
            "left_px normal right_px seam sigma_px slide_px slides_px"
        );
        let [left, right] =
            [[1280.0, 1600.0], [1600.0, 720.0]][number(&reading["seam"]) as usize - 1];
        let ends = [0, 1].map(|end| number(&reading["left_px"][end]));
        assert!(
            0.0 <= ends[0] && ends[0] < ends[1] && ends[1] <= left,
            "{reading}"
        );
        assert!(
            (0.0..=right).contains(&number(&reading["right_px"])),
            "{reading}"
        );
        let square: f64 = (0..3)
            .map(|axis| number(&reading["normal"][axis]).powi(2))
            .sum();
        assert!((square - 1.0).abs() < 1e-9, "{reading}");
        let slides = [0, 1].map(|slide| number(&reading["slides_px"][slide]));
        // Slides go by quarters of a row.
        assert!(
            slides.iter().all(|slide| (slide * 4.0).fract() == 0.0),
            "{reading}"
        );
        assert_eq!(
            number(&reading["slide_px"]),
            f64::midpoint(slides[0], slides[1])
        );
        assert!(number(&reading["sigma_px"]) > 0.0, "{reading}");
    }
}

/// What the worst line breaks by, in minutes of arc, where a rig is drawn on panels that
/// stand as another says.
fn worst_arcmin(rig: &Path, built: &Path) -> f64 {
    let mut command = Command::new(PROGRAM);
    command
        .arg("seat")
        .arg(rig)
        .args(["--json", "--built"])
        .arg(built);
    command.arg("--out").arg(rig.with_extension("seat.png"));
    let seen = json(&mut command);
    seen["worst_arcmin"].as_f64().expect("a number")
}

#[test]
fn a_guided_run_finds_how_the_rig_stands() {
    let _turn = turn();
    let mut parts = PARTS.to_vec();
    parts.push("openbox");
    let Some(python) = python().filter(|_| has_parts(&parts)) else {
        return;
    };
    let folder = folder("guided");
    let rig = write_rig(&folder);
    let text = fs::read_to_string(&rig).expect("just written");
    let built = folder.join("built.toml");
    let stands = text
        .replace("distance_mm = 700.0", "distance_mm = 688.0")
        .replace("height_mm = 20.0", "height_mm = 27.0")
        .replace("angle_deg = 40.0", "angle_deg = 41.8")
        .replace(
            "angle_deg = 45.0\ngap_mm = 14.0",
            "angle_deg = 44.1\ngap_mm = 15.3\nrise_mm = -2.0",
        );
    fs::write(&built, stands).expect("the test's folder can be written");

    let server = Server::start(&folder, &THREE);
    let _manager = server.start_manager("openbox", &[]);
    let mut show: Show = start(server.command(PROGRAM), &rig, &[]);
    let readings = folder.join("bench.readings.json");
    let mut eye = Eye::new(&python, &built);
    server.keys(&["g"]);
    keep(&server, "guided-head");
    server.keys(&["Return"]);
    poll("a line is to be read", || {
        eye.look(&server.screenshot()).is_some()
    });
    keep(&server, "guided-first");
    let slides = read_all(&server, &mut eye);
    // Eight lines a seam, twice each, and a few once more.
    assert!((32..=40).contains(&slides), "{slides}");
    keep(&server, "guided-whole");

    let kept = fs::read_to_string(&readings).expect("the readings are kept");
    let kept = serde_json::from_str(&kept).expect("JSON");
    read_back(&kept, &text);

    let mut command = Command::new(PROGRAM);
    command.arg("solve").arg(&rig).arg(&readings).arg("--json");
    let solved = json(&mut command);
    let truth = |path: &str| match path {
        "seat.distance_mm" => 688.0,
        "seat.height_mm" => 27.0,
        "seam.1.fold_deg" => 41.8,
        "seam.2.fold_deg" => 44.1,
        "seam.1.gap_mm" => 14.0,
        "seam.2.gap_mm" => 15.3,
        "seam.2.rise_mm" => -2.0,
        _ => 0.0,
    };
    for value in solved["values"].as_array().expect("values") {
        let path = value["path"].as_str().expect("a path");
        let (found, sigma) = (value["solved"].as_f64(), value["sigma"].as_f64());
        let off = found.expect("a number") - truth(path);
        assert!(off.abs() <= 3.0 * sigma.expect("a number"), "{value}");
    }
    // The solved numbers are taken and saved; lines near the seams then run straight.
    server.keys(&["Return", "s"]);
    poll("the solved numbers are saved", || show.rig_text() != text);
    keep(&server, "guided-taken");
    let worst = worst_arcmin(&rig, &built);
    assert!(worst < 6.0, "{worst}");

    // A second pass goes by what the first one knows, and keeps its readings under a number.
    server.keys(&["g", "Return"]);
    poll("a line is to be read", || {
        eye.look(&server.screenshot()).is_some()
    });
    let once = show.rig_text();
    read_all(&server, &mut eye);
    assert!(folder.join("bench.readings-1.json").exists());
    server.keys(&["Return", "s"]);
    poll("the solved numbers are saved again", || {
        show.rig_text() != once
    });
    let worst = worst_arcmin(&rig, &built);
    assert!(worst < 3.0, "{worst}");
    server.keys(&["q"]);
    assert_eq!(show.process.wait(), 0, "{}", show.said());
}

/// Demos that stand otherwise than their files say are aligned in a quarter of an hour, at
/// eight seconds a slide, until no line breaks by two minutes of arc. It takes some minutes
/// a demo: `cargo test --test show_x11_guided -- --ignored --nocapture`.
#[test]
#[ignore = "some minutes long"]
fn demos_are_aligned_in_a_quarter_of_an_hour() {
    let _turn = turn();
    let mut parts = PARTS.to_vec();
    parts.push("openbox");
    let Some(python) = python().filter(|_| has_parts(&parts)) else {
        return;
    };
    for name in ["tram-cab", "rally-loft"] {
        let folder = folder(name);
        let demo = demos()
            .iter()
            .find(|demo| demo.name == name)
            .expect("built in");
        let file = folder.join("rig.toml");
        fs::write(&file, demo.text).expect("the test's folder can be written");
        let rig = rig::read(demo.text, name, &[]).expect("a sound demo");
        let mut parts = rig.parts().clone();
        for seam in 0..parts.seams.len() {
            let sign = if seam % 2 == 0 { 1.0 } else { -1.0 };
            for (what, by) in [
                (SeamQuantity::Gap, 0.9),
                (SeamQuantity::Rise, -1.6),
                (SeamQuantity::Step, 1.1),
                (SeamQuantity::turn_of(&parts.seams[seam]), 1.8),
            ] {
                let measure = Measure::Seam(seam, what);
                let number = measure.get(&parts).expect("it is there");
                measure.put(&mut parts, number + sign * by);
            }
        }
        parts.seat.distance_mm -= 13.0;
        parts.seat.height_mm += 9.0;
        parts.seat.offset_mm += 6.0;
        let built = folder.join("built.toml");
        let stands = rig::Rig::new(parts).expect("still a rig");
        fs::write(&built, rig::write(&stands)).expect("the test's folder can be written");
        let outputs: Vec<Output> = rig
            .canvas()
            .panels
            .iter()
            .map(|lit| ([lit.w, lit.h], [lit.x, lit.y]))
            .collect();
        let server = Server::start(&folder, &outputs);
        let _manager = server.start_manager("openbox", &[]);
        let mut show = start(server.command(PROGRAM), &file, &[]);
        let mut eye = Eye::new(&python, &built);
        let mut slides = 0;
        let mut worst = f64::INFINITY;
        for pass in 1..=3 {
            server.keys(&["g", "Return"]);
            poll("a line is to be read", || {
                eye.look(&server.screenshot()).is_some()
            });
            let before = show.rig_text();
            slides += read_all(&server, &mut eye);
            server.keys(&["Return", "s"]);
            poll("the solved numbers are saved", || show.rig_text() != before);
            worst = worst_arcmin(&file, &built);
            println!("{name}: {slides} slides in {pass} passes, worst line {worst:.2}'");
            if worst < 2.0 {
                break;
            }
        }
        assert!(worst < 2.0 && slides * 8 <= 15 * 60);
        server.keys(&["q"]);
        assert_eq!(show.process.wait(), 0, "{}", show.said());
    }
}

/// Keeps what is on the glass, to be looked at, in the folder that the variable names.
fn keep(server: &Server, name: &str) {
    if let Some(folder) = std::env::var_os("THROUGHLINE_KEEP") {
        let shown = still(server);
        let path = Path::new(&folder).join(name).with_extension("ppm");
        let mut bytes = format!("P6 {} {} 255\n", shown.size[0], shown.size[1]).into_bytes();
        bytes.extend(&shown.rgb);
        fs::write(path, bytes).expect("the folder can be written");
    }
}
