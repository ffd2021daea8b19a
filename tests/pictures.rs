//! What is read of PNG files is what they show.

mod png_maker;

use std::io::Cursor;

use png_maker::{
    GREY, GREY_ALPHA, PALETTE, RGB, RGBA, bomb, chunk, file, header, interlaced, pixels, plain,
    stored,
};
use throughline::light::Tables;
use throughline::pictures::{Labelled, read};
use throughline::rig::MAX_TEXT_BYTES;

fn picture(bytes: &[u8], keywords: &[&str]) -> Labelled {
    read(Cursor::new(bytes), keywords, |_| true).expect("a picture")
}

fn samples(count: usize) -> Vec<u8> {
    (0..count)
        .map(|at| (at * 37 % 251) as u8 ^ (at / 7) as u8)
        .collect()
}

/// A code that shows through, on black.
fn shown(code: u8, alpha: u8) -> u8 {
    let tables = Tables::get();
    tables.code(tables.linear(code) * f32::from(alpha) / 255.0)
}

#[test]
fn rows_in_order_and_interlaced_show_the_same() {
    for size_px in [[1, 1], [2, 9], [5, 3], [11, 9], [17, 16]] {
        let count = (size_px[0] * size_px[1]) as usize;
        for (colour, per_pixel) in [(GREY, 1), (RGB, 3), (GREY_ALPHA, 2), (RGBA, 4)] {
            let samples = samples(count * per_pixel);
            let expected = samples.chunks(per_pixel).flat_map(|pixel| match *pixel {
                [grey] => [grey, grey, grey, 255],
                [grey, alpha] => {
                    let grey = shown(grey, alpha);
                    [grey, grey, grey, 255]
                }
                [r, g, b] => [r, g, b, 255],
                [r, g, b, alpha] => [shown(r, alpha), shown(g, alpha), shown(b, alpha), 255],
                _ => panic!("no colour"),
            });
            let expected: Vec<u8> = expected.collect();
            for bytes in [
                plain(size_px, colour, &samples),
                interlaced(size_px, colour, &samples),
            ] {
                let seen = picture(&bytes, &[]).picture;
                assert_eq!(seen.size_px(), size_px);
                assert_eq!(seen.bytes(), expected, "{size_px:?}, colour {colour}");
            }
        }
    }
}

#[test]
fn palettes_and_few_bits_are_spread_out() {
    let palette = [
        header([4, 1], 2, PALETTE, 0),
        chunk(b"PLTE", &[1, 2, 3, 40, 50, 60, 7, 8, 9]),
        chunk(b"tRNS", &[255, 128]),
        pixels(&[0, 0b00_01_10_00]),
    ];
    let [r, g, b] = [40, 50, 60].map(|code| shown(code, 128));
    assert_eq!(
        picture(&file(&palette), &[]).picture.bytes(),
        [1, 2, 3, 255, r, g, b, 255, 7, 8, 9, 255, 1, 2, 3, 255]
    );
    let bits = [header([3, 1], 1, GREY, 0), pixels(&[0, 0b1010_0000])];
    let white = [255; 4];
    assert_eq!(
        picture(&file(&bits), &[]).picture.bytes(),
        [white, [0, 0, 0, 255], white].concat()
    );
}

#[test]
fn texts_are_read_whichever_way_they_are_kept_up_to_their_limit() {
    let with = |chunks: &[Vec<u8>]| {
        let rest = [header([1, 1], 8, RGB, 0), chunks.concat(), pixels(&[0; 4])];
        picture(&file(&rest), &["Rig file", "Seat view"])
    };
    let packed = [b"Rig file\0\0".to_vec(), stored(b"packed \xe9")].concat();
    let wide = "Rig file\0\0\0de\0\0wide ü".as_bytes();
    let wide_packed = [b"Seat view\0\x01\0\0\0".to_vec(), stored("ü".as_bytes())].concat();
    let plain = chunk(b"tEXt", b"Rig file\0plain \xe9");
    let found = with(std::slice::from_ref(&plain));
    assert_eq!(found.text("Rig file"), Some("plain é"));
    assert_eq!(found.text("Seat view"), None);
    let found = with(&[chunk(b"zTXt", &packed), chunk(b"iTXt", &wide_packed)]);
    assert_eq!(found.text("Rig file"), Some("packed é"));
    assert_eq!(found.text("Seat view"), Some("ü"));
    assert_eq!(
        with(&[plain, chunk(b"iTXt", wide)]).text("Rig file"),
        Some("wide ü")
    );
    let foreign = with(&[chunk(b"tEXt", b"Comment\0hello")]);
    assert_eq!(foreign.text("Comment"), None);

    let just = MAX_TEXT_BYTES / 258;
    for (runs, is_read) in [(just, true), (just + 1, false)] {
        let long = [b"Rig file\0\0".to_vec(), bomb(runs)].concat();
        let found = with(&[chunk(b"zTXt", &long)]);
        let length = is_read.then_some(1 + 258 * runs);
        assert_eq!(found.text("Rig file").map(str::len), length, "{runs} runs");
        let long = [b"Rig file\0".to_vec(), vec![b'a'; 1 + 258 * runs]].concat();
        let found = with(&[chunk(b"tEXt", &long)]);
        assert_eq!(found.text("Rig file").is_some(), is_read, "{runs} runs");
    }
}

#[test]
fn the_size_is_seen_before_anything_else_is_read() {
    // No pixels follow.
    let bytes = file(&[header([30_000, 9], 8, RGB, 0)]);
    let mut seen = None;
    let refused = read(Cursor::new(&bytes), &[], |size_px| {
        seen = Some(size_px);
        false
    });
    assert_eq!(seen, Some([30_000, 9]));
    let said = refused.expect_err("refused").to_string();
    assert_eq!(said, "is 30000 x 9 pixels, which is another size");
}
