//! The pixels that a stroke touches, strip by strip of some columns or rows.
//!
//! **Claim.** Every pixel that [`Band::stroke`](super::band::Band::stroke) gives a share
//! of lies in one of the rectangles of [`cover`]. Since a pixel's share depends on the
//! stroke and the pixel alone, a redraw of these rectangles for all marks that differ
//! reaches every pixel that differs, and draws it as a full redraw does.
//!
//! **Proof.** On a panel, with φ the arc length of a column's middle over the radius R,
//! a line's plane and the column are apart, at canvas row y, by
//!
//! > v(φ) + y·p, where v(φ) = a + r·R·sin φ + t·R·(1 − cos φ)
//!
//! and a, r, t, p are the plane's distance from the middle column at row 0, and its
//! normal's parts to the right, towards the viewer and, times the pitch, down the column.
//! So the line is at row f = −v/p. A column is φ' = pitch/R of arc, which makes the second derivative per
//! column |v''| = φ'²·R·|t·cos φ − r·sin φ| ≤ pitch²/R·√(r² + t²): the `turn` of
//! [`Strays`]; that of f is 1/|p| times it. Between two columns that are d apart, f lies
//! at most `turn`·d²/8 outside what it is at the two, and f' at most `turn`·d/2 beyond
//! the larger of theirs, since one of the two is at most d/2 away. On a flat panel the
//! turn is 0.
//!
//! A line w wide of slope m, in rows per column, gives a share to pixels whose centre is
//! along the column at most w/2·√(1 + m²) + (1 + |m|)/2 ≤ (w + 1)/2·(1 + |m|) from f, and
//! none to others ([`CrossSection::reach`](super::coverage::CrossSection::reach)). The slope is that of the column or of one up to
//! `SLOPE_COLUMNS` − 1 further left. That is [`Reach`].
//!
//! A line steeper than `STEEPEST`, as an upright one, is drawn along the whole column
//! where |v| < (w + 1)/2·|v'|; v and v' are bounded in the same way. Whether it is drawn
//! so is decided every few columns, so a strip that may hold such a column is taken whole.
//!
//! Rounding enters twice. Values, rows and slopes are sums of a few terms, whose errors are
//! at most [`Strays::rounding`]; that is added to all that is said of them. And shares are counted in single precision, where a reach
//! may be larger by 2⁻²², for which [`SINGLE`] makes up.

use std::ops::Range;

use super::band::STEEPEST;
use crate::pattern::{Curve, PanelCurve, Strays, Stroke};
use crate::rig::PxRect;

/// Columns of a strip; strips begin at multiples of their width.
pub(super) const STRIP_PX: u32 = 32;

/// Rows of a band, which one thread draws at a time: few enough to stay in a
/// core's cache. Bands begin at multiples of it.
pub(super) const BAND_ROWS: u32 = 16;

/// Calls `visit` with the pixels of a part of a stroke's rectangle that the stroke
/// may touch, in rectangles that don't overlap: left column, top row, and the first
/// column and row past them. They are strips of some columns, or, for lines that are
/// straight on the canvas, bands of some rows; those that it doesn't touch are left
/// out. None reaches over the end of a band of [`BAND_ROWS`] where the part doesn't.
pub(super) fn cover(stroke: &Stroke, bounds: PxRect, mut visit: impl FnMut([u32; 4])) {
    let rows = [bounds.y, bounds.bottom()];
    let mut emit = |columns: Range<u32>, [top, bottom]: [u32; 2]| {
        if top < bottom {
            visit([columns.start, top, columns.end, bottom]);
        }
    };
    match &stroke.curve {
        Curve::Panel(curve) if curve.is_upright() => {
            strips_of_upright(stroke, curve, bounds, &mut visit);
        }
        Curve::Panel(curve) if curve.is_straight() => {
            bands_of_straight(stroke, curve, bounds, &mut visit);
        }
        Curve::Panel(curve) => {
            let reach = Reach::new(stroke, curve);
            let row_and_slope = curve.rows_and_slopes();
            let mut left = row_and_slope(bounds.x);
            for columns in columns_of_strips(bounds) {
                // It is the next strip's left end, too: a column more than need be.
                let right = row_and_slope(columns.end - 1);
                emit(columns, reach.rows([left, right], rows));
                left = right;
            }
        }
        // Between the lit edges a line may turn within a few columns, and there
        // are few.
        Curve::Chord(_) => columns_of_strips(bounds).for_each(|columns| emit(columns, rows)),
    }
}

fn columns_of_strips(bounds: PxRect) -> impl Iterator<Item = Range<u32>> {
    let last = (bounds.right() - 1) / STRIP_PX;
    (bounds.x / STRIP_PX..=last).map(move |strip| {
        let x = strip * STRIP_PX;
        x.max(bounds.x)..(x + STRIP_PX).min(bounds.right())
    })
}

/// As [`cover`], for a line that is upright, or straight and so steep that it may be
/// drawn as if it were.
fn strips_of_upright(
    stroke: &Stroke,
    curve: &PanelCurve,
    bounds: PxRect,
    visit: &mut impl FnMut([u32; 4]),
) {
    let beside = Beside::new(stroke, curve);
    let mut emit = |columns: Range<u32>| {
        visit([columns.start, bounds.y, columns.end, bounds.bottom()]);
    };
    for columns in columns_of_strips(bounds) {
        beside.narrow(curve, columns, &mut emit);
    }
}

/// As [`cover`], for a line that is straight on the canvas: band by band of some
/// rows, since most lines cross fewer bands than strips.
fn bands_of_straight(
    stroke: &Stroke,
    curve: &PanelCurve,
    bounds: PxRect,
    visit: &mut impl FnMut([u32; 4]),
) {
    let reach = Reach::new(stroke, curve);
    let [left, slope] = curve.rows_and_slopes()(bounds.x);
    let Some(reach_px) = reach.at(slope.abs()) else {
        strips_of_upright(stroke, curve, bounds, visit);
        return;
    };
    let right = left + slope * f64::from(bounds.w - 1);
    let [top, bottom] = reach.rows([[left, slope], [right, slope]], [bounds.y, bounds.bottom()]);
    let (bands, last) = (top / BAND_ROWS..bottom.div_ceil(BAND_ROWS), bounds.w - 1);
    // A row's middle is half a row inside it; the rest is room for rounding, which is far
    // below a thousandth.
    let inside_px = 0.5 - ROOM_PX;
    // Where it is about level it touches all columns in each band.
    let columns_per_row = 1.0 / slope;
    let is_level = slope.abs() * f64::from(bounds.w) <= 1.0;
    for band in bands {
        let first_row = band * BAND_ROWS;
        let rows = [first_row.max(top), (first_row + BAND_ROWS).min(bottom)];
        let columns = if is_level {
            0..bounds.w
        } else {
            let first = f64::from(rows[0]) + inside_px - reach_px;
            let last_row = f64::from(rows[1]) - inside_px + reach_px;
            let [from, to] = in_order(
                (first - left) * columns_per_row,
                (last_row - left) * columns_per_row,
            );
            let within = |column: f64| column.clamp(0.0, last.into()) as u32;
            within(from)..within(to) + 1
        };
        visit([
            bounds.x + columns.start,
            rows[0],
            bounds.x + columns.end,
            rows[1],
        ]);
    }
}

/// More than a reach counted in single precision may be too large by.
const SINGLE: f64 = 1.0 + 1.0 / (1 << 20) as f64;

/// Half of a line's width and half a column, and what [`SINGLE`] adds.
fn half_px(stroke: &Stroke) -> f64 {
    (stroke.width_px + 1.0) / 2.0 * SINGLE
}

/// Farthest that the columns of a strip, and of one more at its left, are apart.
const APART: f64 = STRIP_PX as f64;

/// Room for rounding, in rows or columns, where they are compared with whole ones.
const ROOM_PX: f64 = 1.0 / 64.0;

/// How far from its middle a line touches rows' middles, for a strip of which the rows and the
/// slopes at both ends are known.
struct Reach {
    /// In any case,
    least: f64,
    /// and per slope,
    per_slope: f64,
    /// which may be so much more than at the ends.
    steepens: f64,
}

impl Reach {
    fn new(stroke: &Stroke, curve: &PanelCurve) -> Reach {
        let strays = curve.strays_px();
        Reach {
            least: strays.outside(APART),
            per_slope: half_px(stroke),
            // Of all columns that may lend their slope, the strip's own and the three
            // at its left, an end is at most half a strip away.
            steepens: strays.steepens(APART / 2.0),
        }
    }

    /// Farthest that a line touches rows that is nowhere steeper at a strip's ends;
    /// `None` where it may be drawn as an upright one.
    #[inline]
    fn at(&self, slope: f64) -> Option<f64> {
        let slope = slope + self.steepens;
        let reach = self.least + self.per_slope * (1.0 + slope);
        // Neither holds for what is no number.
        (slope * SINGLE < STEEPEST && reach < f64::INFINITY).then_some(reach)
    }

    /// The touched rows, within limits, of a strip with these rows and slopes at
    /// its ends.
    #[inline]
    fn rows(&self, [left, right]: [[f64; 2]; 2], [first, last]: [u32; 2]) -> [u32; 2] {
        let [low, high] = in_order(left[0], right[0]);
        let [_, steepest] = in_order(left[1].abs(), right[1].abs());
        let Some(reach) = self.at(steepest) else {
            return [first, last];
        };
        // The middles of the first row and of the last one are farther than their far edges
        // by half a row each.
        let (top, bottom) = (low - reach + 0.5 - ROOM_PX, high + reach + 0.5 + ROOM_PX);
        if top.is_nan() || bottom.is_nan() {
            return [first, last];
        }
        let within = |row: f64| row.clamp(first.into(), last.into()) as u32;
        [within(top), within(bottom)]
    }
}

/// Both numbers, the smaller one first. It takes fewer steps than the standard
/// library's functions, which look for what is no number.
#[inline]
fn in_order(a: f64, b: f64) -> [f64; 2] {
    if a < b { [a, b] } else { [b, a] }
}

/// Tells which columns an upright line touches none of.
struct Beside {
    strays: Strays,
    /// Farthest, in columns, that it touches.
    reach: f64,
}

impl Beside {
    fn new(stroke: &Stroke, curve: &PanelCurve) -> Beside {
        // One as steep as `STEEPEST`, rounding counted in, leans over the tallest canvas
        // by a thirtieth of a column: half of one is room for it.
        Beside {
            strays: curve.strays(),
            reach: half_px(stroke) + 0.5,
        }
    }

    /// Cuts a strip in two until the line touches each part, or none of it.
    fn narrow(&self, curve: &PanelCurve, columns: Range<u32>, emit: &mut impl FnMut(Range<u32>)) {
        if self.holds(curve, &columns) {
            return;
        }
        if columns.len() <= 2 {
            emit(columns);
            return;
        }
        let middle = columns.start.midpoint(columns.end);
        self.narrow(curve, columns.start..middle, emit);
        self.narrow(curve, middle..columns.end, emit);
    }

    /// Whether the line touches none of a strip's columns.
    fn holds(&self, curve: &PanelCurve, columns: &Range<u32>) -> bool {
        let ends = [columns.start, columns.end - 1].map(|x| curve.column(x));
        let per_column = ends[0].per_column.abs().max(ends[1].per_column.abs());
        let most_per_column = per_column + self.strays.steepens(APART / 2.0);
        let near = self.reach * most_per_column + self.strays.outside(APART);
        let all_on = |side: f64| ends.iter().all(|end| side * end.at_top > near);
        all_on(1.0) || all_on(-1.0)
    }
}
