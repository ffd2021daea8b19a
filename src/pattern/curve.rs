//! A straight-looking line on one surface, as a closed function on canvas pixels.

use std::sync::Arc;

use crate::geometry::{EyePlane, Ruling, Surface};
use crate::kept::Kept;
use crate::rig::PxRect;

/// A surface's profile at every column's middle.
#[derive(Debug, Clone)]
pub struct Profile {
    /// How far right and how far towards the viewer, in millimetres.
    points: Vec<[f64; 2]>,
    /// Cosine and sine of the turn.
    turns: Vec<[f64; 2]>,
    width_mm: f64,
    pitch_mm: f64,
    radius_mm: Option<f64>,
}

impl Profile {
    /// The profile of a surface. Profiles are kept, since a nudge leaves most of them as
    /// they are.
    pub fn shared(surface: &Surface) -> Arc<Profile> {
        /// More panels than most rigs have.
        static PROFILES: Kept<Profile> = Kept::new(16);
        let (width_mm, columns) = (surface.size_mm[0], surface.pixels[0] as usize);
        let is_of = |known: &Profile| {
            (known.width_mm, known.points.len(), known.radius_mm)
                == (width_mm, columns, surface.radius_mm)
        };
        PROFILES.get(is_of, || Profile::of(surface))
    }

    /// The profile of a surface.
    pub fn of(surface: &Surface) -> Profile {
        let columns = 0..surface.pixels[0] as u32;
        let (points, turns) = columns
            .map(|column| {
                let s_mm = surface.s_at_px(f64::from(column) + 0.5);
                let [right, towards, sin, cos] = surface.profile(s_mm);
                ([right, towards], [cos, sin])
            })
            .unzip();
        Profile {
            points,
            turns,
            width_mm: surface.size_mm[0],
            pitch_mm: surface.pitch_mm()[0],
            radius_mm: surface.radius_mm,
        }
    }
}

impl PartialEq for Profile {
    /// Profiles of as many columns, of one width and one radius are equal. The pitch
    /// does not tell: it is rounded, and two widths may share it.
    fn eq(&self, other: &Profile) -> bool {
        (self.points.len(), self.width_mm, self.radius_mm)
            == (other.points.len(), other.width_mm, other.radius_mm)
    }
}

/// A function of canvas pixels that is zero on the line. Along a column it is
/// linear in the row.
#[derive(Debug, Clone, PartialEq)]
pub enum Curve {
    /// On a panel, or its continuation above or below.
    Panel(PanelCurve),
    /// On the chord behind a seam.
    Chord(ChordCurve),
}

/// The curve at the middle of one column: its value at canvas row 0, and its
/// change per row and, near the line, per column.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Value at row 0.
    pub at_top: f64,
    /// Change per row.
    pub per_row: f64,
    /// Change per column.
    pub per_column: f64,
}

impl Column {
    /// The row where the line crosses the column's middle; not finite where it
    /// doesn't.
    pub fn row(&self) -> f64 {
        -self.at_top / self.per_row
    }

    /// Rows per column; not finite where the line is upright.
    pub fn slope(&self) -> f64 {
        self.per_column / self.per_row
    }
}

impl Curve {
    /// The curve of `plane` on a panel's surface that is lit at `lit`.
    pub fn on_panel(
        profile: &Arc<Profile>,
        surface: &Surface,
        lit: PxRect,
        plane: EyePlane,
    ) -> Curve {
        let normal = plane.normal();
        let along = normal.dot(surface.y);
        let pitch_y = surface.pitch_mm()[1];
        let top_mm = surface.t_at_px(-f64::from(lit.y));
        Curve::Panel(PanelCurve {
            profile: Arc::clone(profile),
            x: lit.x,
            at_top: plane.distance_mm(surface.middle) + along * top_mm,
            right: normal.dot(surface.x),
            towards: normal.dot(surface.z),
            per_row: -along * pitch_y,
            rows_per_value: 1.0 / (-along * pitch_y),
        })
    }

    /// The curve of `plane` on whatever a region shows.
    pub fn on(
        ruling: &Ruling,
        surfaces: &[Surface],
        profiles: &[Arc<Profile>],
        plane: EyePlane,
    ) -> Curve {
        match ruling {
            Ruling::Panel { panel, lit } => {
                Curve::on_panel(&profiles[*panel], &surfaces[*panel], *lit, plane)
            }
            Ruling::Chord {
                left,
                left_down,
                right,
                right_down,
                columns,
            } => {
                let [a, c] = [left, left_down].map(|&v| plane.distance_mm(v));
                let [b, d] = [right, right_down].map(|&v| plane.distance_mm(v));
                Curve::Chord(ChordCurve {
                    terms: [a, b - a, c, d - c],
                    columns: *columns,
                })
            }
        }
    }

    /// The first canvas column on which it is defined.
    pub fn first_column(&self) -> u32 {
        match self {
            Curve::Panel(curve) => curve.x,
            Curve::Chord(curve) => curve.columns[0] as u32,
        }
    }

    /// The curve at the middle of a canvas column, which lies in the region it
    /// was made for.
    #[inline]
    pub fn column(&self, column: u32) -> Column {
        match self {
            Curve::Panel(curve) => curve.column(column),
            Curve::Chord(curve) => curve.column(column),
        }
    }

    /// The change per column at the middle of a canvas column and at row 0, and how
    /// that changes per row. Unlike [`Column::per_column`] it holds away from the line.
    pub fn across(&self, column: u32) -> [f64; 2] {
        match self {
            Curve::Panel(curve) => [curve.column(column).per_column, 0.0],
            Curve::Chord(curve) => {
                let [_, b, _, d] = curve.terms;
                let [from, to] = curve.columns;
                [b, d].map(|change| change / (to - from))
            }
        }
    }
}

/// A line on a panel, or on its continuation above or below.
#[derive(Debug, Clone, PartialEq)]
pub struct PanelCurve {
    /// Shared by every curve of the panel.
    profile: Arc<Profile>,
    /// Canvas column of the panel's left edge.
    x: u32,
    /// The plane's distance from the panel's middle column at canvas row 0.
    at_top: f64,
    /// Part of the normal along the panel's width.
    right: f64,
    /// Part of the normal towards the viewer.
    towards: f64,
    /// Change per canvas row, and canvas rows per change.
    per_row: f64,
    rows_per_value: f64,
}

impl PanelCurve {
    /// The curve at the middle of a canvas column of the panel.
    #[inline]
    pub fn column(&self, column: u32) -> Column {
        let index = (column - self.x) as usize;
        let [to_right, to_viewer] = self.profile.points[index];
        let [cos, sin] = self.profile.turns[index];
        Column {
            at_top: self.at_top + self.right * to_right + self.towards * to_viewer,
            per_row: self.per_row,
            per_column: (self.right * cos + self.towards * sin) * self.profile.pitch_mm,
        }
    }

    /// A function that gives the row where the line crosses the middle of a canvas
    /// column of the panel.
    #[inline]
    pub fn row(&self) -> impl Fn(u32) -> f64 + Copy {
        let [at_top, right, towards] =
            [self.at_top, self.right, self.towards].map(|value| -value * self.rows_per_value);
        let (points, first) = (self.profile.points.as_slice(), self.x);
        move |column| {
            let [to_right, to_viewer] = points[(column - first) as usize];
            at_top + right * to_right + towards * to_viewer
        }
    }

    /// As [`row`](Self::row), in fewer steps, for a line that
    /// [`is_straight`](Self::is_straight).
    #[inline]
    pub fn straight_row(&self) -> impl Fn(u32) -> f64 + Copy {
        let row = self.row();
        let (first, per_column) = (row(self.x), self.rows_and_slopes()(self.x)[1]);
        let at_zero = first - per_column * f64::from(self.x);
        move |column| at_zero + per_column * f64::from(column)
    }

    /// A function that gives, for a canvas column of the panel, the row where the
    /// line crosses its middle, and the line's slope there in rows per column.
    pub fn rows_and_slopes(&self) -> impl Fn(u32) -> [f64; 2] {
        let [at_top, right, towards] =
            [self.at_top, self.right, self.towards].map(|value| -value * self.rows_per_value);
        let [right_px, towards_px] = [right, towards].map(|value| value * self.profile.pitch_mm);
        move |column| {
            let index = (column - self.x) as usize;
            let [to_right, to_viewer] = self.profile.points[index];
            let [cos, sin] = self.profile.turns[index];
            let row = at_top + right * to_right + towards * to_viewer;
            [row, right_px * cos + towards_px * sin]
        }
    }

    /// Whether the line runs along the panel's columns.
    pub fn is_upright(&self) -> bool {
        self.per_row == 0.0
    }

    /// Whether the line is as straight on the canvas as it looks.
    pub fn is_straight(&self) -> bool {
        self.profile.radius_mm.is_none()
    }

    /// How the curve's value may stray, in millimetres of distance from the plane.
    pub fn strays(&self) -> Strays {
        let Profile {
            points,
            pitch_mm,
            radius_mm,
            ..
        } = &*self.profile;
        // In φ, an arc length over R, the value is a + r·R·sin φ + t·R·(1 − cos φ).
        let turn = radius_mm.map_or(0.0, |radius| {
            self.right.hypot(self.towards) * pitch_mm * pitch_mm / radius
        });
        // No point lies farther from the middle than the columns' own length.
        let farthest_mm = (f64::from(self.x) + points.len() as f64) * pitch_mm;
        let terms = self.at_top.abs() + (self.right.abs() + self.towards.abs()) * farthest_mm;
        Strays {
            turn,
            rounding: terms * ROUNDING,
        }
    }

    /// The same in canvas rows; not finite where the line is too nearly upright.
    pub fn strays_px(&self) -> Strays {
        let Strays { turn, rounding } = self.strays();
        let rows = self.rows_per_value.abs();
        Strays {
            turn: turn * rows,
            rounding: rounding * rows,
        }
    }
}

/// Share of a sum's terms by which two of its results, worked out in different ways
/// or at different columns, may be off from one another. A point of the profile is
/// within 2⁻⁵⁰ of the panel's width, and a handful of sums and products are within
/// 2⁻⁵⁰ of their terms; this is four times as much.
const ROUNDING: f64 = 1.0 / (1_u64 << 48) as f64;

/// How a curve's values, or its rows, may stray.
#[derive(Debug, Clone, Copy)]
pub struct Strays {
    /// Most by which the change per column changes in one column: the second
    /// derivative is nowhere larger, and 0 on a flat panel.
    pub turn: f64,
    /// Most by which what is computed may be off, and as a change per column, too.
    pub rounding: f64,
}

impl Strays {
    /// Farthest that the curve, between two columns that are `apart` columns from
    /// each other, may lie outside what it has at the two: a function whose second
    /// derivative is at most `turn` lies within `turn`·`apart`²/8 of its chord.
    pub fn outside(&self, apart: f64) -> f64 {
        self.turn * apart * apart / 8.0 + self.rounding
    }

    /// Most by which the change per column, at most `away` columns from a column,
    /// may differ from what it is there.
    pub fn steepens(&self, away: f64) -> f64 {
        self.turn * away + self.rounding
    }
}

/// A line on the chord behind a seam: at the fraction `u` of the chord's
/// columns, `a + b·u + row·(c + d·u)`.
#[derive(Debug, Clone, PartialEq)]
pub struct ChordCurve {
    /// Coefficients a, b, c, d.
    terms: [f64; 4],
    /// Canvas columns where u is 0 and 1.
    columns: [f64; 2],
}

impl ChordCurve {
    #[inline]
    fn column(&self, column: u32) -> Column {
        let [a, b, c, d] = self.terms;
        let [from, to] = self.columns;
        let per_px = 1.0 / (to - from);
        let u = (f64::from(column) + 0.5 - from) * per_px;
        let (at_top, per_row) = (a + b * u, c + d * u);
        let row = -at_top / per_row;
        let slope = if row.is_finite() { b + d * row } else { b };
        Column {
            at_top,
            per_row,
            per_column: slope * per_px,
        }
    }

    /// The row where the line crosses the middle of a canvas column.
    #[inline]
    pub fn row(&self, column: u32) -> f64 {
        self.column(column).row()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;

    fn surface(width_mm: f64, columns: f64, radius_mm: Option<f64>) -> Surface {
        Surface {
            middle: DVec3::new(0.3 * width_mm, -0.2 * width_mm, -width_mm),
            x: DVec3::X,
            y: DVec3::Y,
            z: DVec3::Z,
            size_mm: [width_mm, width_mm],
            pixels: [columns, columns],
            radius_mm,
        }
    }

    #[test]
    fn profiles_differ_where_only_their_widths_do() {
        // Two widths whose pitch is rounded to the same number.
        let (width, columns) = (0..)
            .map(|n| (1000.0 + f64::from(n), 1023.0))
            .find(|(width, columns)| width / columns == width.next_up() / columns)
            .expect("there are many");
        let [one, other] =
            [width, width.next_up()].map(|width| Profile::of(&surface(width, columns, None)));
        assert_eq!(one.pitch_mm, other.pitch_mm);
        assert_ne!(one.points, other.points);
        assert_ne!(one, other);
        assert_eq!(one, one.clone());
    }

    #[test]
    fn a_curve_strays_no_farther_than_it_says() {
        for (columns, radius) in [(6.0, 0.5), (40.0, 0.5), (40.0, 0.8), (200.0, 30.0)] {
            let surface = surface(300.0, columns, Some(radius * 300.0));
            let lit = PxRect {
                x: 7,
                y: 0,
                w: columns as u32,
                h: columns as u32,
            };
            for (azimuth, slope) in [(0.3, 0.4), (-0.5, 1.2), (1.1, -0.7), (0.0, 0.0)] {
                let plane = EyePlane::at_slope(azimuth, -0.1, slope);
                let profile = Arc::new(Profile::of(&surface));
                let Curve::Panel(curve) = Curve::on_panel(&profile, &surface, lit, plane) else {
                    unreachable!("a panel's curve is one");
                };
                let strays = curve.strays_px();
                let at = curve.rows_and_slopes();
                for from in lit.x..lit.right() {
                    for to in from..lit.right() {
                        let [[low, steep], [high, steeper]] = [at(from), at(to)];
                        let apart = f64::from(to - from);
                        let outside = strays.outside(apart);
                        let (low, high) = (low.min(high) - outside, low.max(high) + outside);
                        let slopes = [steep, steeper].map(f64::abs);
                        let steepest = slopes[0].max(slopes[1]) + strays.steepens(apart / 2.0);
                        for [row, slope] in (from..=to).map(&at) {
                            assert!((low..=high).contains(&row), "{row} {low} {high}");
                            assert!(slope.abs() <= steepest, "{slope} {steepest}");
                        }
                    }
                }
            }
        }
    }
}
