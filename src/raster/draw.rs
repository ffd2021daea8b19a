//! Draws marks into a picture, band by band on all cores.

use rayon::prelude::*;

use super::band::Band;
use super::ink::Ink;
use super::picture::Picture;
use crate::light::Colour;
use crate::pattern::Mark;
use crate::rig::PxRect;

/// Rows drawn together: few enough to stay in a core's cache.
const BAND_ROWS: usize = 72;

/// Draws `marks`, in order, on black inside `area`, and leaves the rest of the
/// picture as it is. The area lies inside the picture.
pub fn draw(marks: &[Mark], picture: &mut Picture, area: PxRect) {
    if area.w == 0 || area.h == 0 {
        return;
    }
    let mut inks: Vec<(Colour, Ink)> = Vec::new();
    let mut inked: Vec<(&Mark, PxRect, usize)> = Vec::with_capacity(marks.len());
    for mark in marks {
        let Some(bounds) = mark.bounds().and_then(|bounds| bounds.intersection(area)) else {
            continue;
        };
        let colour = mark.colour();
        let ink = inks
            .iter()
            .position(|(known, _)| *known == colour)
            .unwrap_or_else(|| {
                inks.push((colour, Ink::new(colour)));
                inks.len() - 1
            });
        inked.push((mark, bounds, ink));
    }

    let stride = picture.size_px()[0] as usize;
    let first = area.y as usize / BAND_ROWS;
    let last = (area.bottom() as usize).div_ceil(BAND_ROWS);
    picture
        .pixels_mut()
        .par_chunks_mut(stride * BAND_ROWS)
        .enumerate()
        .take(last)
        .skip(first)
        .for_each(|(index, pixels)| {
            let rows = PxRect {
                x: 0,
                y: (index * BAND_ROWS) as u32,
                w: area.right(),
                h: (pixels.len() / stride) as u32,
            };
            let Some(part) = rows.intersection(area) else {
                return;
            };
            let mut band = Band {
                pixels,
                stride,
                top: rows.y,
            };
            band.blacken(part);
            for (mark, bounds, ink) in &inked {
                let Some(clip) = bounds.intersection(part) else {
                    continue;
                };
                let ink = &inks[*ink].1;
                match mark {
                    Mark::Stroke(stroke) => band.stroke(stroke, ink, clip),
                    Mark::Bar(bar) => band.bar(bar, ink, clip),
                    Mark::Letter(letter) => band.letter(letter, ink, clip),
                }
            }
        });
}

/// The parts of the picture where two lists of marks differ: rectangles that
/// may overlap, none where the lists are equal. Redrawing them with `after`
/// turns a picture of `before` into one of `after`.
pub fn changed(before: &[Mark], after: &[Mark]) -> Vec<PxRect> {
    let mut areas: Vec<PxRect> = Vec::new();
    let mut add = |mark: &Mark| {
        if let Some(bounds) = mark.bounds()
            && !areas.iter().any(|known| known.holds(bounds))
        {
            areas.retain(|known| !bounds.holds(*known));
            areas.push(bounds);
        }
    };
    let (mut old, mut new) = (before, after);
    loop {
        match (old, new) {
            ([a, old_rest @ ..], [b, new_rest @ ..]) if a == b => (old, new) = (old_rest, new_rest),
            ([], []) => break,
            _ => {
                let [gone, come] = replaced(old, new);
                old[..gone].iter().chain(&new[..come]).for_each(&mut add);
                (old, new) = (&old[gone..], &new[come..]);
            }
        }
    }
    joined(areas)
}

/// Joins areas that lie so close that one redraw costs less than two.
fn joined(mut areas: Vec<PxRect>) -> Vec<PxRect> {
    let size = |rect: PxRect| u64::from(rect.w) * u64::from(rect.h);
    let mut index = 0;
    while index < areas.len() {
        let near = (index + 1..areas.len()).find(|&other| {
            let union = areas[index].union(areas[other]);
            size(union) * 10 <= (size(areas[index]) + size(areas[other])) * 11
        });
        match near {
            Some(other) => {
                areas[index] = areas[index].union(areas[other]);
                areas.swap_remove(other);
                // The larger area may reach those that were too far before.
                index = 0;
            }
            None => index += 1,
        }
    }
    areas
}

/// How many marks at the front of two lists give way to one another before the
/// lists agree again. Any answer is correct; a small one leaves more undisturbed.
fn replaced(old: &[Mark], new: &[Mark]) -> [usize; 2] {
    /// A label's letters and plates come and go by the dozen.
    const LOOK_AHEAD: usize = 48;
    for k in 1..=LOOK_AHEAD {
        let agree = |i: usize, j: usize| match (old.get(i), new.get(j)) {
            (Some(a), Some(b)) => a == b,
            (a, b) => a.is_none() && b.is_none(),
        };
        for [gone, come] in [[k, k], [k, 0], [0, k]] {
            if agree(gone, come) {
                return [gone, come];
            }
        }
    }
    [old.len().min(1), new.len().min(1)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::Bar;

    #[test]
    fn a_bars_edges_may_lie_between_pixels() {
        let area = PxRect {
            x: 0,
            y: 0,
            w: 3,
            h: 1,
        };
        let bar = Bar {
            edges: [0.5, 0.0, 2.0, 1.0],
            clip: area,
            colour: Colour([255, 255, 255]),
        };
        let mut picture = Picture::new([3, 1]);
        draw(&[Mark::Bar(bar)], &mut picture, area);
        // IEC 61966-2-1: half the light has code 188.
        assert_eq!(
            picture.bytes(),
            [188, 188, 188, 255, 255, 255, 255, 255, 0, 0, 0, 255]
        );
    }
}
