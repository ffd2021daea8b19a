//! What must hold for any input, target by target. The fuzzer calls these with
//! what it makes up, and `tests/fuzz_corpus.rs` with what is kept.

use std::cell::Cell;
use std::io::Cursor;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

use throughline::grey::Grey;
use throughline::marks;
use throughline::nudging::{Found, Notes, Nudging, digest, values};
use throughline::pattern::{Guides, Layers, Pattern};
use throughline::pictures::photograph::{self, Unreadable, WayUp};
use throughline::pictures::{self, Unread};
use throughline::raster::{Picture, draw, update};
use throughline::rig::{self, PxRect, Rig, demos};
use throughline::typeset::Typesetter;

/// A target's name, and what must hold.
pub type Target = (&'static str, fn(&[u8]));

/// Every target.
pub const TARGETS: [Target; 8] = [
    ("journal", journal),
    ("marks", marks),
    ("photograph", photograph),
    ("png", png),
    ("redraw", redraw),
    ("rig_text", rig_text),
    ("saving", saving),
    ("settings", settings),
];

/// Largest canvas that is drawn, so that many are.
const MAX_DRAWN_PX: u32 = 1 << 17;
/// Largest picture that is read, for the same reason.
const MAX_READ_PX: u64 = 1 << 20;
/// Most memory for a photograph's pixels, for the same reason.
const MAX_PHOTO_BYTES: u64 = 1 << 20;

/// Any text is read or refused in one line, and what is read can be written.
pub fn rig_text(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    reads_or_says_why(&text, &[]);
}

/// Any settings of a demo, one a line, are taken or refused in one line. The
/// first byte picks the demo.
pub fn settings(bytes: &[u8]) {
    let Some((first, lines)) = bytes.split_first() else {
        return;
    };
    let demo = &demos()[usize::from(*first) % demos().len()];
    let lines = String::from_utf8_lossy(lines);
    let settings: Vec<(String, String)> = lines
        .split('\n')
        .filter_map(|line| line.split_once('='))
        .map(|(path, value)| (path.to_owned(), value.to_owned()))
        .collect();
    reads_or_says_why(demo.text, &settings);
}

fn reads_or_says_why(text: &str, settings: &[(String, String)]) {
    match rig::read(text, "fuzz.toml", settings) {
        Ok(rig) => {
            let again = rig::read(&rig::write(&rig), "written.toml", &[]);
            assert_eq!(again.as_ref(), Ok(&rig));
        }
        Err(error) => assert_eq!(error.to_string().lines().count(), 1),
    }
}

/// Whatever a journal's file holds, what is found in it can be put on the rig, and
/// what is then noted is found again.
pub fn journal(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let demo = &demos()[bytes.len() % demos().len()];
    let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
    let file_digest = digest(demo.text.as_bytes());
    let known = values(rig.parts());
    let Some(found) = Found::read(text.as_bytes(), file_digest, rig.parts()).unwrap_or(None) else {
        return;
    };
    assert!(!found.numbers.is_empty());
    for (index, (value, number)) in found.numbers.iter().enumerate() {
        let is_side = !value.excluded(rig.parts()).is_empty();
        assert!((is_side || known.contains(value)) && number.is_finite());
        assert_ne!(value.get(rig.parts()), Some(*number));
        let later = &found.numbers[index + 1..];
        assert!(later.iter().all(|(other, _)| other != value));
    }
    let mut nudging = Nudging::new(rig, Layers::ALL);
    nudging.put(&found.numbers);
    let (loaded, now) = (nudging.loaded().parts(), nudging.now().parts());
    let (lines, notes) = Notes::default().lines(loaded, now);
    let text = Notes::title(file_digest) + &lines;
    let again = Found::read(text.as_bytes(), file_digest, loaded).unwrap_or(None);
    let numbers = again.map(|found| {
        assert!(found.is_same_rig);
        found.numbers
    });
    assert_eq!(numbers.unwrap_or_default(), nudging.nudged());
    assert_eq!(notes.lines(loaded, now).0, "");
    // Taken back, nothing is left to find.
    let text = text + &notes.lines(now, loaded).0;
    assert_eq!(
        Found::read(text.as_bytes(), file_digest, loaded).unwrap_or(None),
        None
    );
}

/// Any grey picture shows marks that are the rig's, each once, or says in one line why
/// not. The first byte picks the demo, the second the picture's width, and the third how
/// many pixels, each way, a byte fills.
pub fn marks(bytes: &[u8]) {
    let [first, width, scale, codes @ ..] = bytes else {
        return;
    };
    let demo = &demos()[usize::from(*first) % demos().len()];
    let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
    let (width, scale) = (usize::from(*width) + 1, usize::from(*scale) % 12 + 1);
    let rows = codes.chunks_exact(width).take(256);
    let size_px = [width * scale, rows.len() * scale].map(|side| side as u32);
    let codes = rows.flat_map(|row| {
        let row: Vec<u8> = row.iter().flat_map(|code| [*code].repeat(scale)).collect();
        row.repeat(scale)
    });
    if let Some(grey) = Grey::new(size_px, codes.collect()) {
        shows_marks_or_says_why(&grey, &rig);
    }
}

/// Any file is a photograph that takes no more memory than was granted and shows marks
/// or says why not, or is refused in one line.
pub fn photograph(bytes: &[u8]) {
    let demo = &demos()[0];
    let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
    let [stored, held] = [WayUp::AsStored, WayUp::AsHeld].map(|way_up| {
        unless_the_decoder_gives_up(|| {
            photograph::read(Cursor::new(bytes), way_up, MAX_PHOTO_BYTES)
        })
    });
    match (stored, held) {
        (Some(Ok(stored)), Some(Ok(held))) => {
            let [[w, h], mut as_held] = [stored.size_px(), held.size_px()];
            assert!(u64::from(w) * u64::from(h) <= MAX_PHOTO_BYTES);
            if as_held != [w, h] {
                as_held.reverse();
            }
            assert_eq!(as_held, [w, h]);
            shows_marks_or_says_why(&stored, &rig);
        }
        (None, None) => {}
        (Some(Err(Unreadable::Io(error))), _) => panic!("memory can't fail: {error}"),
        (Some(Err(stored)), Some(Err(held))) => {
            let said = stored.to_string();
            assert_eq!((said.lines().count(), &said), (1, &held.to_string()));
        }
        (stored, held) => panic!("it depends on the way up: {stored:?}, {held:?}"),
    }
}

fn shows_marks_or_says_why(grey: &Grey, rig: &Rig) {
    match marks::find(grey, rig) {
        Ok(found) => {
            let mut places = Vec::new();
            for sighting in found.sightings {
                assert!(sighting.panel < rig.panels().len());
                assert!(sighting.photo_px.is_finite() && sighting.sigma_px > 0.0);
                places.push((
                    sighting.panel,
                    sighting.panel_px.to_array().map(f64::to_bits),
                ));
            }
            let count = places.len();
            places.sort_unstable();
            places.dedup();
            assert_eq!(places.len(), count);
        }
        Err(why) => assert_eq!(why.to_string().lines().count(), 1),
    }
}

/// Any text that is a rig takes any nudges of it, and says them when read again.
pub fn saving(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let Ok(rig) = rig::read(text, "fuzz.toml", &[]) else {
        return;
    };
    assert_eq!(rig::with_values_of(text, &rig).as_deref(), Ok(text));
    let Some(nudged) = nudged(&rig, digest(bytes)) else {
        return;
    };
    let saved = rig::with_values_of(text, &nudged).expect("a place for every number");
    let back = rig::read(&saved, "saved.toml", &[]);
    assert_eq!(back.as_ref(), Ok(&nudged), "{saved}");
}

/// What is redrawn after a nudge is what would be drawn anew.
pub fn redraw(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let Ok(before) = rig::read(&text, "fuzz.toml", &[]) else {
        return;
    };
    let [w, h] = before.canvas().size_px;
    if w.saturating_mul(h) > MAX_DRAWN_PX {
        return;
    }
    let Some(after) = nudged(&before, digest(bytes)) else {
        return;
    };
    if after.canvas().size_px != [w, h] {
        return;
    }
    let (guides, mut typesetter) = (Guides::of(&before), Typesetter::new());
    let [old, new] =
        [&before, &after].map(|rig| Pattern::new(rig, &guides, Layers::ALL, &mut typesetter));
    let whole = PxRect { x: 0, y: 0, w, h };
    let mut picture = Picture::new([w, h]);
    draw(old.marks(), &mut picture, whole);
    update(old.marks(), new.marks(), &mut picture);
    let mut full = Picture::new([w, h]);
    draw(new.marks(), &mut full, whole);
    assert!(picture == full, "the redrawn picture differs");
}

/// The rig with some of its values a few steps on, as a seed says; `None` where
/// that is no rig.
fn nudged(rig: &Rig, seed: u64) -> Option<Rig> {
    let mut parts = rig.parts().clone();
    let all = values(&parts);
    let first = seed as usize % all.len();
    for (index, value) in all.into_iter().enumerate() {
        // One at least, and about every fourth of the others.
        let dice = (seed ^ index as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 40;
        if index != first && !dice.is_multiple_of(4) {
            continue;
        }
        let steps = value.spec().steps.expect("it is nudged");
        let count = (dice >> 8) as f64 % 9.0 - 4.0;
        let step = steps[usize::from(dice & 32 != 0)];
        let number = value.get(&parts).expect("it is there");
        value.put(&mut parts, number + count * step);
    }
    Rig::new(parts).ok()
}

/// Any file is a picture of the size that was accepted, opaque throughout, or
/// refused in one line without the decoder's own words.
pub fn png(bytes: &[u8]) {
    const KEYWORDS: [&str; 2] = ["Rig file", "Seat view"];
    let mut accepted = [0, 0];
    let read = unless_the_decoder_gives_up(|| {
        pictures::read(Cursor::new(bytes), &KEYWORDS, |size_px| {
            accepted = size_px;
            let [w, h] = size_px.map(u64::from);
            w * h <= MAX_READ_PX
        })
    });
    match read {
        None => {}
        Some(Ok(labelled)) => {
            assert_eq!(labelled.picture.size_px(), accepted);
            let pixels = labelled.picture.bytes().as_chunks::<4>().0;
            assert!(pixels.iter().all(|pixel| pixel[3] == 255));
            for keyword in KEYWORDS {
                let text = labelled.text(keyword).unwrap_or_default();
                assert!(text.len() <= rig::MAX_TEXT_BYTES);
            }
        }
        Some(Err(Unread::Io(error))) => panic!("memory can't fail: {error}"),
        Some(Err(error)) => {
            let said = error.to_string();
            assert_eq!(said.lines().count(), 1, "{said}");
            assert!(!said.contains(['{', '}', '(', '_']), "{said}");
        }
    }
}

/// How the folders of the decoders' code begin.
const THEIRS: [&str; 5] = ["png-", "fdeflate-", "image-", "zune-jpeg-", "zune-core-"];

thread_local! {
    static IS_DECODERS: Cell<bool> = const { Cell::new(false) };
}

/// What `read` gives; `None` where it ended in a panic of the decoder's own code.
/// Any other panic goes on.
fn unless_the_decoder_gives_up<T>(read: impl FnOnce() -> T) -> Option<T> {
    static HOOK: Once = Once::new();
    // The fuzzer's own hook ends the process.
    HOOK.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |panic| {
            let place = panic.location().map_or("", |place| place.file());
            let mut folders = place.split(['/', '\\']);
            if folders.any(|folder| THEIRS.iter().any(|crate_| folder.starts_with(crate_))) {
                IS_DECODERS.set(true);
            } else {
                before(panic);
            }
        }));
    });
    IS_DECODERS.set(false);
    match panic::catch_unwind(AssertUnwindSafe(read)) {
        Ok(read) => Some(read),
        Err(_) if IS_DECODERS.get() => None,
        Err(panic) => panic::resume_unwind(panic),
    }
}
