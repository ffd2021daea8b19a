//! A straight-looking line on one surface, as a closed function on canvas pixels.

use std::sync::Arc;

use crate::geometry::{EyePlane, Ruling, Surface};
use crate::rig::PxRect;

/// A surface's profile at every column's middle: how far right, how far towards
/// the viewer, in millimetres, and the cosine and sine of the turn.
#[derive(Debug, Clone)]
pub struct Profile {
    columns: Vec<[f64; 4]>,
    width_mm: f64,
    radius_mm: Option<f64>,
}

impl Profile {
    /// The profile of a surface.
    pub fn of(surface: &Surface) -> Profile {
        let columns = (0..surface.pixels[0] as usize)
            .map(|column| {
                let [right, towards, sin, cos] =
                    surface.profile(surface.s_at_px(column as f64 + 0.5));
                [right, towards, cos, sin]
            })
            .collect();
        Profile {
            columns,
            width_mm: surface.size_mm[0],
            radius_mm: surface.radius_mm,
        }
    }

    fn pitch_mm(&self) -> f64 {
        self.width_mm / self.columns.len() as f64
    }
}

impl PartialEq for Profile {
    fn eq(&self, other: &Profile) -> bool {
        (self.columns.len(), self.width_mm, self.radius_mm)
            == (other.columns.len(), other.width_mm, other.radius_mm)
    }
}

/// A function of canvas pixels that is zero on the line. Along a column it is
/// linear in the row.
#[derive(Debug, Clone, PartialEq)]
pub enum Curve {
    /// On a panel, or its continuation above or below.
    Panel {
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
        /// Change per canvas row.
        per_row: f64,
    },
    /// On the chord behind a seam: at the fraction `u` of its columns,
    /// `a + b·u + row·(c + d·u)`.
    Chord {
        /// Coefficients a, b, c, d.
        terms: [f64; 4],
        /// Canvas columns where u is 0 and 1.
        columns: [f64; 2],
    },
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
        Curve::Panel {
            profile: Arc::clone(profile),
            x: lit.x,
            at_top: plane.distance_mm(surface.middle) + along * top_mm,
            right: normal.dot(surface.x),
            towards: normal.dot(surface.z),
            per_row: -along * pitch_y,
        }
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
                Curve::Chord {
                    terms: [a, b - a, c, d - c],
                    columns: *columns,
                }
            }
        }
    }

    /// The first canvas column on which it is defined.
    pub fn first_column(&self) -> u32 {
        match self {
            Curve::Panel { x, .. } => *x,
            Curve::Chord { columns, .. } => columns[0] as u32,
        }
    }

    /// The curve at the middle of canvas column `column`, which lies in the
    /// region it was made for.
    #[inline]
    pub fn column(&self, column: u32) -> Column {
        match self {
            Curve::Panel {
                profile,
                x,
                at_top,
                right,
                towards,
                per_row,
            } => {
                let [to_right, to_viewer, cos, sin] = profile.columns[(column - x) as usize];
                Column {
                    at_top: at_top + right * to_right + towards * to_viewer,
                    per_row: *per_row,
                    per_column: (right * cos + towards * sin) * profile.pitch_mm(),
                }
            }
            Curve::Chord {
                terms: [a, b, c, d],
                columns: [from, to],
            } => {
                let per_px = 1.0 / (to - from);
                let u = (f64::from(column) + 0.5 - from) * per_px;
                let (at_top, per_row) = (a + b * u, c + d * u);
                let row = -at_top / per_row;
                let slope = if row.is_finite() { b + d * row } else { *b };
                Column {
                    at_top,
                    per_row,
                    per_column: slope * per_px,
                }
            }
        }
    }

    /// Canvas columns at which the line crosses canvas row `y`: none, one or two.
    pub fn columns_at(&self, y: f64) -> [Option<f64>; 2] {
        let [first, second] = match self {
            Curve::Panel {
                profile,
                x,
                at_top,
                right,
                towards,
                per_row,
            } => {
                let level = at_top + per_row * y;
                let [first, second] = match profile.radius_mm {
                    None => [-level / right, f64::NAN],
                    Some(radius) => {
                        // right·sin φ − towards·cos φ = −(level/R + towards)
                        let size = right.hypot(*towards);
                        let phase = towards.atan2(*right);
                        let turn = (-(level / radius + towards) / size).asin();
                        let wrap = |phi: f64| phi.sin().atan2(phi.cos()) * radius;
                        [
                            wrap(phase + turn),
                            wrap(phase + std::f64::consts::PI - turn),
                        ]
                    }
                };
                let px = |s: f64| {
                    f64::from(*x) + (s / profile.width_mm + 0.5) * profile.columns.len() as f64
                };
                [px(first), px(second)]
            }
            Curve::Chord {
                terms: [a, b, c, d],
                columns: [from, to],
            } => {
                let u = -(a + c * y) / (b + d * y);
                [from + u * (to - from), f64::NAN]
            }
        };
        [first, second].map(|x| x.is_finite().then_some(x))
    }
}
