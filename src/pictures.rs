//! Pictures out of PNG files, whoever wrote them.
//!
//! A file may be anything. What is read of it is bounded before it is read: the
//! pixels by [`Canvas`]'s limits, the texts by [`rig::MAX_TEXT_BYTES`], and all
//! else by [`MAX_BESIDE_BYTES`]. The decoder itself may still panic over a file;
//! who must not end then calls [`read`] where that is caught.

use std::fmt::{self, Display};
use std::io::{self, BufRead, Seek};

use png::{ColorType, Decoder, Info, Limits, Reader, Transformations};

use crate::light::Tables;
use crate::raster::Picture;
use crate::rig::{self, Canvas};

mod faults;
pub mod photograph;

/// Most memory for all that is in a file beside its pixels, in bytes.
pub const MAX_BESIDE_BYTES: usize = 16 << 20;

/// How every PNG file begins (ISO/IEC 15948, 5.2).
const SIGNATURE: [u8; 8] = *b"\x89PNG\r\n\x1a\n";

/// A picture, and what its file says in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Labelled {
    /// Its pixels; what was transparent stands on black.
    pub picture: Picture,
    texts: Vec<(String, String)>,
}

impl Labelled {
    /// The text with a keyword, of those that were asked for.
    pub fn text(&self, keyword: &str) -> Option<&str> {
        let found = self.texts.iter().find(|(known, _)| known == keyword);
        found.map(|(_, text)| text.as_str())
    }
}

/// Why there is no picture. All but [`Unread::Io`] read as the end of a
/// sentence that begins with the file's name.
#[derive(Debug)]
pub enum Unread {
    /// The file can't be read.
    Io(io::Error),
    /// It is something else.
    NoPng,
    /// It ends too early.
    CutShort,
    /// It has more pixels than are read; its columns and rows.
    TooLarge([u32; 2]),
    /// It is broken: how, for people.
    Broken(&'static str),
    /// Whoever asked wants none of this size; its columns and rows.
    Unwanted([u32; 2]),
}

impl Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unread::Io(error) => error.fmt(f),
            Unread::NoPng => f.write_str("is not a PNG picture; save it as PNG first"),
            Unread::CutShort => {
                f.write_str("is not a whole PNG picture: it ends too early; write it anew")
            }
            Unread::TooLarge([w, h]) => write!(
                f,
                "is {w} x {h} pixels, but at most {side} a side and {area} in all can be read: \
                 save it smaller",
                side = Canvas::MAX_SIDE_PX,
                area = Canvas::MAX_AREA_PX
            ),
            Unread::Broken(how) => write!(f, "is not a PNG picture that can be read: {how}"),
            Unread::Unwanted([w, h]) => write!(f, "is {w} x {h} pixels, which is another size"),
        }
    }
}

impl std::error::Error for Unread {}

/// Reads a picture, and the texts with some keywords. `is_wanted` sees its columns
/// and rows before there is room for a pixel.
///
/// # Errors
///
/// [`Unread`], where there is no picture, or one that is too large or not wanted.
/// A text that is too long or broken counts as none.
///
/// # Panics
///
/// Where the decoder does, over files that it knows nothing to say about.
pub fn read(
    mut file: impl BufRead + Seek,
    keywords: &[&str],
    is_wanted: impl FnOnce([u32; 2]) -> bool,
) -> Result<Labelled, Unread> {
    if !file.fill_buf().map_err(Unread::Io)?.starts_with(&SIGNATURE) {
        return Err(Unread::NoPng);
    }
    let limits = Limits {
        bytes: MAX_BESIDE_BYTES,
    };
    let mut decoder = Decoder::new_with_limits(file, limits);
    // Profiles would be expanded, and nothing here goes by them.
    decoder.set_ignore_iccp_chunk(true);
    decoder.set_ignore_text_chunk(keywords.is_empty());
    decoder.set_transformations(
        Transformations::EXPAND | Transformations::STRIP_16 | Transformations::ALPHA,
    );
    let header = decoder.read_header_info().map_err(faults::said)?;
    let size_px = [header.width, header.height];
    let is_long = size_px.iter().any(|&side| side > Canvas::MAX_SIDE_PX);
    if is_long || u64::from(size_px[0]) * u64::from(size_px[1]) > Canvas::MAX_AREA_PX {
        return Err(Unread::TooLarge(size_px));
    }
    if !is_wanted(size_px) {
        return Err(Unread::Unwanted(size_px));
    }
    let mut reader = decoder.read_info().map_err(faults::said)?;
    let picture = pixels(&mut reader, size_px)?;
    let texts = texts(reader.info(), keywords);
    Ok(Labelled { picture, texts })
}

/// All rows, each put on black as it comes.
fn pixels<R: BufRead + Seek>(reader: &mut Reader<R>, size_px: [u32; 2]) -> Result<Picture, Unread> {
    let mut picture = Picture::new(size_px);
    let stride = picture.stride();
    let is_grey = reader.output_color_type().0 == ColorType::GrayscaleAlpha;
    let mut rgba = vec![0; stride];
    let mut below = 0;
    while let Some(row) = reader.next_interlaced_row().map_err(faults::said)? {
        let per_pixel = if is_grey { 2 } else { 4 };
        let columns = row.data().len() / per_pixel;
        let rgba = &mut rgba[..columns * 4];
        if is_grey {
            let pairs = row.data().as_chunks::<2>().0;
            for (pixel, &[grey, alpha]) in rgba.as_chunks_mut::<4>().0.iter_mut().zip(pairs) {
                *pixel = [grey, grey, grey, alpha];
            }
        } else {
            rgba.copy_from_slice(row.data());
        }
        on_black(rgba);
        match row.interlace() {
            png::InterlaceInfo::Adam7(pass) => {
                png::expand_interlaced_row(picture.bytes_mut(), stride, rgba, pass, 32);
            }
            png::InterlaceInfo::Null(_) => {
                picture.bytes_mut()[below..below + stride].copy_from_slice(rgba);
                below += stride;
            }
        }
    }
    Ok(picture)
}

/// The first text with each of the keywords.
fn texts(info: &Info, keywords: &[&str]) -> Vec<(String, String)> {
    let text = |keyword: &str| {
        let wide = info.utf8_text.iter().find(|chunk| chunk.keyword == keyword);
        if let Some(mut chunk) = wide.cloned() {
            chunk.decompress_text_with_limit(rig::MAX_TEXT_BYTES).ok()?;
            return chunk.get_text().ok();
        }
        let plain = &info.uncompressed_latin1_text;
        if let Some(chunk) = plain.iter().find(|chunk| chunk.keyword == keyword) {
            return Some(chunk.text.clone());
        }
        let packed = &info.compressed_latin1_text;
        let mut chunk = packed
            .iter()
            .find(|chunk| chunk.keyword == keyword)?
            .clone();
        chunk.decompress_text_with_limit(rig::MAX_TEXT_BYTES).ok()?;
        chunk.get_text().ok()
    };
    let found = keywords
        .iter()
        .filter_map(|keyword| Some(((*keyword).to_owned(), text(keyword)?)));
    found
        .filter(|(_, text)| text.len() <= rig::MAX_TEXT_BYTES)
        .collect()
}

fn on_black(rgba: &mut [u8]) {
    let tables = Tables::get();
    for pixel in rgba.as_chunks_mut::<4>().0 {
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
