//! Where the pattern's lines break when the panels stand otherwise.

use glam::DVec3;

use crate::geometry::{Layout, LineBreak, LitEdge, Surface, edge_break};
use crate::pattern::{Layer, Line};

/// One line at one seam.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Index of the seam, from 0 at the left.
    pub seam: usize,
    /// The line's name.
    pub line: String,
    /// The line's layer.
    pub layer: Layer,
    /// What the eye sees of it there.
    pub found: LineBreak,
}

impl Reading {
    /// Whether the pattern draws the line over this seam: a ladder's rung stands
    /// at its own seam only, though its plane may reach others.
    pub fn is_drawn(&self) -> bool {
        self.layer != Layer::Ladders || self.line.ends_with(&format!("-{}", self.seam + 1))
    }
}

/// The surfaces that a picture was drawn for, at every seam: the one that ends
/// at the left panel's edge and the one that begins at the right panel's.
pub type Drawn = Vec<[Surface; 2]>;

/// The surfaces at the seams of a laid-out rig.
pub fn at_seams(layout: &Layout) -> Drawn {
    layout
        .surfaces()
        .windows(2)
        .map(|pair| [pair[0], pair[1]])
        .collect()
}

/// The surfaces at a rig's seams, of a laid-out rig that has so many panels for each
/// of its own.
pub fn at_seams_of_pieces(layout: &Layout, pieces: &[usize]) -> Drawn {
    let mut next = 0;
    let seams = pieces.len().saturating_sub(1);
    (pieces.iter().take(seams))
        .filter_map(|count| {
            next += count;
            let surfaces = layout.surfaces();
            Some([*surfaces.get(next.checked_sub(1)?)?, *surfaces.get(next)?])
        })
        .collect()
}

/// Every line's break at every seam both of whose lit edges it reaches, seam by
/// seam, with the eye at `eye` in the seat frame of `built`. Of a seam that the
/// eye sees from behind there is none.
pub fn readings(drawn: &Drawn, built: &Layout, lines: &[Line], eye: DVec3) -> Vec<Reading> {
    let faces = |surface: &Surface, edge: LitEdge| {
        let s = surface.edge_s_mm(edge);
        surface.normal(s).dot(eye - surface.point_mm(s, 0.0)) > 0.0
    };
    let seams = drawn.iter().enumerate().filter(|(seam, _)| {
        let [left, right] = built.seam(*seam);
        faces(left, LitEdge::Right) && faces(right, LitEdge::Left)
    });
    seams
        .flat_map(|(seam, [left, right])| {
            lines.iter().filter_map(move |line| {
                Some(Reading {
                    seam,
                    line: line.name.clone(),
                    layer: line.layer,
                    found: edge_break([left, right], built.seam(seam), line.plane, eye)?,
                })
            })
        })
        .collect()
}

/// The reading with the largest break; `None` where there is none.
pub fn worst<'a>(readings: impl IntoIterator<Item = &'a Reading>) -> Option<&'a Reading> {
    readings
        .into_iter()
        .max_by(|one, other| size(one).total_cmp(&size(other)))
}

fn size(reading: &Reading) -> f64 {
    reading.found.break_rad.abs()
}
