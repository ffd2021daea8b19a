//! From where each seam was seen, and from where it should be seen once more.

use glam::DVec3;

use super::camera::Camera;
use super::photograph::Photograph;
use crate::geometry::Layout;
use crate::parts::Parts;
use crate::parts::words::quoted;

/// How far two places must lie apart to tell a seam: what people are asked for is 300 mm,
/// and hands are given some room.
pub(super) const APART_MM: f64 = 250.0;
/// What people are asked for.
const ASKED_MM: f64 = 300.0;

/// What the photographs see of a seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamSeen {
    /// Which, from 0 at the left.
    pub seam: usize,
    /// How many photographs show both its panels.
    pub photos: usize,
    /// How far apart the two of them are taken that are farthest apart, in millimetres.
    pub apart_mm: f64,
    /// One more that would help, where it isn't measured.
    pub wanted: Option<Wanted>,
}

/// A photograph to add.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// The photograph to start from; `None` where none shows both panels.
    pub beside: Option<usize>,
    /// Whether to go left of it, or right.
    pub is_left: bool,
}

impl SeamSeen {
    /// Whether it was seen from two places far enough apart.
    pub fn is_measured(&self) -> bool {
        self.apart_mm >= APART_MM
    }

    /// Which photograph to add, as a sentence; `names` are those of all photographs.
    pub fn words(&self, names: &[String], parts: &Parts) -> Option<String> {
        let wanted = self.wanted?;
        let name = |panel: usize| parts.panels.get(panel).map_or("", |panel| &panel.name);
        let both = format!(
            "{} and {}",
            quoted(name(self.seam)),
            quoted(name(self.seam + 1))
        );
        let side = if wanted.is_left { "left" } else { "right" };
        let number = self.seam + 1;
        Some(match wanted.beside {
            Some(photo) => format!(
                "Seam {number} was seen from one place alone, and keeps the file's numbers: take \
                 one more photograph, from {ASKED_MM} mm further {side} than {}, that shows both \
                 {both}.",
                names
                    .get(photo)
                    .map_or("the one that shows it", |name| name)
            ),
            None => format!(
                "No photograph shows both {both}, so seam {number} keeps the file's numbers: take \
                 two, from {ASKED_MM} mm apart, the second further {side}, that show both.",
            ),
        })
    }
}

/// What the photographs that are used see of each seam; `used` are their places among
/// all photographs, and the layout stands in the cameras' frame.
pub(super) fn seams(
    layout: &Layout,
    photos: &[Photograph],
    used: &[(usize, Camera)],
) -> Vec<SeamSeen> {
    let count = layout.surfaces().len();
    let seam = |seam: usize| {
        let sees = |index: usize| {
            let panels = photos[index].panels(count);
            panels.contains(&seam) && panels.contains(&(seam + 1))
        };
        let seeing: Vec<&(usize, Camera)> = used.iter().filter(|(index, _)| sees(*index)).collect();
        let pairs = seeing.iter().flat_map(|(_, one)| {
            seeing
                .iter()
                .map(|(_, other)| (one.eye - other.eye).length())
        });
        let apart_mm = pairs.fold(0.0, f64::max);
        let wanted = (apart_mm < APART_MM).then(|| {
            let from = seeing.first();
            let eye = from.map_or(DVec3::ZERO, |(_, camera)| camera.eye);
            Wanted {
                beside: from.map(|(index, _)| *index),
                is_left: is_left_better(layout, seam, eye),
            }
        });
        SeamSeen {
            seam,
            photos: seeing.len(),
            apart_mm,
            wanted,
        }
    };
    (0..count.saturating_sub(1)).map(seam).collect()
}

/// Whether both panels at a seam are seen less slantingly from the left of an eye than
/// from the right of it: the worse of the two counts.
fn is_left_better(layout: &Layout, seam: usize, eye: DVec3) -> bool {
    let squareness = |side: f64| {
        let place = eye + DVec3::X * side * ASKED_MM;
        let facing = layout.seam(seam).map(|surface| {
            let to = (place - surface.middle).normalize_or_zero();
            to.dot(surface.z)
        });
        facing[0].min(facing[1])
    };
    squareness(-1.0) >= squareness(1.0)
}
