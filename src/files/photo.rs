//! Reads photographs: JPEG and PNG files.

use std::fs::File;
use std::io::{BufReader, Read, Seek};
use std::path::Path;

use image::error::ImageError;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits};
use throughline::grey::Grey;

use super::failure::Failure;
use super::needed::Files;
use crate::quiet::quietly;

/// Longest side of a photograph.
const MAX_SIDE_PX: u32 = 16_384;
/// Most memory that a decoder may take: 170 megapixels in colour.
const MAX_BYTES: u64 = 512 << 20;

/// Which way up a photograph is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum WayUp {
    /// As its camera noted that it was held.
    AsHeld,
    /// As the sensor's rows lie, which is how the lens sees it.
    AsStored,
}

/// Reads a photograph in shades of grey.
///
/// # Errors
///
/// Where the file can't be read, is neither JPEG nor PNG, is broken, or is too large.
pub(crate) fn read(path: &Path, way_up: WayUp, files: &mut Files) -> Result<Grey, Failure> {
    files.need(path)?;
    let mut file = File::open(path).map_err(|error| Failure::file("read", path, &error))?;
    let name = path.display();
    if is_heif(&mut file).map_err(|error| Failure::file("read", path, &error))? {
        return Err(Failure::new(format!(
            "{name} is a HEIC or AVIF picture, which can't be read here; choose the most \
             compatible format (JPEG) in the camera's settings and take it again"
        )));
    }
    let decoded = quietly(|| decode(file, way_up)).map_err(|_| {
        Failure::new(format!(
            "{name} is not a picture that can be read: the decoder gave up on it; save it anew"
        ))
    })?;
    let picture = decoded.map_err(|error| match error {
        ImageError::IoError(error) if error.kind() != std::io::ErrorKind::UnexpectedEof => {
            Failure::file("read", path, &error)
        }
        ImageError::Limits(_) => Failure::new(format!(
            "{name} is too large: at most {MAX_SIDE_PX} pixels a side and 512 MiB in memory can \
             be read; save it smaller"
        )),
        ImageError::Unsupported(_) => Failure::new(format!(
            "{name} is neither a JPEG nor a PNG picture; save it as one of them first"
        )),
        error => Failure::new(format!(
            "{name} is not a whole picture that can be read ({error}); save it anew"
        )),
    })?;
    let grey = picture.into_luma8();
    let size_px = [grey.width(), grey.height()];
    Grey::new(size_px, grey.into_raw())
        .ok_or_else(|| Failure::new(format!("{name} is a picture without pixels")))
}

/// Whether the file begins as the still pictures of ISO/IEC 23008-12 do, with a box of
/// the type `ftyp`; it stands at its beginning again.
fn is_heif(file: &mut File) -> std::io::Result<bool> {
    const BEGINNING: u64 = 12;
    let mut beginning = Vec::new();
    file.take(BEGINNING).read_to_end(&mut beginning)?;
    file.rewind()?;
    Ok(beginning.get(4..8) == Some(b"ftyp"))
}

fn decode(file: File, way_up: WayUp) -> Result<DynamicImage, ImageError> {
    let mut reader = ImageReader::new(BufReader::with_capacity(1 << 16, file));
    reader = reader.with_guessed_format()?;
    let mut limits = Limits::default();
    limits.max_image_width = Some(MAX_SIDE_PX);
    limits.max_image_height = Some(MAX_SIDE_PX);
    limits.max_alloc = Some(MAX_BYTES);
    reader.limits(limits);
    let mut decoder = reader.into_decoder()?;
    let orientation = decoder.orientation()?;
    let mut picture = DynamicImage::from_decoder(decoder)?;
    if way_up == WayUp::AsHeld {
        picture.apply_orientation(orientation);
    }
    Ok(picture)
}
