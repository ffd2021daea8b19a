//! Pictures as PNG files that say which rig they were made from.

use std::io::{self, Write};

use png::{
    BitDepth, ColorType, Compression, Encoder, PixelDimensions, SrgbRenderingIntent, Unit, Writer,
};
use throughline::raster::Picture;
use throughline::rig::PxRect;

/// Keyword of the text chunk that holds the rig file.
pub const RIG_KEYWORD: &str = "Rig file";
/// Keyword of the text chunk that holds the rig file of the panels as they
/// stand, where they stand otherwise.
pub const BUILT_KEYWORD: &str = "Built rig file";
/// Keyword of the text chunk that says how a seat view looks.
pub const VIEW_KEYWORD: &str = "Seat view";

/// Writes a part of a picture, with the rig's text and the size of its pixels.
pub fn write(
    picture: &Picture,
    part: PxRect,
    rig_text: &str,
    pitch_mm: [f64; 2],
    out: &mut dyn Write,
) -> io::Result<()> {
    write_with(picture, part, &[(RIG_KEYWORD, rig_text)], pitch_mm, out)
}

/// As [`write`], with any text chunks, each a keyword and a text.
pub fn write_with(
    picture: &Picture,
    part: PxRect,
    texts: &[(&str, &str)],
    pitch_mm: [f64; 2],
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut encoder = plain(out, [part.w, part.h]);
    encoder.set_compression(Compression::Fast);
    let [xppu, yppu] = pitch_mm.map(|pitch| (1000.0 / pitch).round() as u32);
    encoder.set_pixel_dims(Some(PixelDimensions {
        xppu,
        yppu,
        unit: Unit::Meter,
    }));
    for (keyword, text) in texts {
        encoder.add_itxt_chunk((*keyword).to_owned(), (*text).to_owned())?;
    }
    let mut writer = encoder.write_header()?;
    write_rows(&mut writer, picture, part)?;
    writer.finish()?;
    Ok(())
}

/// Writes a picture that no rig was drawn for.
pub fn write_plain(picture: &Picture, out: &mut dyn Write) -> io::Result<()> {
    let [w, h] = picture.size_px();
    let mut writer = plain(out, [w, h]).write_header()?;
    write_rows(&mut writer, picture, PxRect { x: 0, y: 0, w, h })?;
    writer.finish()?;
    Ok(())
}

/// Writes pictures of one size that are shown in turn, for ever. Each stays for
/// two seconds: a picture that flashes up to three times in a second can harm
/// people, and this is far from it (WCAG 2, success criterion 2.3.1).
pub fn write_in_turn(pictures: &[Picture; 2], out: &mut dyn Write) -> io::Result<()> {
    let [w, h] = pictures[0].size_px();
    let mut encoder = plain(out, [w, h]);
    encoder.set_animated(pictures.len() as u32, 0)?;
    encoder.set_frame_delay(2, 1)?;
    let mut writer = encoder.write_header()?;
    for picture in pictures {
        write_rows(&mut writer, picture, PxRect { x: 0, y: 0, w, h })?;
    }
    writer.finish()?;
    Ok(())
}

fn plain(out: &mut dyn Write, [w, h]: [u32; 2]) -> Encoder<'static, &mut dyn Write> {
    let mut encoder = Encoder::new(out, w, h);
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    encoder
}

fn write_rows(
    writer: &mut Writer<&mut dyn Write>,
    picture: &Picture,
    part: PxRect,
) -> io::Result<()> {
    let mut stream = writer.stream_writer()?;
    let mut row_rgb = vec![0; part.w as usize * 3];
    for row in part.y..part.bottom() {
        let rgba = picture.row(part, row).as_chunks::<4>().0;
        for (rgb, [r, g, b, _]) in row_rgb.as_chunks_mut::<3>().0.iter_mut().zip(rgba) {
            *rgb = [*r, *g, *b];
        }
        stream.write_all(&row_rgb)?;
    }
    stream.finish()?;
    Ok(())
}
