//! Where to photograph a rig from.

use crate::geometry::LitEdge;
use crate::rig::Rig;

/// Where three photographs are best taken from: to the right of where the eye is, and
/// ahead of it, in millimetres. Every seam is then seen from places far enough apart.
pub const PLACES_MM: [[f64; 2]; 3] = [[0.0, 0.0], [-350.0, -250.0], [350.0, -250.0]];

/// What to heed with the camera.
pub const HEED: [&str; 3] = [
    "One photograph from each place, the first from where your eye is: each with as much of \
     the panels as it can show, and every seam in two of them.",
    "JPEG at full resolution, main lens at 1x; no zoom, panorama, portrait or wide mode. Lamps \
     off, exposed for the screens, held still. Move nothing in between.",
    "Level the panel straight ahead first: no photograph shows what is level.",
];

/// The lit surfaces from above at their middle height: points from left to right, to the
/// right of the eye and ahead of it, in millimetres.
pub fn from_above(rig: &Rig) -> Vec<Vec<[f64; 2]>> {
    const PIECES: u32 = 24;
    let surfaces = rig.layout().surfaces().iter();
    surfaces
        .map(|surface| {
            let [from, to] = [LitEdge::Left, LitEdge::Right].map(|edge| surface.edge_s_mm(edge));
            (0..=PIECES)
                .map(|piece| {
                    let s = from + (to - from) * f64::from(piece) / f64::from(PIECES);
                    let point = surface.point_mm(s, 0.0);
                    [point.x, -point.z]
                })
                .collect()
        })
        .collect()
}
