//! A drawing as pixels, by way of its SVG.

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

use super::paper::PAPER_MM;
use crate::raster::Picture;
use crate::typeset;

/// The picture of a drawing's SVG at so many pixels to the inch.
///
/// # Errors
///
/// A sentence for people where the text is no such SVG or the picture would be
/// too large.
pub fn picture(svg: &str, px_per_inch: f64) -> Result<Picture, String> {
    let mut options = Options::default();
    for face in typeset::faces() {
        options.fontdb_mut().load_font_data(face.to_vec());
    }
    options.font_family = typeset::FAMILY.to_owned();
    let tree = Tree::from_str(svg, &options)
        .map_err(|error| format!("the drawing is no readable SVG: {error}"))?;
    let [width, height] = PAPER_MM.map(|mm| (mm / 25.4 * px_per_inch).round() as u32);
    let mut pixmap = Pixmap::new(width, height)
        .ok_or_else(|| format!("a picture of {width} x {height} pixels can't be made"))?;
    let scale = Transform::from_scale(
        width as f32 / tree.size().width(),
        height as f32 / tree.size().height(),
    );
    resvg::render(&tree, scale, &mut pixmap.as_mut());
    let mut picture = Picture::new([width, height]);
    // The paper covers everything, so that nothing is transparent.
    picture.bytes_mut().copy_from_slice(pixmap.data());
    Ok(picture)
}
