//! Pictures as PNG files that say which rig they were made from.

use std::io::{self, Write};

use png::{
    BitDepth, ColorType, Compression, Encoder, PixelDimensions, SrgbRenderingIntent, Unit, Writer,
};
use throughline::pattern::Mark;
use throughline::raster::{Picture, draw_rows};
use throughline::rig::PxRect;

/// Keyword of the text chunk that holds the rig file.
pub(crate) const RIG_KEYWORD: &str = "Rig file";
/// Keyword of the text chunk that holds the rig file of the panels as they
/// stand, where they stand otherwise.
pub(crate) const BUILT_KEYWORD: &str = "Built rig file";
/// Keyword of the text chunk that says how a seat view looks.
pub(crate) const VIEW_KEYWORD: &str = "Seat view";

/// Draws a part of a rig's canvas and writes it, with the rig's text and the size
/// of its pixels. The part is written while it is drawn.
pub(crate) fn draw(
    marks: &[Mark],
    part: PxRect,
    rig_text: &str,
    pitch_mm: [f64; 2],
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut writer = with_texts(out, part, &[(RIG_KEYWORD, rig_text)], pitch_mm)?;
    let mut stream = writer.stream_writer()?;
    let mut row_rgb = vec![0; part.w as usize * 3];
    draw_rows(marks, part, |row| {
        stream.write_all(in_rgb(row, &mut row_rgb))
    })?;
    stream.finish()?;
    writer.finish()?;
    Ok(())
}

/// Writes a part of a picture, with the rig's text and the size of its pixels.
pub(crate) fn write(
    picture: &Picture,
    part: PxRect,
    rig_text: &str,
    pitch_mm: [f64; 2],
    out: &mut dyn Write,
) -> io::Result<()> {
    write_with(picture, part, &[(RIG_KEYWORD, rig_text)], pitch_mm, out)
}

/// As [`write`], with any text chunks, each a keyword and a text.
pub(crate) fn write_with(
    picture: &Picture,
    part: PxRect,
    texts: &[(&str, &str)],
    pitch_mm: [f64; 2],
    out: &mut dyn Write,
) -> io::Result<()> {
    let mut writer = with_texts(out, part, texts, pitch_mm)?;
    write_rows(&mut writer, picture, part)?;
    writer.finish()?;
    Ok(())
}

fn with_texts<'a>(
    out: &'a mut dyn Write,
    part: PxRect,
    texts: &[(&str, &str)],
    pitch_mm: [f64; 2],
) -> io::Result<Writer<&'a mut dyn Write>> {
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
    Ok(encoder.write_header()?)
}

/// Writes a picture that no rig was drawn for.
pub(crate) fn write_plain(picture: &Picture, out: &mut dyn Write) -> io::Result<()> {
    let [w, h] = picture.size_px();
    let mut writer = plain(out, [w, h]).write_header()?;
    write_rows(&mut writer, picture, PxRect { x: 0, y: 0, w, h })?;
    writer.finish()?;
    Ok(())
}

/// Writes pictures of one size that are shown in turn, for ever. Each stays for
/// two seconds: a picture that flashes up to three times in a second can harm
/// people, and this is far from it (WCAG 2, success criterion 2.3.1).
pub(crate) fn write_in_turn(pictures: &[Picture; 2], out: &mut dyn Write) -> io::Result<()> {
    let [w, h] = pictures[0].size_px();
    let mut encoder = plain(out, [w, h]);
    encoder.set_animated(pictures.len() as u32, 0)?;
    encoder.set_frame_delay(2, 1)?;
    let mut writer = encoder.write_header()?;
    for picture in pictures {
        // Whole pictures: a stream puts the second one's rows into chunks of the first.
        writer.write_image_data(&rgb(picture))?;
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
        let row = picture.row(part, row).as_chunks::<4>().0;
        stream.write_all(in_rgb(row, &mut row_rgb))?;
    }
    stream.finish()?;
    Ok(())
}

/// All pixels of a picture without their alpha.
fn rgb(picture: &Picture) -> Vec<u8> {
    let pixels = picture.bytes().as_chunks::<4>().0;
    pixels
        .iter()
        .flat_map(|[r, g, b, _]| [*r, *g, *b])
        .collect()
}

/// A row without its alpha.
fn in_rgb<'a>(row: &[[u8; 4]], room: &'a mut [u8]) -> &'a [u8] {
    for (rgb, [r, g, b, _]) in room.as_chunks_mut::<3>().0.iter_mut().zip(row) {
        *rgb = [*r, *g, *b];
    }
    room
}
