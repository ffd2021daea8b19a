//! Photographs out of JPEG and PNG files.
//!
//! A file may be anything. How much of it is read and how large a picture it may hold is
//! bounded beforehand, since the decoders don't ask before they take memory. They may
//! still panic over a file; who must not end then calls [`read`] where that is caught.

use std::fmt::{self, Display};
use std::io::{self, BufRead, ErrorKind, Seek, SeekFrom};

use image::error::{ImageError, UnsupportedErrorKind};
use image::{DynamicImage, ImageDecoder, ImageReader, Limits};

use crate::grey::Grey;

/// Longest side.
const MAX_SIDE_PX: u32 = 16_384;
/// Most memory for a picture's pixels, in bytes: 178 megapixels in colour. The file stands
/// beside them, and of a progressive JPEG file what they are made of, twice as much.
pub const MAX_BYTES: u64 = 512 << 20;
/// Largest file, in bytes: a decoder takes it into memory whole.
const MAX_FILE_BYTES: u64 = 512 << 20;

/// Which way up a photograph is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WayUp {
    /// As its camera noted that it was held.
    AsHeld,
    /// As the sensor's rows lie, which is how the lens sees it.
    AsStored,
}

/// Why there is no photograph. All but [`Unreadable::Io`] read as the end of a sentence
/// that begins with the file's name.
#[derive(Debug)]
pub enum Unreadable {
    /// The file can't be read.
    Io(io::Error),
    /// It is a HEIC or AVIF picture.
    Heif,
    /// It is something else.
    NoPicture,
    /// It is one of a kind that the decoders don't know.
    OtherKind,
    /// It has more pixels, or more bytes, than are read.
    TooLarge,
    /// It is damaged, cut short, or without pixels.
    Broken,
}

impl Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unreadable::Io(error) => error.fmt(f),
            Unreadable::Heif => f.write_str(
                "is a HEIC or AVIF picture, which can't be read here; choose the most compatible \
                 format (JPEG) in the camera's settings and take it again",
            ),
            Unreadable::NoPicture => {
                f.write_str("is neither a JPEG nor a PNG picture; save it as one of them first")
            }
            Unreadable::OtherKind => f.write_str(
                "is a picture of a kind that can't be read here; save it as a usual JPEG or PNG \
                 picture",
            ),
            Unreadable::TooLarge => write!(
                f,
                "is too large: at most {MAX_SIDE_PX} pixels a side and 512 MiB in memory can be \
                 read; save it smaller"
            ),
            Unreadable::Broken => f.write_str(
                "is not a whole picture that can be read: it is damaged or ends too early; copy \
                 it once more, or save it anew",
            ),
        }
    }
}

impl std::error::Error for Unreadable {}

impl From<io::Error> for Unreadable {
    fn from(error: io::Error) -> Unreadable {
        if error.kind() == ErrorKind::UnexpectedEof {
            Unreadable::Broken
        } else {
            Unreadable::Io(error)
        }
    }
}

impl From<ImageError> for Unreadable {
    fn from(error: ImageError) -> Unreadable {
        match error {
            ImageError::IoError(error) => error.into(),
            ImageError::Limits(_) => Unreadable::TooLarge,
            ImageError::Unsupported(what) => match what.kind() {
                UnsupportedErrorKind::Format(_) => Unreadable::NoPicture,
                _ => Unreadable::OtherKind,
            },
            _ => Unreadable::Broken,
        }
    }
}

/// Reads a photograph in shades of grey. Its pixels may take `most_bytes` in the file's
/// own depth and colours, at most [`MAX_BYTES`].
///
/// # Errors
///
/// [`Unreadable`], where the file is neither JPEG nor PNG, is broken, or is too large.
///
/// # Panics
///
/// Where a decoder does, over files that it knows nothing to say about.
pub fn read(
    mut file: impl BufRead + Seek,
    way_up: WayUp,
    most_bytes: u64,
) -> Result<Grey, Unreadable> {
    if is_heif(&mut file)? {
        return Err(Unreadable::Heif);
    }
    if file.seek(SeekFrom::End(0))? > MAX_FILE_BYTES {
        return Err(Unreadable::TooLarge);
    }
    file.rewind()?;
    let picture = decoded(file, way_up, most_bytes.min(MAX_BYTES))?;
    let grey = picture.into_luma8();
    let size_px = [grey.width(), grey.height()];
    Grey::new(size_px, grey.into_raw()).ok_or(Unreadable::Broken)
}

/// Whether the file begins as the still pictures of ISO/IEC 23008-12 do, with a box of
/// the type `ftyp`.
fn is_heif(file: &mut impl BufRead) -> io::Result<bool> {
    Ok(file.fill_buf()?.get(4..8) == Some(b"ftyp"))
}

fn decoded(
    file: impl BufRead + Seek,
    way_up: WayUp,
    most_bytes: u64,
) -> Result<DynamicImage, Unreadable> {
    let mut reader = ImageReader::new(file).with_guessed_format()?;
    let mut limits = Limits::default();
    limits.max_image_width = Some(MAX_SIDE_PX);
    limits.max_image_height = Some(MAX_SIDE_PX);
    limits.max_alloc = Some(most_bytes);
    reader.limits(limits);
    let mut decoder = reader.into_decoder()?;
    // The library asks its limits for what it needs beside the pixels, not for these.
    if decoder.total_bytes() > most_bytes {
        return Err(Unreadable::TooLarge);
    }
    let orientation = decoder.orientation()?;
    let mut picture = DynamicImage::from_decoder(decoder)?;
    if way_up == WayUp::AsHeld {
        picture.apply_orientation(orientation);
    }
    Ok(picture)
}
