//! One camera over the whole canvas.

use glam::DVec3;

use super::flat_views_fit::unit;
use super::samples::{Fineness, samples, turn_between};
use super::worst::{Worst, worst};
use crate::geometry::elevation;
use crate::least_squares::{PRECISE, Unknown, minimise};
use crate::rig::{PxRect, Rig};

/// A pinhole camera with square pixels, level and straight ahead at the
/// canvas's middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SingleView {
    /// Columns and rows of the canvas.
    pub canvas_px: [f64; 2],
    /// Horizontal field of view in radians.
    pub horizontal_rad: f64,
}

impl SingleView {
    /// Eye to the picture in pixels.
    pub fn focal_px(&self) -> f64 {
        self.canvas_px[0] / 2.0 / (self.horizontal_rad / 2.0).tan()
    }

    /// Vertical field of view in radians.
    pub fn vertical_rad(&self) -> f64 {
        2.0 * (self.canvas_px[1] / 2.0 / self.focal_px()).atan()
    }

    /// Field of view from corner to corner in radians.
    pub fn diagonal_rad(&self) -> f64 {
        let [width, height] = self.canvas_px;
        2.0 * (width.hypot(height) / 2.0 / self.focal_px()).atan()
    }

    /// Unit direction, in the seat frame, of a canvas pixel coordinate.
    pub fn direction(&self, x: f64, y: f64) -> DVec3 {
        let [width, height] = self.canvas_px;
        unit(DVec3::new(
            x - width / 2.0,
            height / 2.0 - y,
            -self.focal_px(),
        ))
    }
}

impl SingleView {
    /// The largest step that a line through the middles of the views' edges takes from
    /// one view to the next, beside the rig: in radians, positive upwards, and the right
    /// view's place among all.
    pub fn level_step(&self, rig: &Rig) -> Option<(f64, usize)> {
        let views = rig.views();
        let off = |view: usize, u: f64| {
            let PxRect { x, y, .. } = rig.canvas().panels[views[view].id.panel];
            let across = (f64::from(views[view].id.view) + u) * views[view].columns();
            let (x, y) = (
                f64::from(x) + across,
                f64::from(y) + 0.5 * views[view].rows(),
            );
            elevation(views[view].point_mm(u, 0.5)) - elevation(self.direction(x, y))
        };
        let steps = (1..views.len()).map(|right| (off(right, 0.0) - off(right - 1, 1.0), right));
        steps.max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
    }
}

/// A fit of the single view to a rig, whose eye stays where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SingleViewFit {
    /// The camera found.
    pub model: SingleView,
    /// Root mean square, over all lit pixels, of the angle between where the
    /// eye sees a pixel and where the camera has it.
    pub rms_rad: f64,
    /// Where that angle is largest.
    pub worst: Worst,
    /// The field of view came to the end of what one flat picture can show.
    pub at_limit: bool,
}

/// The field of view stays this far, in radians, from none and from a half turn.
const MARGIN_RAD: f64 = 1e-4;
/// Fields of view that are tried before the search.
const TRIED: u32 = 60;

impl SingleViewFit {
    /// Fits the camera's field of view to a rig. It can't fail; how good the fit
    /// is it says itself.
    pub fn of(rig: &Rig) -> SingleViewFit {
        let views = rig.views();
        let canvas = rig.canvas();
        let canvas_px = canvas.size_px.map(f64::from);
        let place = |view: usize, u: f64, v: f64| {
            let PxRect { x, y, .. } = canvas.panels[views[view].id.panel];
            let across = (f64::from(views[view].id.view) + u) * views[view].columns();
            [f64::from(x) + across, f64::from(y) + v * views[view].rows()]
        };
        let camera = |horizontal_rad: f64| SingleView {
            canvas_px,
            horizontal_rad,
        };
        let residuals = |fineness: Fineness| {
            let samples = samples(&views, fineness);
            let seen: Vec<DVec3> = samples
                .iter()
                .map(|s| unit(views[s.view].point_mm(s.u, s.v)))
                .collect();
            move |values: &[f64], out: &mut Vec<f64>| {
                let camera = camera(values[0]);
                for (sample, &seen) in samples.iter().zip(&seen) {
                    let [x, y] = place(sample.view, sample.u, sample.v);
                    let turn = turn_between(seen, camera.direction(x, y));
                    out.extend((turn * sample.weight.sqrt()).to_array());
                }
            }
        };

        let coarse = residuals(Fineness::Coarse);
        let widest = std::f64::consts::PI - MARGIN_RAD;
        let cost = |horizontal_rad: f64| {
            let mut out = Vec::new();
            coarse(&[horizontal_rad], &mut out);
            out.iter().map(|r| r * r).sum::<f64>()
        };
        let start = (1..TRIED)
            .map(|i| std::f64::consts::PI * f64::from(i) / f64::from(TRIED))
            .min_by(|&a, &b| cost(a).total_cmp(&cost(b)));
        let unknown = Unknown {
            start: start.unwrap_or(1.0),
            min: MARGIN_RAD,
            max: widest,
        };
        let found = minimise(residuals(Fineness::Full), &[unknown], PRECISE);
        let model = camera(found.values[0]);
        let worst = worst(&views, |view, u, v| {
            let [x, y] = place(view, u, v);
            [unit(views[view].point_mm(u, v)), model.direction(x, y)]
        });
        SingleViewFit {
            model,
            rms_rad: found.cost.sqrt(),
            worst,
            at_limit: !(2.0 * MARGIN_RAD..widest - MARGIN_RAD).contains(&found.values[0]),
        }
    }
}
