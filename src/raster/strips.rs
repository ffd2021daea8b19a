//! The pixels that a stroke touches, strip by strip of some columns or rows.

use std::ops::Range;

use crate::pattern::{Curve, PanelCurve, Stroke};
use crate::rig::PxRect;

/// Columns of a strip; strips begin at multiples of it.
pub const STRIP_PX: u32 = 32;

/// Rows of a band, which one thread draws at a time: few enough to stay in a
/// core's cache. Bands begin at multiples of it.
pub const BAND_ROWS: u32 = 16;

/// Calls `visit` with the pixels of a part of a stroke's rectangle that the stroke
/// may touch, in rectangles that don't overlap: left column, top row, and the first
/// column and row past them. They are strips of some columns, or, for lines that are
/// straight on the canvas, bands of some rows; those that it doesn't touch are left
/// out.
pub fn strips(stroke: &Stroke, bounds: PxRect, mut visit: impl FnMut([u32; 4])) {
    let rows = [bounds.y, bounds.bottom()];
    let mut emit = |columns: Range<u32>, [top, bottom]: [u32; 2]| {
        if top < bottom {
            visit([columns.start, top, columns.end, bottom]);
        }
    };
    match &stroke.curve {
        Curve::Panel(curve) if curve.is_upright() => {
            for columns in columns_of_strips(bounds) {
                if !is_beside(curve, &columns, stroke.width_px) {
                    emit(columns, rows);
                }
            }
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

/// As [`strips`], for a line that is straight on the canvas: band by band of some
/// rows, since most lines cross fewer bands than strips.
fn bands_of_straight(
    stroke: &Stroke,
    curve: &PanelCurve,
    bounds: PxRect,
    visit: &mut impl FnMut([u32; 4]),
) {
    let reach = Reach::new(stroke, curve);
    let [left, slope] = curve.rows_and_slopes()(bounds.x);
    let right = left + slope * f64::from(bounds.w - 1);
    let [top, bottom] = reach.rows([[left, slope], [right, slope]], [bounds.y, bounds.bottom()]);
    let (bands, last) = (top / BAND_ROWS..bottom.div_ceil(BAND_ROWS), bounds.w - 1);
    // Where it is about level it touches all columns in each band.
    let columns_per_row = 1.0 / slope;
    let is_level = slope.abs() * f64::from(bounds.w) <= 1.0 || slope.is_nan();
    for band in bands {
        let first_row = band * BAND_ROWS;
        let rows = [first_row.max(top), (first_row + BAND_ROWS).min(bottom)];
        let columns = if is_level {
            0..bounds.w
        } else {
            let reach = reach.at(slope);
            let high = (f64::from(rows[0]) - 1.0 - reach - left) * columns_per_row;
            let low = (f64::from(rows[1]) + reach - left) * columns_per_row;
            let [from, to] = in_order(high, low);
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

/// How far from its middle a line touches rows: in any case, and per slope.
struct Reach {
    least: f64,
    per_slope: f64,
}

impl Reach {
    fn new(stroke: &Stroke, curve: &PanelCurve) -> Reach {
        // A column's slope may be taken a few columns further left.
        let [strays, bends] = curve.strays_px(f64::from(STRIP_PX + 4));
        // Half of the line's width along the column, at most, and the farthest
        // corner of a pixel, whose centre is half a row away.
        let per_slope = (stroke.width_px + 1.0) / 2.0;
        Reach {
            least: per_slope * (1.0 + bends) + strays + 0.5,
            per_slope,
        }
    }

    /// Farthest that a line which is nowhere steeper touches rows.
    #[inline]
    fn at(&self, slope: f64) -> f64 {
        self.least + self.per_slope * slope.abs()
    }

    /// The touched rows, within limits, of a strip with these rows and slopes at
    /// its ends.
    #[inline]
    fn rows(&self, [left, right]: [[f64; 2]; 2], [first, last]: [u32; 2]) -> [u32; 2] {
        let [low, high] = in_order(left[0], right[0]);
        let [_, steepest] = in_order(left[1].abs(), right[1].abs());
        let reach = self.at(steepest);
        let (top, bottom) = (low - reach, high + reach + 1.0);
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

/// Whether an upright line touches none of the columns.
fn is_beside(curve: &PanelCurve, columns: &Range<u32>, width_px: f64) -> bool {
    let ends = [columns.start, columns.end - 1].map(|x| curve.column(x));
    // On a curved panel its value strays from a straight one by less than the last
    // column's worth.
    let per_column = ends[0].per_column.abs().max(ends[1].per_column.abs());
    let near = (width_px / 2.0 + 2.0) * per_column;
    let all_on = |side: f64| ends.iter().all(|end| side * end.at_top > near);
    all_on(1.0) || all_on(-1.0)
}
