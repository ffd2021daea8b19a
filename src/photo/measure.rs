//! Photographs to the rig as it stands.

use super::camera::Camera;
use super::copies::copied;
use super::measurement::Measurement;
use super::model::Model;
use super::photograph::{Photograph, Reason};
use super::starts;
use super::task::{AT_FIRST, Odd, Solved, Task};
use crate::marks::Sighting;
use crate::parts::{Measure, PanelQuantity};
use crate::readings::Prior;
use crate::rig::Rig;
use crate::solve::{Priors, Space};

/// How far sizes and radii are usually off, as a share of them.
const SIZE: f64 = 0.002;
const RADIUS: f64 = 0.04;
/// How far the place of the eye's photograph may be from where the file has the eye: it is
/// the photograph that tells.
const SEAT_MM: f64 = 100.0;

/// Why photographs tell nothing: the reason of each.
#[derive(Debug, Clone, PartialEq)]
pub struct NothingTold {
    /// In the photographs' order; `None` where one is sound by itself.
    pub reasons: Vec<Option<Reason>>,
}

/// The rig as it stands: of all rigs around the file's the likeliest one.
///
/// `eye` is the photograph that is taken from where the eye is. Photographs that can't
/// serve are left out, with the reason; no order of them matters otherwise.
///
/// # Errors
///
/// Where none can serve, or all of them are at odds.
pub fn measure(
    rig: &Rig,
    photos: &[Photograph],
    eye: Option<usize>,
) -> Result<Measurement, NothingTold> {
    let mut reasons = alone(rig, photos, eye);
    let file = Model::new(space(rig, false), Vec::new(), None);
    let file = file.scene(&file.start());
    let mut cameras: Vec<Option<Camera>> = vec![None; photos.len()];
    for (index, photo) in photos.iter().enumerate() {
        if reasons[index].is_some() {
            continue;
        }
        let seen = spread(&photo.sightings, AT_FIRST);
        cameras[index] = starts::camera(&file, photo.size_px, &seen);
        if cameras[index].is_none() {
            reasons[index] = Some(Reason::NoPlace);
        }
    }
    loop {
        let used: Vec<usize> = (0..photos.len())
            .filter(|&i| reasons[i].is_none())
            .collect();
        let starts: Option<Vec<Camera>> = used.iter().map(|&index| cameras[index]).collect();
        let (false, Some(starts)) = (used.is_empty(), starts) else {
            return Err(NothingTold { reasons });
        };
        let task = Task {
            rig,
            photos,
            used,
            starts,
            eye,
        };
        let rough = task.rough();
        let solved = match task.odd_one(&rough) {
            Odd::One(index, reason) => {
                reasons[index] = Some(reason);
                continue;
            }
            Odd::None => Some(task.exact(rough)).filter(Solved::fits),
            Odd::Any => None,
        };
        let Some(solved) = solved else {
            for index in task.used {
                reasons[index] = Some(Reason::DoesNotFit);
            }
            return Err(NothingTold { reasons });
        };
        return Ok(Measurement::new(rig, photos, reasons, eye, &solved));
    }
}

/// What is wrong with each photograph, whatever the rig's numbers. That of the eye tells
/// where the eye is by one panel alone, as long as others tell of the seams.
fn alone(rig: &Rig, photos: &[Photograph], eye: Option<usize>) -> Vec<Option<Reason>> {
    let panels = rig.panels().len();
    let shown: Vec<Vec<usize>> = photos.iter().map(|photo| photo.panels(panels)).collect();
    let has_seam = shown.iter().any(|shown| shown.len() > 1);
    let mut reasons: Vec<Option<Reason>> = (shown.iter().enumerate())
        .map(|(index, shown)| match shown[..] {
            [] => Some(Reason::FewMarks),
            [_] if has_seam && Some(index) == eye => None,
            [one] if panels > 1 => Some(Reason::OnePanel(one)),
            _ => None,
        })
        .collect();
    let copies: Vec<Option<usize>> = (0..photos.len()).map(|i| copied(photos, i)).collect();
    for (reason, copy) in reasons.iter_mut().zip(copies) {
        *reason = reason.or(copy.map(Reason::CopyOf));
    }
    // A sensor's picture on its side is as large.
    let shape = |size: [u32; 2]| [size[0].min(size[1]), size[0].max(size[1])];
    let left = |reasons: &[Option<Reason>]| -> Vec<usize> {
        (0..photos.len())
            .filter(|&i| reasons[i].is_none())
            .collect()
    };
    let sound = left(&reasons);
    let like = |index: usize| {
        let own = shape(photos[index].size_px);
        sound
            .iter()
            .filter(|&&other| shape(photos[other].size_px) == own)
            .count()
    };
    // The first of the largest group.
    let most = sound.iter().rev().copied().max_by_key(|&index| like(index));
    if let Some(most) = most {
        let most_px = photos[most].size_px;
        for index in sound {
            let size_px = photos[index].size_px;
            if shape(size_px) != shape(most_px) {
                reasons[index] = Some(Reason::OtherSize { size_px, most_px });
            }
        }
    }
    reasons
}

/// The rigs around a file's, sizes and radii included; with the seat's numbers where the
/// eye's place is known.
pub(super) fn space(rig: &Rig, has_eye: bool) -> Space {
    let parts = rig.parts();
    let named = Measure::of_surfaces(parts)
        .into_iter()
        .filter_map(|measure| {
            let value = measure.plain(parts)?;
            let sigma = match measure {
                Measure::Panel(_, PanelQuantity::Width | PanelQuantity::Height) => SIZE * value,
                Measure::Panel(_, PanelQuantity::Radius) => RADIUS * value,
                Measure::Seat(_) => SEAT_MM,
                _ => return None,
            };
            Some(Prior { measure, sigma })
        });
    let named: Vec<Prior> = named.collect();
    let priors = Priors::new(rig, &named);
    let priors = if has_eye {
        priors
    } else {
        priors.without_seat()
    };
    Space::new(rig, &priors)
}

/// At most so many sightings of each panel, evenly spread.
pub(super) fn spread(sightings: &[Sighting], most: usize) -> Vec<Sighting> {
    let mut sorted = sightings.to_vec();
    sorted.sort_by(|one, other| {
        let rows = one.panel_px.y.total_cmp(&other.panel_px.y);
        let columns = one.panel_px.x.total_cmp(&other.panel_px.x);
        one.panel.cmp(&other.panel).then(rows).then(columns)
    });
    let of_panels = sorted.chunk_by(|one, other| one.panel == other.panel);
    let picked = of_panels.flat_map(|all| {
        let count = all.len().min(most);
        (0..count).map(move |place| all[(2 * place + 1) * all.len() / (2 * count)])
    });
    picked.collect()
}
