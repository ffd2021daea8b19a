//! Files given as pictures that are none, or that would hurt: each is refused in
//! one sentence with its remedy, soon, and in little memory.

mod commands;
mod png_maker;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::thread;
use std::time::{Duration, Instant};

use commands::{folder, run, stderr};
use png_maker::{
    GREY, PALETTE, RGB, bomb, chunk, file, header, header_data, header_of, pixels, plain,
    unfiltered,
};

const ANEW: &str = "save it as PNG anew";
const COLOURS: &str = "it stores colours in a way that PNG doesn't know";
const PACKING: &str = "it is packed in a way that PNG doesn't know";
const ORDER: &str = "its parts are in a wrong order";
const LENGTH: &str = "one of its parts has a wrong length";
const ANIMATION: &str = "what it says about its animation is wrong";

/// What `compare` makes of a file.
fn compared(folder: &Path, bytes: &[u8]) -> Output {
    let (path, out) = (folder.join("hostile.png"), folder.join("out.png"));
    fs::write(&path, bytes).expect("written");
    let [path, out] = [&path, &out].map(|path| path.to_string_lossy().into_owned());
    run(&["compare", &path, &path, "--out", &out])
}

/// What is said about a file behind its name, in one line and no other.
fn said(folder: &Path, bytes: &[u8]) -> String {
    let output = compared(folder, bytes);
    let text = stderr(&output);
    assert_eq!(output.status.code(), Some(2), "{text}");
    assert!(output.stdout.is_empty() && !folder.join("out.png").exists());
    let begin = format!("throughline: {} ", folder.join("hostile.png").display());
    let rest = text.strip_prefix(&begin).and_then(|r| r.strip_suffix('\n'));
    let rest = rest.unwrap_or_else(|| panic!("{text}"));
    assert!(!rest.contains(['\n', '{', '}', '_']), "{text}");
    rest.to_owned()
}

/// One pixel, with chunks before it.
fn with(chunks: &[Vec<u8>]) -> Vec<u8> {
    let chunks = [header([1, 1], 8, RGB, 0), chunks.concat(), pixels(&[0; 4])];
    file(&chunks)
}

#[test]
fn a_decoder_that_panics_ends_nothing() {
    let folder = folder("half_a_colour");
    let rest = pixels(&unfiltered(&[0; 64 * 36], 64));
    let broken = file(&[
        header([64, 36], 8, PALETTE, 0),
        chunk(b"PLTE", &[1, 2, 3, 4]),
        rest,
    ]);
    let sentence = "is not a PNG picture that can be read: the decoder gave up on it; \
                    save it as PNG anew";
    assert_eq!(said(&folder, &broken), sentence);

    let rig = "format = 1\nname = \"one\"\n[seat]\nview = \"a/1\"\ndistance_mm = 600\n\
               [[panel]]\nname = \"a\"\npixels = [64, 36]\ndiagonal_in = 27\n";
    fs::write(folder.join("rig.toml"), rig).expect("written");
    let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (rig, picture, out) = (place("rig.toml"), place("hostile.png"), place("out.png"));
    let output = run(&["seat", &rig, "--picture", &picture, "--out", &out]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(
        stderr(&output),
        format!("throughline: {picture} {sentence}\n")
    );
}

#[test]
fn whatever_is_wrong_is_said_with_its_remedy() {
    let folder = folder("hostile_kinds");
    let one = header([1, 1], 8, RGB, 0);
    let pixel = pixels(&[0; 4]);
    let head = |bits, colour, methods| header_of(&header_data([1, 1], bits, colour, methods));
    let control = |number: u32, [w, h]: [u32; 2], [dispose, blend]: [u8; 2]| {
        let numbers = [number, w, h, 0, 0].map(u32::to_be_bytes).concat();
        chunk(
            b"fcTL",
            &[&numbers[..], &[0, 1, 0, 1, dispose, blend]].concat(),
        )
    };
    let animation = chunk(b"acTL", &[0, 0, 0, 1, 0, 0, 0, 0]);
    let mut changed = one.clone();
    *changed.last_mut().expect("not empty") ^= 1;
    let kinds: Vec<(Vec<Vec<u8>>, &str)> = vec![
        (
            vec![changed, pixel.clone()],
            "some of it has changed since it was saved; copy it once more, or save it as PNG anew",
        ),
        (vec![one.clone()], "it holds no pixels"),
        (
            vec![header([1, 5], 8, RGB, 0), pixel.clone()],
            "it holds fewer pixels than it says",
        ),
        (
            vec![one.clone(), chunk(b"IDAT", b"no zlib stream")],
            "its pixels are damaged",
        ),
        (
            vec![header([0, 1], 8, RGB, 0), pixel.clone()],
            "it is 0 pixels wide or high",
        ),
        (
            vec![header([1, 0], 8, RGB, 0), pixel.clone()],
            "it is 0 pixels wide or high",
        ),
        (
            vec![header([1, 1], 8, PALETTE, 0), pixel.clone()],
            "it lacks the palette that its colours are numbers of",
        ),
        (
            vec![one.clone(), chunk(b"NEED", b"more"), pixel.clone()],
            "it needs more than plain PNG; save it as plain PNG",
        ),
        (vec![header_of(&[0; 12]), pixel.clone()], LENGTH),
        (
            vec![one.clone(), chunk(b"PLTE", &[1, 2]), pixel.clone()],
            LENGTH,
        ),
        (vec![head(4, RGB, [0; 3]), pixel.clone()], COLOURS),
        (vec![head(3, RGB, [0; 3]), pixel.clone()], COLOURS),
        (vec![head(8, 1, [0; 3]), pixel.clone()], COLOURS),
        (
            vec![one.clone(), chunk(b"cICP", &[1, 2, 3, 4]), pixel.clone()],
            COLOURS,
        ),
        (vec![head(8, RGB, [1, 0, 0]), pixel.clone()], PACKING),
        (vec![head(8, RGB, [0, 1, 0]), pixel.clone()], PACKING),
        (vec![head(8, RGB, [0, 0, 2]), pixel.clone()], PACKING),
        (vec![one.clone(), pixels(&[9, 0, 0, 0])], PACKING),
        (vec![pixel.clone(), one.clone()], ORDER),
        (vec![one.clone(), one.clone(), pixel.clone()], ORDER),
        (
            vec![one.clone(), chunk(b"fdAT", &[0; 9]), pixel.clone()],
            ORDER,
        ),
        (
            vec![one.clone(), control(1, [1, 1], [0, 0]), pixel.clone()],
            ANIMATION,
        ),
        (
            vec![one.clone(), control(0, [1, 1], [9, 0]), pixel.clone()],
            ANIMATION,
        ),
        (
            vec![one.clone(), control(0, [1, 1], [0, 9]), pixel.clone()],
            ANIMATION,
        ),
        (
            vec![one.clone(), control(0, [2, 1], [0, 0]), pixel.clone()],
            ANIMATION,
        ),
        (
            // Two frames of another size than the picture's.
            vec![
                header([2, 2], 8, RGB, 0),
                animation,
                control(0, [1, 1], [0, 0]),
                pixel,
            ],
            ANIMATION,
        ),
        (
            vec![one.clone(), chunk(b"eXIf", &vec![0; 17 << 20])],
            "it carries more than 16 MiB beside its pixels; save it as PNG anew, without notes",
        ),
    ];
    for (chunks, what) in kinds {
        let remedy = match what {
            ANIMATION => "; save it as PNG anew, without an animation".to_owned(),
            what if what.contains(';') => String::new(),
            _ => format!("; {ANEW}"),
        };
        let expected = format!("is not a PNG picture that can be read: {what}{remedy}");
        assert_eq!(said(&folder, &file(&chunks)), expected);
    }
    assert_eq!(
        said(&folder, b"no picture"),
        "is not a PNG picture; save it as PNG first"
    );
    assert_eq!(
        said(&folder, b""),
        "is not a PNG picture; save it as PNG first"
    );
}

#[test]
fn what_is_cut_short_is_said_to_be() {
    let folder = folder("hostile_cut");
    let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let view = place("view.png");
    let output = run(&["seat", "tram-cab", "--size", "90x50", "--out", &view]);
    assert!(output.status.success(), "{}", stderr(&output));
    let whole = fs::read(&view).expect("readable");
    assert!(whole.len() > 3000);
    let lengths = (64..whole.len()).step_by(64);
    for length in lengths.chain([8, 9, whole.len() - 12, whole.len() - 5]) {
        assert_eq!(
            said(&folder, &whole[..length]),
            "is not a whole PNG picture: it ends too early; write it anew",
            "{length} of {} bytes",
            whole.len()
        );
    }
}

#[test]
fn pictures_larger_than_any_canvas_are_refused_unread() {
    let folder = folder("hostile_large");
    for size_px in [[32_769, 1], [1, 32_769], [32_000, 32_000], [0x7fff_ffff; 2]] {
        let bytes = file(&[header(size_px, 8, RGB, 0), pixels(&[0; 4])]);
        let [w, h] = size_px;
        assert_eq!(
            said(&folder, &bytes),
            format!(
                "is {w} x {h} pixels, but at most 32768 a side and 512000000 in all can be read: \
                 save it smaller"
            )
        );
    }
}

/// A text, a profile or pixels that hold 200 times what the file does.
#[cfg(target_os = "linux")]
#[test]
fn what_swells_is_left_packed() {
    let folder = folder("hostile_bombs");
    // 800 MB, of 4.
    let packed = bomb(3_100_000);
    let behind = |begin: &[u8]| [begin, &packed].concat();
    let files = [
        with(&[chunk(b"zTXt", &behind(b"Rig file\0\0"))]),
        with(&[chunk(b"zTXt", &behind(b"Comment\0\0"))]),
        with(&[chunk(b"iTXt", &behind(b"Seat view\0\x01\0\0\0"))]),
        with(&[chunk(b"iCCP", &behind(b"profile\0\0"))]),
        file(&[header([1, 1], 8, RGB, 0), chunk(b"IDAT", &packed)]),
    ];
    for (number, bytes) in files.iter().enumerate() {
        let path = folder.join(format!("{number}.png"));
        fs::write(&path, bytes).expect("written");
        let begin = Instant::now();
        let output = Command::new("prlimit")
            .args(["--as=1000000000", env!("CARGO_BIN_EXE_throughline")])
            .arg("compare")
            .args([&path, &path])
            .arg("--out")
            .arg(folder.join("out.png"))
            .output()
            .expect("prlimit is part of the system");
        let text = stderr(&output);
        // The pixels begin with a filter that there is none of.
        let expected = if number == 4 { 2 } else { 0 };
        assert_eq!(output.status.code(), Some(expected), "{number}: {text}");
        let took = begin.elapsed();
        assert!(took < Duration::from_secs(20), "{number}: {took:?}");
    }
}

/// Most memory that a call held at any time, in bytes.
#[cfg(target_os = "linux")]
fn peak_bytes(arguments: &[&str]) -> u64 {
    let mut child = Command::new(env!("CARGO_BIN_EXE_throughline"))
        .args(arguments)
        .stdout(std::process::Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut peak_kib = 0;
    let status = format!("/proc/{}/status", child.id());
    let ended = loop {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.trim().strip_suffix(" kB")?.parse().ok());
        peak_kib = peak_kib.max(kib.unwrap_or(0));
        if let Some(ended) = child.try_wait().expect("its child") {
            break ended;
        }
        thread::sleep(Duration::from_millis(2));
    };
    assert!(ended.success());
    peak_kib * 1024
}

#[cfg(target_os = "linux")]
#[test]
fn comparing_holds_two_pictures_and_little_else() {
    let folder = folder("hostile_memory");
    let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (picture, out) = (place("grey.png"), place("out.png"));
    let size_px = [5000, 5000];
    let bytes = plain(size_px, GREY, &vec![90; 25_000_000]);
    fs::write(&picture, bytes).expect("written");
    let peak = peak_bytes(&["compare", &picture, &picture, "--out", &out]);
    let pictures = peak as f64 / (4.0 * 25e6);
    assert!((2.0..2.3).contains(&pictures), "{pictures} pictures");
}

/// A small generator, so that every run tries the same.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % sides
    }
}

/// A file changed somewhere: mostly within a chunk whose CRC is then right, so
/// that it is looked into.
fn changed(chunks: &[([u8; 4], Vec<u8>)], dice: &mut Dice) -> Vec<u8> {
    let mut chunks = chunks.to_vec();
    for _ in 0..=dice.roll(3) {
        let at = dice.roll(chunks.len());
        let other = dice.roll(chunks.len());
        let count = chunks.len();
        let (kind, data) = &mut chunks[at];
        let place = dice.roll(data.len().max(1));
        match dice.roll(9) {
            0 => data.truncate(place),
            1 => data.insert(place.min(data.len()), dice.roll(256) as u8),
            2 => kind[dice.roll(4)] ^= 1 << dice.roll(8),
            3 => {
                let copy = chunks[at].clone();
                chunks.insert(other, copy);
            }
            4 => chunks.swap(at, other),
            5 if count > 1 => drop(chunks.remove(at)),
            _ => {
                if let Some(byte) = data.get_mut(place) {
                    *byte = [0, 1, 0x7f, 0xff, dice.roll(256) as u8][dice.roll(5)];
                }
            }
        }
    }
    let whole = chunks.iter().map(|(kind, data)| chunk(kind, data));
    let mut bytes = [
        png_maker::SIGNATURE.to_vec(),
        whole.collect::<Vec<_>>().concat(),
    ]
    .concat();
    if dice.roll(8) == 0 {
        let place = dice.roll(bytes.len());
        bytes[place] ^= 1 << dice.roll(8);
    }
    bytes
}

#[test]
fn thousands_of_changed_files_are_read_or_refused() {
    const EACH: usize = 1500;
    let kind = |name: &[u8; 4], data: &[u8]| (*name, data.to_vec());
    let stored = |rows: &[u8]| png_maker::stored(rows);
    let chunks = [
        kind(b"IHDR", &header_data([3, 2], 8, PALETTE, [0; 3])),
        kind(b"PLTE", &[1, 2, 3, 40, 50, 60]),
        kind(b"tRNS", &[9, 200]),
        kind(b"pHYs", &[0, 0, 9, 9, 0, 0, 9, 9, 1]),
        kind(b"tEXt", b"Rig file\0format = 1"),
        kind(b"IDAT", &stored(&[0, 0, 1, 0, 2, 1, 1, 0])),
        kind(b"IEND", b""),
    ];
    thread::scope(|scope| {
        for half in [1, 2] {
            let chunks = &chunks;
            scope.spawn(move || {
                let folder = folder(&format!("hostile_changed_{half}"));
                let place = |name: &str| folder.join(name).to_string_lossy().into_owned();
                let (picture, other) = (place("hostile.png"), place("other.png"));
                let out = place("out.png");
                // No picture is compared with one of another size, which takes longer.
                fs::write(&other, plain([97, 1], GREY, &[0; 97])).expect("written");
                let mut dice = Dice(0x9e37_79b9_7f4a_7c15 ^ half);
                let mut read = 0;
                for _ in 0..EACH {
                    let bytes = changed(chunks, &mut dice);
                    fs::write(&picture, &bytes).expect("written");
                    let output = run(&["compare", &picture, &other, "--out", &out]);
                    let text = stderr(&output);
                    assert_eq!(output.status.code(), Some(2), "{bytes:?}: {text}");
                    assert_eq!(text.lines().count(), 1, "{bytes:?}: {text}");
                    assert!(!text.contains(['{', '}']), "{bytes:?}: {text}");
                    read += usize::from(text.contains("compare pictures of one size"));
                }
                assert!(
                    (EACH / 10..EACH * 9 / 10).contains(&read),
                    "{read} were read"
                );
            });
        }
    });
}
