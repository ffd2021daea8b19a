//! The pictures beside the demo rigs are what the program draws.

use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::path::PathBuf;

use throughline::pattern::{Guides, Layers, Pattern};
use throughline::raster::{Picture, draw};
use throughline::rig::{PxRect, demos, read};
use throughline::typeset::Typesetter;

fn rgb(picture: &Picture) -> Vec<u8> {
    picture
        .bytes()
        .as_chunks::<4>()
        .0
        .iter()
        .flat_map(|[r, g, b, _]| [*r, *g, *b])
        .collect()
}

fn save(path: &PathBuf, [w, h]: [u32; 2], rgb: &[u8]) {
    let file = BufWriter::new(File::create(path).expect("the picture can be written"));
    let mut encoder = png::Encoder::new(file, w, h);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_compression(png::Compression::High);
    let mut writer = encoder.write_header().expect("a header");
    writer.write_image_data(rgb).expect("the picture's rows");
}

fn load(path: &PathBuf) -> ([u32; 2], Vec<u8>) {
    let file = BufReader::new(File::open(path).expect("there is a picture beside each demo"));
    let mut reader = png::Decoder::new(file).read_info().expect("a PNG");
    let mut bytes = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut bytes).expect("a whole picture");
    assert_eq!(info.color_type, png::ColorType::Rgb);
    bytes.truncate(info.buffer_size());
    ([info.width, info.height], bytes)
}

/// Share of the channel values that differ by more than a code: the last digits
/// of sines and cosines may differ between machines.
fn differing(a: &[u8], b: &[u8]) -> f64 {
    let differ = a.iter().zip(b).filter(|(a, b)| a.abs_diff(**b) > 1).count();
    differ as f64 / a.len() as f64
}

#[test]
fn demo_pictures_are_up_to_date() {
    for demo in demos() {
        let rig = read(demo.text, demo.name, &[]).expect("sound");
        let size = rig.canvas().size_px;
        let pattern = Pattern::new(&rig, &Guides::of(&rig), Layers::ALL, &mut Typesetter::new());
        let mut picture = Picture::new(size);
        draw(
            pattern.marks(),
            &mut picture,
            PxRect {
                x: 0,
                y: 0,
                w: size[0],
                h: size[1],
            },
        );
        let actual = rgb(&picture);

        let path =
            PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("rigs/{}.png", demo.name));
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            save(&path, size, &actual);
            continue;
        }
        let (expected_size, expected) = load(&path);
        assert_eq!(expected_size, size, "{}", demo.name);
        let share = differing(&expected, &actual);
        if share > 1e-5 {
            let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
            save(
                &folder.join(format!("{}-actual.png", demo.name)),
                size,
                &actual,
            );
            let difference: Vec<u8> = expected
                .iter()
                .zip(&actual)
                .map(|(a, b)| a.abs_diff(*b))
                .collect();
            save(
                &folder.join(format!("{}-difference.png", demo.name)),
                size,
                &difference,
            );
            panic!(
                "{}: {share} of the picture differs; see {}, or renew it with UPDATE_EXPECTED=1",
                demo.name,
                folder.display()
            );
        }

        // The comparison sees a single line drawn a pixel lower.
        let row = size[0] as usize * 3;
        let shifted = [&actual[row..], &actual[..row]].concat();
        assert!(
            differing(&expected, &shifted) > 1e-4,
            "{}: blind",
            demo.name
        );
    }
}
