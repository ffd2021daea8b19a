//! A small drawing from above in a box of words.

use super::overlay::{LOUD, PLAIN};
use crate::pattern::{Bar, Mark, TextLine};
use crate::rig::PxRect;
use crate::typeset::{Cut, TypeSize, Typesetter};

/// A drawing from above, in millimetres to the right and ahead.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// Lines through these points.
    pub lines: Vec<Vec<[f64; 2]>>,
    /// Places, with what they are called.
    pub places: Vec<([f64; 2], String)>,
}

/// Highest that it is drawn, and how much of it stays free around, in capitals.
const MOST_CAPS: f64 = 15.0;
const MARGIN_CAPS: f64 = 1.2;
/// Width of its lines, and side of a place's spot, in capitals.
const LINE_CAPS: f64 = 0.22;
const SPOT_CAPS: f64 = 0.55;

impl Sketch {
    /// The smallest rectangle around everything: least and greatest of both.
    fn around(&self) -> [[f64; 2]; 2] {
        let places = self.places.iter().map(|(place, _)| place);
        let points = self.lines.iter().flatten().chain(places);
        points.fold([[0.0; 2]; 2], |[least, most], point| {
            [
                [least[0].min(point[0]), least[1].min(point[1])],
                [most[0].max(point[0]), most[1].max(point[1])],
            ]
        })
    }

    /// Pixels a millimetre, in a room of so many pixels for capitals of this height.
    fn scale(&self, cap: f64, room: f64) -> f64 {
        let [least, most] = self.around();
        let sides = [most[0] - least[0], most[1] - least[1]].map(|mm| mm.max(1.0));
        let free = [room, MOST_CAPS * cap].map(|px| (px - 2.0 * MARGIN_CAPS * cap).max(cap));
        (free[0] / sides[0]).min(free[1] / sides[1])
    }

    /// Width and height in pixels.
    pub(super) fn size_px(&self, cap: f64, room: f64) -> [f64; 2] {
        let scale = self.scale(cap, room);
        let [least, most] = self.around();
        [0, 1].map(|side| (most[side] - least[side]) * scale + 2.0 * MARGIN_CAPS * cap)
    }

    /// Its marks, from a top left corner on.
    pub(super) fn marks(
        &self,
        [left, top]: [f64; 2],
        cap: f64,
        room: f64,
        clip: PxRect,
        typesetter: &mut Typesetter,
    ) -> Vec<Mark> {
        let scale = self.scale(cap, room);
        let [least, most] = self.around();
        let margin = MARGIN_CAPS * cap;
        let at = |[right, ahead]: [f64; 2]| {
            [
                left + margin + (right - least[0]) * scale,
                top + margin + (most[1] - ahead) * scale,
            ]
        };
        let square = |[x, y]: [f64; 2], side: f64, colour| {
            let half = side / 2.0;
            let edges = [x - half, y - half, x + half, y + half];
            Mark::Bar(Bar {
                edges,
                clip,
                colour,
            })
        };
        let mut marks = Vec::new();
        let dot = (LINE_CAPS * cap).max(1.0);
        for pair in self.lines.iter().flat_map(|line| line.windows(2)) {
            let [from, to] = [at(pair[0]), at(pair[1])];
            let long = (to[0] - from[0]).hypot(to[1] - from[1]);
            // Dots that touch; a box is no place for long lines.
            let count = (long / dot).ceil().clamp(1.0, 2000.0) as u32;
            marks.extend((0..=count).map(|n| {
                let share = f64::from(n) / f64::from(count);
                let between = [0, 1].map(|side| from[side] + (to[side] - from[side]) * share);
                square(between, dot, PLAIN)
            }));
        }
        for (place, name) in &self.places {
            let [x, y] = at(*place);
            marks.push(square([x, y], SPOT_CAPS * cap, LOUD));
            let size = TypeSize {
                cap_px: cap as f32,
                widening: 1.0,
            };
            let [x, base] = [x + SPOT_CAPS * cap, y + cap / 2.0].map(|at| at.round() as i32);
            let placed = typesetter.set(name, Cut::Bold, size, x, base);
            marks.push(Mark::Text(TextLine {
                placed,
                clip,
                colour: LOUD,
            }));
        }
        marks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_drawn_to_scale_ahead_up_and_right_to_the_right() {
        let sketch = Sketch {
            lines: vec![vec![[-600.0, 700.0], [600.0, 700.0]]],
            places: vec![
                ([0.0, 0.0], String::new()),
                ([350.0, -250.0], String::new()),
            ],
        };
        let clip = PxRect {
            x: 0,
            y: 0,
            w: 2000,
            h: 2000,
        };
        let mut typesetter = Typesetter::new();
        let [width, height] = sketch.size_px(20.0, 900.0);
        assert!(width <= 900.0 && height <= 20.0 * MOST_CAPS);
        let marks = sketch.marks([100.0, 50.0], 20.0, 900.0, clip, &mut typesetter);
        let middles: Vec<[f64; 2]> = (marks.iter())
            .filter_map(|mark| match mark {
                Mark::Bar(bar) => {
                    let [left, top, right, bottom] = bar.edges;
                    Some([f64::midpoint(left, right), f64::midpoint(top, bottom)])
                }
                _ => None,
            })
            .collect();
        let [.., eye, other] = middles[..] else {
            panic!("both places are drawn");
        };
        let [first, last] = [middles[0], middles[middles.len() - 3]];
        let scale = (last[0] - first[0]) / 1200.0;
        assert!(scale > 0.1);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        assert!(near(eye[0], f64::midpoint(first[0], last[0])));
        assert!(near(eye[1] - first[1], 700.0 * scale));
        assert!(near(other[0] - eye[0], 350.0 * scale));
        assert!(near(other[1] - eye[1], 250.0 * scale));
        for [x, y] in middles {
            assert!((100.0..100.0 + width).contains(&x) && (50.0..50.0 + height).contains(&y));
        }
    }
}
