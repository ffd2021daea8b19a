//! A straight-looking line on one surface, as a closed function on canvas pixels.

use std::sync::Arc;

use crate::geometry::{EyePlane, Ruling, Surface};
use crate::rig::PxRect;

/// A surface's profile at every column's middle.
#[derive(Debug, Clone)]
pub struct Profile {
    /// How far right and how far towards the viewer, in millimetres.
    points: Vec<[f64; 2]>,
    /// Cosine and sine of the turn.
    turns: Vec<[f64; 2]>,
    pitch_mm: f64,
    radius_mm: Option<f64>,
}

impl Profile {
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
            pitch_mm: surface.pitch_mm()[0],
            radius_mm: surface.radius_mm,
        }
    }
}

impl PartialEq for Profile {
    fn eq(&self, other: &Profile) -> bool {
        (self.points.len(), self.pitch_mm, self.radius_mm)
            == (other.points.len(), other.pitch_mm, other.radius_mm)
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
    pub fn row(&self) -> impl Fn(u32) -> f64 {
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
    pub fn straight_row(&self) -> impl Fn(u32) -> f64 {
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

    /// Most rows by which the line strays from a straight one, and most by which
    /// its slope grows, in rows per column, between columns that are `apart` from
    /// each other; not finite where there is no limit.
    pub fn strays_px(&self, apart: f64) -> [f64; 2] {
        // The second derivative of right·R·sin φ − towards·R·cos φ.
        let bend = self.profile.radius_mm.map_or(0.0, |radius| {
            let size = self.right.hypot(self.towards) * self.profile.pitch_mm.powi(2);
            size / radius * self.rows_per_value.abs()
        });
        [bend * apart * apart / 8.0, bend * apart]
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
