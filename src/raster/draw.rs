//! Draws marks into a picture, band by band on all cores.

use rayon::prelude::*;

use super::coverage::HalfPlane;
use super::picture::Picture;
use crate::light::Tables;
use crate::pattern::{Bar, Curve, Letter, Mark, Stroke};
use crate::rig::PxRect;

/// Rows drawn together: few enough to stay in a core's cache.
const BAND_ROWS: usize = 32;

/// Draws `marks`, in order, on black inside `area`, and leaves the rest of the
/// picture as it is. The area lies inside the picture.
pub fn draw(marks: &[Mark], picture: &mut Picture, area: PxRect) {
    if area.w == 0 || area.h == 0 {
        return;
    }
    let bounds: Vec<Option<PxRect>> = marks.iter().map(Mark::bounds).collect();
    let stride = picture.stride();
    let first = area.y as usize / BAND_ROWS;
    let last = (area.bottom() as usize).div_ceil(BAND_ROWS);
    picture
        .bytes_mut()
        .par_chunks_mut(stride * BAND_ROWS)
        .enumerate()
        .take(last)
        .skip(first)
        .for_each(|(index, bytes)| {
            let top = (index * BAND_ROWS) as u32;
            let rows = PxRect {
                x: 0,
                y: top,
                w: area.right(),
                h: (bytes.len() / stride) as u32,
            };
            let Some(part) = rows.intersection(area) else {
                return;
            };
            let mut band = Band { bytes, stride, top };
            band.blacken(part);
            for (mark, bounds) in marks.iter().zip(&bounds) {
                let Some(clip) = bounds.and_then(|b| b.intersection(part)) else {
                    continue;
                };
                match mark {
                    Mark::Stroke(stroke) => band.stroke(stroke, clip),
                    Mark::Bar(bar) => band.bar(bar, clip),
                    Mark::Letter(letter) => band.letter(letter, clip),
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

/// Some rows of a picture.
struct Band<'a> {
    bytes: &'a mut [u8],
    stride: usize,
    top: u32,
}

impl Band<'_> {
    fn blacken(&mut self, part: PxRect) {
        for row in part.y..part.bottom() {
            let start = self.index(part.x, row);
            let bytes = &mut self.bytes[start..start + part.w as usize * 4];
            bytes.as_chunks_mut::<4>().0.fill([0, 0, 0, 255]);
        }
    }

    #[inline]
    fn index(&self, x: u32, y: u32) -> usize {
        (y - self.top) as usize * self.stride + x as usize * 4
    }

    /// Covers a pixel's share with a colour given in linear light.
    #[inline]
    fn blend(&mut self, index: usize, light: [f32; 3], share: f32, tables: &Tables) {
        let pixel = &mut self.bytes[index..index + 4];
        if pixel[..3] == [0, 0, 0] {
            for (code, light) in pixel.iter_mut().zip(light) {
                *code = tables.code(light * share);
            }
        } else {
            for (code, light) in pixel.iter_mut().zip(light) {
                let under = tables.linear(*code);
                *code = tables.code(under + (light - under) * share);
            }
        }
    }

    fn stroke(&mut self, stroke: &Stroke, clip: PxRect) {
        let tables = Tables::get();
        let light = stroke.colour.linear();
        let half = stroke.width_px / 2.0;
        let rows = [f64::from(clip.y), f64::from(clip.bottom())];
        for [from, to] in column_spans(&stroke.curve, clip, half) {
            for x in from..to {
                let column = stroke.curve.column(x);
                let steepness = column.per_column.hypot(column.per_row);
                let normal = [column.per_column / steepness, column.per_row / steepness];
                if !(normal[0].is_finite() && normal[1].is_finite()) {
                    continue;
                }
                let edge = HalfPlane::new(normal);
                let at_top = column.at_top / steepness;
                let reach = half + edge.reach();
                // Pixel centres within reach: |at_top + normal·(row + ½)| < reach.
                let middle = -at_top / normal[1] - 0.5;
                let extent = reach / normal[1].abs();
                let first = (middle - extent).max(rows[0]).ceil();
                let last = (middle + extent).min(rows[1] - 1.0).floor();
                let (first, last) = if normal[1] == 0.0 {
                    if at_top.abs() >= reach {
                        continue;
                    }
                    (rows[0], rows[1] - 1.0)
                } else {
                    (first, last)
                };
                if first > last {
                    continue;
                }
                let mut index = self.index(x, first as u32);
                for row in first as u32..=last as u32 {
                    let distance = at_top + normal[1] * (f64::from(row) + 0.5);
                    let share = edge.band(distance, half) as f32;
                    self.blend(index, light, share, tables);
                    index += self.stride;
                }
            }
        }
    }

    fn bar(&mut self, bar: &Bar, clip: PxRect) {
        let tables = Tables::get();
        let light = bar.colour.linear();
        let [left, top, right, bottom] = bar.edges;
        let share = |from: f64, to: f64, at: u32| {
            let at = f64::from(at);
            (to.min(at + 1.0) - from.max(at)).clamp(0.0, 1.0)
        };
        for row in clip.y..clip.bottom() {
            let rows = share(top, bottom, row);
            for x in clip.x..clip.right() {
                let index = self.index(x, row);
                let part = (rows * share(left, right, x)) as f32;
                self.blend(index, light, part, tables);
            }
        }
    }

    fn letter(&mut self, letter: &Letter, clip: PxRect) {
        let tables = Tables::get();
        let light = letter.colour.linear();
        let placed = &letter.placed;
        for row in clip.y..clip.bottom() {
            let from = (row as i32 - placed.y) as usize * placed.glyph.width as usize;
            for x in clip.x..clip.right() {
                let value = placed.glyph.coverage[from + (x as i32 - placed.x) as usize];
                if value > 0 {
                    let index = self.index(x, row);
                    self.blend(index, light, f32::from(value) / 255.0, tables);
                }
            }
        }
    }
}

/// Columns of `clip` in which the line may touch its rows: sorted, not overlapping.
///
/// A pixel that the line touches is less than `half` + 1 from a point of it, so
/// the columns are those of the points that near the rows, widened by as much.
fn column_spans(curve: &Curve, clip: PxRect, half: f64) -> Vec<[u32; 2]> {
    let margin = half + 1.5;
    let (left, right) = (f64::from(clip.x), f64::from(clip.right()));
    let crossings = [
        f64::from(clip.y) - margin,
        f64::from(clip.bottom()) + margin,
    ]
    .map(|row| (row, curve.columns_at(row)));

    // Between neighbouring cuts the line is either near the rows or not.
    let mut cuts = vec![left, right];
    let near = left - margin..=right + margin;
    let crossed = crossings
        .iter()
        .flat_map(|(_, columns)| columns.iter().flatten());
    cuts.extend(crossed.filter(|x| near.contains(x)));
    cuts.sort_unstable_by(f64::total_cmp);

    let is_near = |x: f64| {
        let x = (x.clamp(left, right - 1.0)) as u32;
        let column = curve.column(x);
        let [above, below] = crossings.map(|(row, _)| column.at_top + column.per_row * row);
        above * below <= 0.0
    };
    let mut spans: Vec<[u32; 2]> = Vec::new();
    let mut add = |from: f64, to: f64| {
        let from = (from - margin).max(left).floor() as u32;
        let to = (to + margin).min(right).ceil() as u32;
        match spans.last_mut() {
            Some(last) if from <= last[1] => last[1] = last[1].max(to),
            _ if from < to => spans.push([from, to]),
            _ => {}
        }
    };
    for pair in cuts.windows(2) {
        // A crossing is near even where the stretches beside it are too short to tell.
        if pair[0] > left {
            add(pair[0], pair[0]);
        }
        if is_near((pair[0] + pair[1]) / 2.0) {
            add(pair[0], pair[1]);
        }
    }
    spans
}

/// The unit test's check of the colour arithmetic.
#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Colour;

    #[test]
    fn half_a_pixel_of_white_is_half_the_light() {
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
