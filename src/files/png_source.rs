//! Reads PNG files, with the text chunks that say what they show.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

use png::{ColorType, Decoder, DecodingError, Limits, Transformations};
use throughline::light::Tables;
use throughline::raster::Picture;
use throughline::rig::Canvas;

use super::failure::Failure;
use super::needed::Files;

/// A picture read from a file.
pub struct Source {
    /// Its pixels; what was transparent stands on black.
    pub picture: Picture,
    texts: Vec<(String, String)>,
}

impl Source {
    /// The text chunk with a keyword.
    pub fn text(&self, keyword: &str) -> Option<&str> {
        let found = self.texts.iter().find(|(known, _)| known == keyword);
        found.map(|(_, text)| text.as_str())
    }
}

/// Reads a picture. `accept` sees its size before any pixel is read, and says
/// what is wrong with it.
pub fn read(
    path: &Path,
    files: &mut Files,
    accept: impl FnOnce([u32; 2]) -> Result<(), String>,
) -> Result<Source, Failure> {
    files.need(path)?;
    let name = path.display();
    let file = File::open(path).map_err(|error| Failure::file("read", path, &error))?;
    let broken = |error: DecodingError| match error {
        DecodingError::IoError(error) if error.kind() != std::io::ErrorKind::UnexpectedEof => {
            Failure::file("read", path, &error)
        }
        DecodingError::IoError(_) => Failure::new(format!(
            "{name} is not a whole PNG picture: it ends too early; write it anew"
        )),
        error => Failure::new(format!(
            "{name} is not a PNG picture that can be read: {error}"
        )),
    };
    let mut file = BufReader::with_capacity(1 << 16, file);
    let start = file.fill_buf();
    let start = start.map_err(|error| Failure::file("read", path, &error))?;
    if !start.starts_with(&SIGNATURE) {
        return Err(Failure::new(format!(
            "{name} is not a PNG picture; save it as PNG first"
        )));
    }
    let mut decoder = Decoder::new_with_limits(
        file,
        Limits {
            bytes: TEXT_LIMIT_BYTES,
        },
    );
    decoder.set_transformations(
        Transformations::EXPAND | Transformations::STRIP_16 | Transformations::ALPHA,
    );
    let mut reader = decoder.read_info().map_err(broken)?;
    let info = reader.info();
    let size_px = [info.width, info.height];
    let fits = u64::from(size_px[0]) * u64::from(size_px[1]) <= Canvas::MAX_AREA_PX;
    if !fits {
        return Err(Failure::new(format!(
            "{name} is {} x {} pixels, but at most {} in all can be read",
            size_px[0],
            size_px[1],
            Canvas::MAX_AREA_PX
        )));
    }
    accept(size_px).map_err(Failure::new)?;
    let mut picture = Picture::new(size_px);
    match reader.output_color_type().0 {
        ColorType::Rgba => {
            reader.next_frame(picture.bytes_mut()).map_err(broken)?;
        }
        // Grey and alpha, the only other pair that the transformations leave.
        _ => {
            let mut pairs = vec![0; picture.bytes().len() / 2];
            reader.next_frame(&mut pairs).map_err(broken)?;
            let pixels = picture.bytes_mut().as_chunks_mut::<4>().0;
            for (pixel, [grey, alpha]) in pixels.iter_mut().zip(pairs.as_chunks::<2>().0) {
                *pixel = [*grey, *grey, *grey, *alpha];
            }
        }
    }
    let texts = texts(reader.info());
    on_black(&mut picture);
    Ok(Source { picture, texts })
}

/// How every PNG file begins (ISO/IEC 15948, 5.2).
const SIGNATURE: [u8; 8] = *b"\x89PNG\r\n\x1a\n";
/// Most memory for anything in the file but the pixels.
const TEXT_LIMIT_BYTES: usize = 16 << 20;

fn texts(info: &png::Info) -> Vec<(String, String)> {
    let plain = info.uncompressed_latin1_text.iter();
    let plain = plain.map(|chunk| (chunk.keyword.clone(), chunk.text.clone()));
    let packed = info.compressed_latin1_text.iter();
    let packed = packed.filter_map(|chunk| Some((chunk.keyword.clone(), chunk.get_text().ok()?)));
    let wide = info.utf8_text.iter();
    let wide = wide.filter_map(|chunk| Some((chunk.keyword.clone(), chunk.get_text().ok()?)));
    wide.chain(plain).chain(packed).collect()
}

fn on_black(picture: &mut Picture) {
    let tables = Tables::get();
    for pixel in picture.bytes_mut().as_chunks_mut::<4>().0 {
        let alpha = pixel[3];
        if alpha < 255 {
            let share = f32::from(alpha) / 255.0;
            for code in &mut pixel[..3] {
                *code = tables.code(tables.linear(*code) * share);
            }
            pixel[3] = 255;
        }
    }
}
