//! Screenshots, and comparing them with what `screenshot` writes.

use std::fs::{self, File};
use std::io::BufReader;
use std::path::Path;
use std::process::Command;

/// Rows of red, green and blue.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct Picture {
    /// Columns and rows.
    pub size: [usize; 2],
    pub rgb: Vec<u8>,
    /// The text chunks of the file, if it was one.
    pub texts: Vec<(String, String)>,
}

impl Picture {
    /// Reads a PNG of eight bits a channel.
    pub(crate) fn read(path: &Path) -> Picture {
        let file = BufReader::new(File::open(path).expect("the PNG is there"));
        let mut reader = png::Decoder::new(file).read_info().expect("a PNG");
        let size = reader.output_buffer_size().expect("fits in memory");
        let mut bytes = vec![0; size];
        let info = reader.next_frame(&mut bytes).expect("a whole PNG");
        let channels = info.color_type.samples();
        let rgb = bytes
            .chunks_exact(channels)
            .flat_map(|pixel| [pixel[0], pixel[1], pixel[2]])
            .collect();
        let chunks = &reader.info().utf8_text;
        let texts = chunks.iter().map(|chunk| {
            let text = chunk.get_text().expect("sound text");
            (chunk.keyword.clone(), text)
        });
        Picture {
            size: [info.width as usize, info.height as usize],
            rgb,
            texts: texts.collect(),
        }
    }

    /// Writes a PNG, for people to look at.
    pub(crate) fn write(&self, path: &Path) {
        let file = File::create(path).expect("it can be written");
        let [w, h] = self.size.map(|side| side as u32);
        let mut encoder = png::Encoder::new(std::io::BufWriter::new(file), w, h);
        encoder.set_color(png::ColorType::Rgb);
        let mut writer = encoder.write_header().expect("it can be written");
        writer
            .write_image_data(&self.rgb)
            .expect("it can be written");
    }

    /// Reads the X window dump of the root window, 32 bits a pixel.
    pub(crate) fn of_dump(bytes: &[u8]) -> Picture {
        let word = |index: usize| {
            let at = index * 4;
            let word = bytes[at..at + 4].try_into().expect("four bytes");
            u32::from_be_bytes(word) as usize
        };
        // X11/XWDFile.h: header size, …, width, height, …, bytes a line, …, colours.
        let (header, width, height) = (word(0), word(4), word(5));
        // Where windows of several depths are shown, the header tells the depth
        // in place of the bits a pixel; a line's bytes tell.
        let (stride, colours) = (word(12), word(19));
        assert_eq!(stride, width * 4, "the lab's screens have depth 24");
        let pixels = &bytes[header + colours * 12..];
        Picture::of_bgr_words([width, height], stride, pixels)
    }

    /// Reads rows of blue, green, red and one more byte.
    pub(crate) fn of_bgr_words(
        [width, height]: [usize; 2],
        stride: usize,
        bytes: &[u8],
    ) -> Picture {
        let mut rgb = Vec::with_capacity(width * height * 3);
        for row in 0..height {
            for pixel in bytes[row * stride..][..width * 4].chunks_exact(4) {
                rgb.extend([pixel[2], pixel[1], pixel[0]]);
            }
        }
        Picture {
            size: [width, height],
            rgb,
            texts: Vec::new(),
        }
    }

    /// Pixels that differ between a rectangle here and one at another place
    /// there: x, y, width and height here, then x and y there.
    pub(crate) fn differing(
        &self,
        [x, y, w, h]: [usize; 4],
        other: &Picture,
        at: [usize; 2],
    ) -> usize {
        let row = |picture: &Picture, x: usize, y: usize| {
            let start = (y * picture.size[0] + x) * 3;
            picture.rgb[start..start + w * 3].to_vec()
        };
        assert!(x + w <= self.size[0] && y + h <= self.size[1]);
        assert!(at[0] + w <= other.size[0] && at[1] + h <= other.size[1]);
        let rows = (0..h).map(|line| {
            let (one, two) = (row(self, x, y + line), row(other, at[0], at[1] + line));
            let pixels = one.chunks_exact(3).zip(two.chunks_exact(3));
            pixels.filter(|(a, b)| a != b).count()
        });
        rows.sum()
    }

    /// Pixels that aren't black inside a rectangle.
    pub(crate) fn lit(&self, [x, y, w, h]: [usize; 4]) -> usize {
        let rows = (y..y + h).map(|row| {
            let start = (row * self.size[0] + x) * 3;
            let pixels = self.rgb[start..start + w * 3].chunks_exact(3);
            pixels.filter(|pixel| **pixel != [0, 0, 0]).count()
        });
        rows.sum()
    }
}

/// What `screenshot` writes for a rig, with every seam's ladders, as a run shows it
/// that nobody watches.
pub(crate) fn expected(rig: &Path, settings: &[&str]) -> Picture {
    pictured(rig, settings, &[])
}

/// The same with the ladder of the first seam's turn alone, which is chosen first.
pub(crate) fn expected_first(rig: &Path, settings: &[&str]) -> Picture {
    pictured(rig, settings, &["--ladder", "1:fold"])
}

/// The same with these layers alone.
pub(crate) fn expected_layers(rig: &Path, layers: &str) -> Picture {
    pictured(rig, &[], &["--layers", layers])
}

/// The same with a frame of what moves alone.
pub(crate) fn expected_frame(rig: &Path, frame: u64) -> Picture {
    let frame = frame.to_string();
    pictured(rig, &[], &["--layers", "motion", "--frame", &frame])
}

/// The same with these further arguments.
pub(crate) fn pictured(rig: &Path, settings: &[&str], ladder: &[&str]) -> Picture {
    let out = rig.with_extension("expected.png");
    let mut command = Command::new(super::PROGRAM);
    command.arg("screenshot").arg(rig).arg("--out").arg(&out);
    command.args(ladder);
    for setting in settings {
        command.args(["--set", setting]);
    }
    super::run(&mut command).expect("the rig can be drawn");
    let picture = Picture::read(&out);
    fs::remove_file(&out).expect("just written");
    picture
}
