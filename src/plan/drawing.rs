//! Strokes and labels on paper: x to the right, y down, in millimetres.

use glam::DVec2;

use crate::typeset::{Cut, TypeSize, Typesetter};

/// How a stroke looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stroke {
    /// A lit surface.
    Lit,
    /// A lit surface that stands behind or beside the one that matters.
    Faint,
    /// A case, as an area.
    Case,
    /// From the eye to a lit edge.
    Sight,
    /// From the eye to a view's middle, and other axes.
    Axis,
    /// A measured length and its ends.
    Measure,
    /// From a label to what it is about.
    Leader,
    /// The eye.
    Eye,
    /// An area that hides what lies below it.
    Blank,
    /// Where scissors go.
    Cut,
}

/// A line along points, or an area within them.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// How it looks.
    pub stroke: Stroke,
    /// Where it runs.
    pub points: Vec<DVec2>,
}

/// A rectangle on the paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaperRect {
    /// Top-left corner.
    pub min: DVec2,
    /// Bottom-right corner.
    pub max: DVec2,
}

impl PaperRect {
    /// The rectangle of a width and height about a middle.
    pub fn about(middle: DVec2, size: DVec2) -> PaperRect {
        PaperRect {
            min: middle - size / 2.0,
            max: middle + size / 2.0,
        }
    }

    /// Whether both cover something.
    pub fn overlaps(&self, other: &PaperRect) -> bool {
        self.min.x < other.max.x
            && other.min.x < self.max.x
            && self.min.y < other.max.y
            && other.min.y < self.max.y
    }

    /// Whether the whole of the other lies inside.
    pub fn holds(&self, other: &PaperRect) -> bool {
        self.min.cmple(other.min).all() && self.max.cmpge(other.max).all()
    }

    /// The point inside that is nearest to another.
    pub fn nearest(&self, point: DVec2) -> DVec2 {
        point.clamp(self.min, self.max)
    }

    /// The same with so much more on all sides.
    pub fn grown(&self, by: f64) -> PaperRect {
        PaperRect {
            min: self.min - by,
            max: self.max + by,
        }
    }

    /// Length of the part of a segment that lies inside.
    pub fn length_inside(&self, from: DVec2, to: DVec2) -> f64 {
        let (low, high) = (from.min(to), from.max(to));
        if low.cmpgt(self.max).any() || high.cmplt(self.min).any() {
            return 0.0;
        }
        let way = to - from;
        let (mut start, mut end) = (0.0_f64, 1.0_f64);
        for axis in 0..2 {
            let (from, way) = (from[axis], way[axis]);
            let (low, high) = (self.min[axis], self.max[axis]);
            if way.abs() < 1e-12 {
                if from < low || from > high {
                    return 0.0;
                }
                continue;
            }
            let (a, b) = ((low - from) / way, (high - from) / way);
            start = start.max(a.min(b));
            end = end.min(a.max(b));
        }
        (end - start).max(0.0) * way.length()
    }
}

/// Lines of text, one below the other, in a box of their own.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The lines.
    pub lines: Vec<String>,
    /// Each line's width.
    pub widths_mm: Vec<f64>,
    /// The face's cut.
    pub cut: Cut,
    /// Height of a capital letter.
    pub cap_mm: f64,
    /// What it covers.
    pub rect: PaperRect,
}

impl Label {
    /// Where a line begins: its baseline's left end. Lines are centred.
    pub fn baseline(&self, line: usize) -> DVec2 {
        let middle = f64::midpoint(self.rect.min.x, self.rect.max.x);
        DVec2::new(
            middle - self.widths_mm[line] / 2.0,
            self.rect.min.y + EDGE_MM + self.cap_mm + line as f64 * LINE_CAPS * self.cap_mm,
        )
    }
}

/// Lines follow each other at so many heights of a capital.
const LINE_CAPS: f64 = 1.75;
/// Room at a label's sides.
const EDGE_MM: f64 = 0.45;
/// Width of the white line around letters, half of which lies outside them.
pub(super) const HALO_MM: f64 = 0.7;
/// Capitals of plain labels and of headings.
pub(super) const PLAIN_MM: f64 = 1.75;
pub(crate) const HEADING_MM: f64 = 3.4;

/// A page of strokes and labels.
#[derive(Debug)]
pub struct Drawing {
    /// Strokes and areas, each above those before.
    pub paths: Vec<Path>,
    /// Labels: no two boxes overlap.
    pub labels: Vec<Label>,
    /// Labels that found no room and were left out.
    pub left_out: usize,
    typesetter: Typesetter,
}

impl Drawing {
    pub(crate) fn new() -> Drawing {
        Drawing {
            paths: Vec::new(),
            labels: Vec::new(),
            left_out: 0,
            typesetter: Typesetter::new(),
        }
    }

    /// Draws a line along points, or an area.
    pub(crate) fn path(&mut self, stroke: Stroke, points: impl IntoIterator<Item = DVec2>) {
        let points = points.into_iter().collect();
        self.paths.push(Path { stroke, points });
    }

    /// Draws a straight line.
    pub(crate) fn line(&mut self, stroke: Stroke, from: DVec2, to: DVec2) {
        self.path(stroke, [from, to]);
    }

    /// Draws a measured length with a tick at either end.
    pub(crate) fn measure(&mut self, from: DVec2, to: DVec2) {
        self.line(Stroke::Measure, from, to);
        let across = (to - from).perp().normalize_or(DVec2::Y) * 0.9;
        for end in [from, to] {
            self.line(Stroke::Measure, end - across, end + across);
        }
    }

    /// A label with its box at the origin, to be placed.
    pub(crate) fn label(&mut self, text: &str, cut: Cut, cap_mm: f64) -> Label {
        let size = TypeSize {
            cap_px: cap_mm as f32,
            widening: 1.0,
        };
        let lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let widths_mm: Vec<f64> = (lines.iter())
            .map(|line| f64::from(self.typesetter.width_px(line, cut, size)))
            .collect();
        let width = widths_mm.iter().copied().fold(0.0, f64::max);
        let below = 0.4 * cap_mm;
        let height = cap_mm * (1.0 + LINE_CAPS * (lines.len().max(1) - 1) as f64) + below;
        Label {
            lines,
            widths_mm,
            cut,
            cap_mm,
            rect: PaperRect {
                min: DVec2::ZERO,
                max: DVec2::new(width, height) + 2.0 * EDGE_MM,
            },
        }
    }

    /// Puts a label with its box's top-left corner there, whatever is there already.
    pub(crate) fn put(&mut self, mut label: Label, corner: DVec2) {
        let size = label.rect.max - label.rect.min;
        label.rect = PaperRect {
            min: corner,
            max: corner + size,
        };
        self.labels.push(label);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_length_inside_a_rectangle_is_what_it_cuts_off() {
        let rect = PaperRect::about(DVec2::new(5.0, 5.0), DVec2::new(4.0, 2.0));
        for (from, to, expected) in [
            ([0.0, 5.0], [10.0, 5.0], 4.0),
            ([5.0, 0.0], [5.0, 5.0], 1.0),
            ([0.0, 0.0], [10.0, 0.0], 0.0),
            ([0.0, 7.0], [2.0, 9.0], 0.0),
            ([0.0, 1.0], [8.0, 9.0], f64::hypot(2.0, 2.0)),
        ] {
            let found = rect.length_inside(from.into(), to.into());
            assert!((found - expected).abs() < 1e-12, "{from:?} {to:?}: {found}");
        }
    }
}
