//! Where eye level is, for a program that has it in its screens' middles.

use glam::DVec3;

use super::flat_views::FlatViews;
use super::flat_views_fit::{Target, shift};
use super::samples::{Fineness, samples};
use crate::geometry::{EyePlane, View, elevation};

/// A column that rises less than this along its length runs level.
const LEVEL: f64 = 1e-6;

/// How far the true eye is from the level of the screens' middles, where a program
/// with one camera a screen has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EyeLevel {
    /// The eye above the facing view's middle, in millimetres.
    pub above_mm: f64,
    /// Elevation in radians at which the eye sees the facing view's middle, and so
    /// the program's horizon straight ahead.
    pub horizon_rad: f64,
    /// Row of the facing view's middle column at which the eye sees eye level, if it
    /// is seen on that column extended.
    pub row: Option<f64>,
    /// The largest turn of the program's horizon from one view to the next as the
    /// eye sees it, in radians, and the right one's place among all views.
    pub bend: Option<(f64, usize)>,
    /// Root mean square angle, in radians, where the rig isn't shifted up to the
    /// level of the program's eye.
    pub rms_rad: f64,
}

impl EyeLevel {
    pub(crate) fn of(views: &[View], model: &FlatViews) -> EyeLevel {
        let facing = &views[model.facing];
        let middle = facing.middle_mm();
        let bends = (1..views.len()).filter_map(|right| {
            let left = horizon(&views[right - 1], 1.0)?;
            Some((left.angle_between(horizon(&views[right], 0.0)?), right))
        });
        let across = shift(facing).with_y(0.0);
        let target = Target::shifted(samples(views, Fineness::Full), views, across);
        EyeLevel {
            above_mm: -middle.y,
            horizon_rad: elevation(middle),
            row: eye_level_row(facing),
            bend: bends.max_by(|a, b| a.0.total_cmp(&b.0)),
            rms_rad: target.cost(model).sqrt(),
        }
    }
}

/// The largest step that a line at the level of the screens' middles takes from one
/// view to the next, in radians, positive upwards, and the right one's place among
/// all views; `None` where there is one view. The rig is shifted to the model's eye.
pub fn level_step(views: &[View], model: &FlatViews) -> Option<(f64, usize)> {
    let (shift, screens) = (shift(&views[model.facing]), model.screens());
    let off = |view: usize, u: f64| {
        elevation(views[view].point_mm(u, 0.5) + shift) - elevation(screens[view].point_mm(u, 0.5))
    };
    let steps = (1..views.len()).map(|right| (off(right, 0.0) - off(right - 1, 1.0), right));
    steps.max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
}

/// Row of a view's middle column at which the eye sees eye level, outside the view
/// where it would be seen beyond it; `None` where that column runs level.
pub fn eye_level_row(view: &View) -> Option<f64> {
    if view.surface.y.y.abs() < LEVEL {
        return None;
    }
    let t = view.surface.t_on(EyePlane::HORIZON, view.s_mm(0.5))?;
    Some(view.surface.py_at_t(t))
}

/// Unit normal of the plane in which the eye sees a view's middle row, at a fraction
/// of its width.
fn horizon(view: &View, u: f64) -> Option<DVec3> {
    let tangent = view.surface.tangent(view.s_mm(u));
    tangent.cross(view.point_mm(u, 0.5)).try_normalize()
}
