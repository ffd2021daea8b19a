//! How much of a pixel a straight line covers.

use glam::Vec4;

use crate::pattern::WedgeEdge;

/// A line through a column of pixels: its share of each, in closed form.
///
/// Everything is measured along the column. An edge of slope `m` (rows per
/// column) that lies `v` rows below a pixel's centre leaves the area `beyond(v)`
/// of the pixel above it; a line is what lies between two such edges.
#[derive(Debug, Clone, Copy)]
pub(super) struct CrossSection {
    /// Half of the line's width, along the column.
    half: f32,
    /// Within this distance the edge cuts two opposite sides of the pixel,
    inner: f32,
    /// beyond that a corner, and from here on nothing.
    outer: f32,
    per_inner: f32,
    per_corner: f32,
}

impl CrossSection {
    /// A line `width_px` wide, measured across itself, that falls by `slope`
    /// rows per column. The slope is finite.
    pub(super) fn new(slope: f64, width_px: f64) -> CrossSection {
        let slope = slope.abs();
        let (large, small) = (slope.max(1.0), slope.min(1.0));
        let corner = 2.0 * large * small;
        CrossSection {
            half: (width_px / 2.0 * (1.0 + slope * slope).sqrt()) as f32,
            inner: ((large - small) / 2.0) as f32,
            outer: ((large + small) / 2.0) as f32,
            per_inner: (1.0 / large) as f32,
            // A slope too small for this to be a number cuts no corner off.
            per_corner: Some((1.0 / corner) as f32)
                .filter(|per_corner| per_corner.is_finite())
                .unwrap_or(0.0),
        }
    }

    /// Farthest that a pixel's centre may be from the line's middle, along the
    /// column, and the pixel still be touched.
    #[inline]
    pub(super) fn reach(&self) -> f32 {
        self.half + self.outer
    }

    /// Whether the line runs more along the rows than along the columns.
    #[inline]
    pub(super) fn is_level(&self) -> bool {
        // The larger of 1 and the slope is 1.
        self.per_inner >= 1.0
    }

    /// Shares of four pixels, 0 to 1, whose centres lie `v` rows below the
    /// line's middle.
    #[inline]
    pub(super) fn shares(&self, v: Vec4) -> Vec4 {
        let far = v.abs();
        let within_near_edge = self.beyond(Vec4::splat(self.half) - far);
        // The far edge may cut the pixel too where the line is thin.
        if self.half >= self.outer {
            within_near_edge
        } else {
            within_near_edge - self.beyond(-(Vec4::splat(self.half) + far))
        }
    }

    /// Shares of pixels on the centre's side of an edge `v` rows beyond it.
    #[inline]
    fn beyond(&self, v: Vec4) -> Vec4 {
        let far = v.abs();
        let corner = (Vec4::splat(self.outer) - far).max(Vec4::ZERO);
        let cut = corner * corner * self.per_corner;
        let past_corner = Vec4::select(v.cmpgt(Vec4::ZERO), Vec4::ONE - cut, cut);
        let between_sides = Vec4::splat(0.5) + v * self.per_inner;
        Vec4::select(
            far.cmple(Vec4::splat(self.inner)),
            between_sides,
            past_corner,
        )
    }
}

/// What lies on one side of a plane, through a column of pixels.
#[derive(Debug, Clone, Copy)]
pub(super) struct HalfPlane {
    /// The plane's value at the column's middle and row 0, and its change per row.
    at_top: f64,
    per_row: f64,
    /// Its change per column at row 0, and how that changes per row.
    across: [f64; 2],
}

impl HalfPlane {
    /// The side where an edge's value times its factor is positive.
    pub(super) fn of(edge: &WedgeEdge, column: u32) -> HalfPlane {
        let at = edge.curve.column(column);
        HalfPlane {
            at_top: at.at_top * edge.factor,
            per_row: at.per_row * edge.factor,
            across: edge.curve.across(column),
        }
    }

    /// Whether all pixels from one row to another lie there, or none; `None` where that
    /// can't be told from the two.
    pub(super) fn holds_all(&self, rows: [u32; 2]) -> Option<bool> {
        // Where the edge's slope is the same in all rows, a share follows the value, which
        // lies between those of the two.
        if self.across[1] != 0.0 {
            return None;
        }
        let shares = rows.map(|row| self.share(row));
        if shares == [1.0; 2] {
            return Some(true);
        }
        (shares == [0.0; 2]).then_some(false)
    }

    /// The share, 0 to 1, of the pixel in a row that lies there.
    #[inline]
    pub(super) fn share(&self, row: u32) -> f64 {
        let row = f64::from(row) + 0.5;
        let value = self.at_top + self.per_row * row;
        let across = (self.across[0] + self.across[1] * row).abs();
        let down = self.per_row.abs();
        let (large, small) = (down.max(across), down.min(across));
        let far = value.abs();
        let corner = (large + small) / 2.0 - far;
        if corner <= 0.0 {
            return if value > 0.0 { 1.0 } else { 0.0 };
        }
        if far <= (large - small) / 2.0 {
            return 0.5 + value / large;
        }
        let cut = corner * corner / (2.0 * large * small);
        if value > 0.0 { 1.0 - cut } else { cut }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Share by brute force: a fine grid of points.
    fn counted(slope: f64, width_px: f64, v: f64) -> f64 {
        let n = 600;
        let at = |i: i32| (f64::from(i) + 0.5) / f64::from(n) - 0.5;
        let across = 1.0 / (1.0 + slope * slope).sqrt();
        let inside = (0..n * n)
            .filter(|i| {
                let (x, y) = (at(i % n), v + at(i / n));
                ((y - slope * x) * across).abs() <= width_px / 2.0
            })
            .count();
        inside as f64 / f64::from(n * n)
    }

    #[test]
    fn shares_agree_with_counting() {
        for slope in [0.0, 0.03, -0.4, 1.0, 2.7, -40.0] {
            for width_px in [0.4, 1.0, 2.0, 3.0] {
                let section = CrossSection::new(slope, width_px);
                for step in -12..=12 {
                    let v = f64::from(step) / 12.0 * 1.05 * f64::from(section.reach());
                    let share = f64::from(section.shares(Vec4::splat(v as f32)).x);
                    let error = (share - counted(slope, width_px, v)).abs();
                    assert!(error < 4e-3, "{slope} {width_px} {v}: {error}");
                }
            }
        }
    }

    #[test]
    fn a_line_that_hardly_slopes_is_covered_as_a_level_one() {
        let level = CrossSection::new(0.0, 2.0);
        for slope in [1e-30, 1e-39, 1e-60, -1e-310] {
            for v in [0.0, 0.3, 0.5, 0.8, 1.2, 1.5] {
                let shares = CrossSection::new(slope, 2.0).shares(Vec4::splat(v));
                assert_eq!(shares, level.shares(Vec4::splat(v)), "{slope} {v}");
            }
        }
    }

    #[test]
    fn a_column_holds_the_lines_whole_cross_section() {
        for slope in [0.0, 0.3, 1.0, 12.0] {
            let section = CrossSection::new(slope, 1.6);
            let sum: f64 = (-100..100)
                .map(|i| section.shares(Vec4::splat(i as f32 + 0.3)).x)
                .map(f64::from)
                .sum();
            assert!(
                (sum - 1.6 * (1.0 + slope * slope).sqrt()).abs() < 1e-5,
                "{slope}: {sum}"
            );
        }
    }
}
