//! Which photographs are others again.

use glam::DVec2;

use super::photograph::Photograph;

/// Two hands' photographs, even from nearly one place, differ by more than this after the
/// best turn, scale and shift; copies don't, whatever packed them anew.
const SAME_PX: f64 = 0.35;
/// Marks that two must share to be compared.
const FEWEST: usize = 24;

/// The first photograph before the one at `index` that it is a copy of.
pub(super) fn copied(photos: &[Photograph], index: usize) -> Option<usize> {
    (0..index).find(|&other| is_copy(&photos[other], &photos[index]))
}

fn is_copy(one: &Photograph, other: &Photograph) -> bool {
    let key = |sighting: &crate::marks::Sighting| {
        let at = sighting.panel_px.round();
        (sighting.panel, at.x as i64, at.y as i64)
    };
    let places: std::collections::HashMap<_, _> = (other.sightings.iter())
        .map(|sighting| (key(sighting), sighting.photo_px))
        .collect();
    let pairs: Vec<[DVec2; 2]> = (one.sightings.iter())
        .filter_map(|sighting| Some([sighting.photo_px, *places.get(&key(sighting))?]))
        .collect();
    if pairs.len() < FEWEST {
        return false;
    }
    let count = pairs.len() as f64;
    let mean = |which: usize| pairs.iter().map(|pair| pair[which]).sum::<DVec2>() / count;
    let (from, to) = (mean(0), mean(1));
    // The turn and scale, as one complex factor, of least squares.
    let (mut factor, mut spread) = (DVec2::ZERO, 0.0);
    for [a, b] in &pairs {
        let (a, b) = (*a - from, *b - to);
        factor += DVec2::new(a.dot(b), a.perp_dot(b));
        spread += a.length_squared();
    }
    factor /= spread;
    let squares = pairs.iter().map(|[a, b]| {
        let (a, b) = (*a - from, *b - to);
        (b - factor.rotate(a)).length_squared()
    });
    (squares.sum::<f64>() / (2.0 * count)).sqrt() < SAME_PX
}
