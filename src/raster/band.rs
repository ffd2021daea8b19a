//! Some rows of a picture, and how marks are laid on them.

use std::ops::Range;

use glam::Vec4;

use super::coverage::{CrossSection, HalfPlane};
use super::ink::{BLACK, Ink, Share};
use super::rows::{Rows, TURN};
use super::runs::Run;
use crate::pattern::{Bar, Curve, Stroke, TextLine, Tile, Wedge};
use crate::rig::PxRect;

/// Some rows of a picture.
pub(super) struct Band<'a> {
    pixels: &'a mut [[u8; 4]],
    stride: usize,
    corner: [u32; 2],
}

impl<'a> Band<'a> {
    /// Rows of pixels, `stride` pixels each, whose first one stands at `corner`
    /// in the picture.
    pub(super) fn new(pixels: &'a mut [[u8; 4]], stride: usize, corner: [u32; 2]) -> Band<'a> {
        Band {
            pixels,
            stride,
            corner,
        }
    }

    /// Makes a part black.
    pub(super) fn blacken(&mut self, part: PxRect) {
        self.fill(part, BLACK);
    }

    fn fill(&mut self, part: PxRect, pixel: [u8; 4]) {
        for row in part.y..part.bottom() {
            let start = self.index(part.x, row);
            self.pixels[start..start + part.w as usize].fill(pixel);
        }
    }

    /// The pixels of a run.
    pub(super) fn run(&self, run: Run) -> &[[u8; 4]] {
        let start = self.index(run.x, run.y);
        &self.pixels[start..start + run.w as usize]
    }

    /// The pixels of a run.
    pub(super) fn run_mut(&mut self, run: Run) -> &mut [[u8; 4]] {
        let start = self.index(run.x, run.y);
        &mut self.pixels[start..start + run.w as usize]
    }

    #[inline]
    fn index(&self, x: u32, y: u32) -> usize {
        (y - self.corner[1]) as usize * self.stride + (x - self.corner[0]) as usize
    }

    /// Draws a stroke's part inside `clip`; `course` is the stroke's.
    pub(super) fn stroke(&mut self, stroke: &Stroke, course: &Course, ink: &Ink, clip: PxRect) {
        match (&stroke.curve, course) {
            (Curve::Panel(curve), Course::Straight(section)) => {
                self.sloping(section, ink, clip, true, curve.straight_row());
            }
            (Curve::Panel(curve), Course::Smooth) => {
                self.bending::<true>(stroke, ink, clip, curve.row());
            }
            (Curve::Panel(curve), Course::Any) => {
                self.bending::<false>(stroke, ink, clip, curve.row());
            }
            (Curve::Chord(curve), _) => {
                self.bending::<false>(stroke, ink, clip, |x| curve.row(x));
            }
        }
    }

    /// A line whose slope may change, where it `IS_SMOOTH` by so little that inside
    /// four columns it keeps to the rows between its ends, [`TURN`] set aside.
    fn bending<const IS_SMOOTH: bool>(
        &mut self,
        stroke: &Stroke,
        ink: &Ink,
        clip: PxRect,
        row: impl Fn(u32) -> f64 + Copy,
    ) {
        // Counted from the curve's own start, so that a pixel doesn't depend on
        // where a redraw begins.
        let origin = stroke.curve.first_column();
        let mut x = clip.x;
        while x < clip.right() {
            let block = x - (x - origin) % SLOPE_COLUMNS;
            let right = (block + SLOPE_COLUMNS).min(clip.right());
            match section(stroke, block) {
                Some(section) => {
                    let w = right - x;
                    self.sloping(&section, ink, PxRect { x, w, ..clip }, IS_SMOOTH, row);
                }
                None => (x..right).for_each(|x| self.upright(stroke, ink, clip, x)),
            }
            x = right;
        }
    }

    /// A line taken to have the same slope in all columns, as it has where it
    /// `is_smooth`; `row` is where it crosses one.
    #[inline(always)]
    fn sloping(
        &mut self,
        section: &CrossSection,
        ink: &Ink,
        clip: PxRect,
        is_smooth: bool,
        row: impl Fn(u32) -> f64 + Copy,
    ) {
        let right = clip.right();
        let mut rows = Rows {
            stride: self.stride,
            first: self.index(clip.x, clip.y),
            pixels: self.pixels,
            clip,
        };
        let mut x = clip.x;
        if is_smooth && section.is_level() {
            while x + 4 <= right {
                let four = [row(x), row(x + 1), row(x + 2), row(x + 3)];
                rows.cross_four(x, four, section, ink);
                x += 4;
            }
        }
        for x in x..right {
            rows.cross(x, row(x), section, ink);
        }
    }

    /// One column of a line that runs along its columns.
    #[inline(always)]
    fn upright(&mut self, stroke: &Stroke, ink: &Ink, clip: PxRect, x: u32) {
        let column = stroke.curve.column(x);
        let distance = (column.at_top / column.per_column.abs()) as f32;
        let section = CrossSection::new(0.0, stroke.width_px);
        // Not a number where the line runs nowhere in particular.
        if distance.is_nan() || distance.abs() >= section.reach() {
            return;
        }
        let [share, ..] = Share::of_each(section.shares(Vec4::splat(distance)));
        let mut index = self.index(x, clip.y);
        for _ in 0..clip.h {
            ink.cover(&mut self.pixels[index], share);
            index += self.stride;
        }
    }

    /// Draws a bar's part inside `clip`.
    pub(super) fn bar(&mut self, bar: &Bar, ink: &Ink, clip: PxRect) {
        let [left, top, right, bottom] = bar.edges;
        let share = |from: f64, to: f64, at: u32| {
            let at = f64::from(at);
            (to.min(at + 1.0) - from.max(at)).clamp(0.0, 1.0)
        };
        if bar.edges.iter().all(|edge| edge.fract() == 0.0) {
            self.fill(clip, ink.full());
            return;
        }
        for row in clip.y..clip.bottom() {
            let rows = share(top, bottom, row);
            for x in clip.x..clip.right() {
                let index = self.index(x, row);
                let share = Share::new(rows * share(left, right, x));
                ink.cover(&mut self.pixels[index], share);
            }
        }
    }

    /// Draws a wedge's part inside `clip`.
    pub(super) fn wedge(&mut self, wedge: &Wedge, ink: &Ink, clip: PxRect) {
        let rows = [clip.y, clip.bottom() - 1];
        // Columns that lie in it from top to bottom are filled together.
        let mut full = clip.x..clip.x;
        for x in clip.x..clip.right() {
            let edges = wedge.edges.each_ref().map(|edge| HalfPlane::of(edge, x));
            match edges.each_ref().map(|edge| edge.holds_all(rows)) {
                [Some(true), Some(false)] if full.end == x => full.end = x + 1,
                [Some(true), Some(false)] => {
                    self.fill(columns(&full, clip), ink.full());
                    full = x..x + 1;
                }
                [Some(false), _] | [_, Some(true)] => {}
                _ => {
                    for row in clip.y..clip.bottom() {
                        let [from, to] = edges.each_ref().map(|edge| edge.share(row));
                        if from > to {
                            let index = self.index(x, row);
                            ink.cover(&mut self.pixels[index], Share::new(from - to));
                        }
                    }
                }
            }
        }
        self.fill(columns(&full, clip), ink.full());
    }

    /// Draws a line of text's part inside `clip`.
    pub(super) fn text(&mut self, text: &TextLine, ink: &Ink, clip: PxRect) {
        let within = |from: i32, length: u32, first: u32, past: u32| {
            let to = from.saturating_add_unsigned(length);
            let [from, to] = [from, to].map(|at| at.max(0).cast_unsigned().clamp(first, past));
            (from < to).then_some([from, to])
        };
        for (corner, glyph) in text.placed.glyphs() {
            let [x, y] = corner;
            let across = within(x, glyph.width, clip.x, clip.right());
            let down = within(y, glyph.height, clip.y, clip.bottom());
            if let (Some([x, right]), Some([y, bottom])) = (across, down) {
                let (w, h) = (right - x, bottom - y);
                let part = PxRect { x, y, w, h };
                self.shares(&glyph.coverage, glyph.width, corner, ink, part);
            }
        }
    }

    /// Lays a patch's pixels down.
    pub(super) fn tile(&mut self, tile: &Tile, ink: &Ink, clip: PxRect) {
        let PxRect { x, y, w, .. } = tile.area;
        let corner = [x.cast_signed(), y.cast_signed()];
        self.shares(&tile.shares, w, corner, ink, clip);
    }

    /// Covers pixels by shares given row by row, `width` a row from a corner on.
    fn shares(
        &mut self,
        shares: &[u8],
        width: u32,
        [left, top]: [i32; 2],
        ink: &Ink,
        clip: PxRect,
    ) {
        for row in clip.y..clip.bottom() {
            let from = (row.cast_signed() - top) as usize * width as usize;
            for x in clip.x..clip.right() {
                let value = shares[from + (x.cast_signed() - left) as usize];
                if value > 0 {
                    let index = self.index(x, row);
                    let share = Share::new(f64::from(value) / 255.0);
                    ink.cover(&mut self.pixels[index], share);
                }
            }
        }
    }
}

/// Some columns of a rectangle.
fn columns(columns: &Range<u32>, clip: PxRect) -> PxRect {
    PxRect {
        x: columns.start,
        w: columns.end - columns.start,
        ..clip
    }
}

/// Columns that share the slope of their first: on a panel of thousands of columns,
/// curved as tightly as any, it changes by a thousandth over so many.
const SLOPE_COLUMNS: u32 = 4;

/// Steeper than this, in rows per column, a line is taken as upright: over the
/// tallest picture it then strays by a thirtieth of a pixel.
pub(super) const STEEPEST: f64 = 1e6;

/// How a stroke runs, as far as it matters to how it is drawn.
pub(super) enum Course {
    /// It crosses every column in this way.
    Straight(CrossSection),
    /// Inside four columns it keeps to the rows between their ends, [`TURN`] set aside.
    /// Then the four laid at once are those laid singly, and so the same whatever part
    /// of them is drawn.
    Smooth,
    /// It may turn, or run along the columns.
    Any,
}

impl Course {
    /// How a stroke runs.
    pub(super) fn of(stroke: &Stroke) -> Course {
        match &stroke.curve {
            Curve::Panel(curve) if curve.is_straight() => {
                section(stroke, stroke.clip.x).map_or(Course::Any, Course::Straight)
            }
            Curve::Panel(curve) => {
                let outside = curve.strays_px().outside(f64::from(SLOPE_COLUMNS - 1));
                if outside <= TURN {
                    Course::Smooth
                } else {
                    Course::Any
                }
            }
            Curve::Chord(_) => Course::Any,
        }
    }
}

/// How a stroke crosses a column; `None` where it runs along it.
fn section(stroke: &Stroke, column: u32) -> Option<CrossSection> {
    let slope = stroke.curve.column(column).slope();
    // Not a number where the line runs nowhere in particular.
    (slope.abs() <= STEEPEST).then(|| CrossSection::new(slope, stroke.width_px))
}
