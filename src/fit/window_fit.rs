//! The numbers with which a program comes closest in a window.

use super::figures::{Figures, jump};
use super::flat_views::FlatViews;
use super::flat_views_fit::Moving;
use super::free::Free;
use super::shown::{Frame, Nodes, Samples, Shown};
use super::typed::Typed;
use super::window_model::WindowModel;
use crate::least_squares::{PRECISE, ROUGH, Unknown, minimise};
use crate::rig::{Ahead, Parts, Rig, Window};

/// Most by which the picture may be turned about the vertical, in radians.
pub(crate) const MOST_TURN_RAD: f64 = 10.0 / 180.0 * std::f64::consts::PI;

/// The best numbers for the window that a rig file says.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowFit {
    /// The screens found.
    pub model: WindowModel,
    /// What could move; the turn always can.
    pub free: Free,
    /// How far the picture is off, from the true eye.
    pub figures: Figures,
    /// The numbers that came to a bound of what people can type.
    pub at_limit: Vec<Typed>,
    /// The picture is turned as far as it may be.
    pub is_turn_at_limit: bool,
}

impl WindowFit {
    /// Fits the numbers to the window of a rig; `None` where it has none.
    pub fn of(rig: &Rig, free: Free) -> Option<WindowFit> {
        let window = rig.window()?;
        let shown = shown_in(rig, window);
        let ahead = window.ahead();
        let sides_px = [window.column_px(), f64::from(window.px[3])];
        let own = own_in_window(rig.parts(), window.count(), ahead, sides_px);
        let numbers = Numbers::new(&shown, own, ahead, free);
        let model = numbers.best(&[]);
        Some(WindowFit {
            free,
            figures: Figures::of(&shown, &model.screens()),
            at_limit: numbers.moving.at_limit(&model.flat),
            is_turn_at_limit: is_turn_at_limit(&model),
            model,
        })
    }
}

pub(crate) fn is_turn_at_limit(model: &WindowModel) -> bool {
    model.turn_rad.abs() > MOST_TURN_RAD - 1e-9
}

/// A window in whole pixels on the panels of a rig.
pub(crate) fn shown_in(rig: &Rig, window: &Window) -> Shown {
    let canvas = rig.canvas();
    let facing = canvas.panels[rig.seat().view.panel];
    let places = (canvas.panels.iter())
        .map(|lit| [lit.x, lit.y].map(f64::from))
        .map(|[x, y]| [x - f64::from(facing.x), y - f64::from(facing.y)]);
    let [x, y, _, height] = window.px.map(f64::from);
    let frame = Frame {
        x,
        column: window.column_px(),
        count: window.count(),
        y,
        height,
        places: places.collect(),
        whole: true,
    };
    Shown::in_window(rig.parts(), rig.layout(), &frame)
}

/// The screens of a window with the rig's own values: the mean turn of the views, the
/// seat's distance, a column's width in the facing panel's pixels, square pixels, and the
/// mean of all bezels.
pub(crate) fn own_in_window(
    parts: &Parts,
    count: usize,
    ahead: Ahead,
    [column_px, height_px]: [f64; 2],
) -> FlatViews {
    let views = FlatViews::of_parts(parts);
    let pitch_mm = parts.panels[parts.seat.view.panel].pitch_mm()[0];
    let turns = (count - 1).max(1) as f64;
    let [least, most] = Typed::Angle.bounds();
    FlatViews {
        count,
        facing: WindowModel::facing(ahead),
        angle_rad: (views.angle_rad * (views.count as f64 - 1.0) / turns).clamp(least, most),
        width_mm: column_px * pitch_mm,
        height_mm: height_px * pitch_mm,
        ..views
    }
}

/// The search for the numbers that a person types, all else held.
pub(crate) struct Numbers<'a> {
    shown: &'a Shown,
    own: FlatViews,
    ahead: Ahead,
    pub moving: Moving,
    is_turned: bool,
    /// What a jump counts, where the mean square counts one.
    jump_weight: f64,
}

impl<'a> Numbers<'a> {
    /// Of screens shown on panels, told from a program's own numbers.
    pub(crate) fn new(shown: &'a Shown, own: FlatViews, ahead: Ahead, free: Free) -> Numbers<'a> {
        Numbers {
            shown,
            own,
            ahead,
            moving: Moving::of(&own, free),
            is_turned: true,
            jump_weight: 0.0,
        }
    }

    /// Without a turn of the picture.
    pub(crate) fn unturned(self) -> Numbers<'a> {
        Numbers {
            is_turned: false,
            ..self
        }
    }

    /// With jumps at seams, which count that much.
    pub(crate) fn with_jumps(self, jump_weight: f64) -> Numbers<'a> {
        Numbers {
            jump_weight,
            ..self
        }
    }

    fn unknowns(&self, start: &WindowModel) -> Vec<Unknown> {
        let mut unknowns = self.moving.unknowns(&self.own, &start.flat);
        if self.is_turned {
            unknowns.push(turn_unknown(start.turn_rad));
        }
        unknowns
    }

    fn model(&self, values: &[f64]) -> WindowModel {
        let (turn_rad, typed) = match values.split_last() {
            Some((&turn, typed)) if self.is_turned => (turn, typed),
            _ => (0.0, values),
        };
        WindowModel {
            flat: self.moving.model(&self.own, typed),
            ahead: self.ahead,
            turn_rad,
        }
    }

    fn residuals(&self, samples: &Samples, model: &WindowModel, out: &mut Vec<f64>) {
        let screens = model.screens();
        samples.residuals(&screens, out);
        if self.jump_weight > 0.0 {
            out.push(self.jump_weight * jump(self.shown, &screens, true)[0]);
        }
    }

    fn cost(&self, samples: &Samples, model: &WindowModel) -> f64 {
        let mut out = Vec::new();
        self.residuals(samples, model, &mut out);
        out.iter().map(|r| r * r).sum()
    }

    fn search(&self, samples: &Samples, start: &WindowModel, enough: f64) -> (WindowModel, f64) {
        let found = minimise(
            |values, out| self.residuals(samples, &self.model(values), out),
            &self.unknowns(start),
            enough,
        );
        (self.model(&found.values), found.cost)
    }

    /// The best numbers, sought from several starts and from those that are given.
    pub(crate) fn best(&self, given: &[WindowModel]) -> WindowModel {
        const ANGLES_DEG: [f64; 7] = [1.0, 12.0, 24.0, 36.0, 48.0, 60.0, 75.0];
        const RATIOS: [f64; 4] = [1.0, 0.7, 1.4, 0.45];
        const TRIED: usize = 4;
        let coarse = self.shown.sampled(&Nodes::new(5));
        let fine = self.shown.sampled(&Nodes::new(10));
        let own = WindowModel {
            flat: self.own,
            ahead: self.ahead,
            turn_rad: 0.0,
        };
        let mut starts = Vec::new();
        for angle in ANGLES_DEG {
            for ratio in RATIOS {
                let mut start = own;
                start.flat.angle_rad = angle.to_radians();
                if self.moving.has(Typed::Distance) {
                    start.flat.distance_mm *= ratio;
                } else if self.moving.has(Typed::Width) {
                    start.flat = start.flat.with_width_mm(start.flat.width_mm / ratio);
                }
                let values: Vec<f64> = (self.unknowns(&start).iter())
                    .map(|unknown| unknown.start.clamp(unknown.min, unknown.max))
                    .collect();
                let start = self.model(&values);
                starts.push((start, self.cost(&coarse, &start)));
            }
        }
        starts.sort_by(|a, b| a.1.total_cmp(&b.1));
        starts.dedup_by(|a, b| (a.1 - b.1).abs() <= 1e-9 * (a.1 + b.1));
        starts.truncate(TRIED);
        let mut found: Vec<(WindowModel, f64)> = (starts.iter().map(|(start, _)| start))
            .chain([&own])
            .map(|start| self.search(&coarse, start, ROUGH))
            .collect();
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        // The coarse costs of two neighbourhoods may be in the wrong order.
        found.dedup_by(|a, b| (a.1 - b.1).abs() <= 1e-3 * (a.1 + b.1));
        found.truncate(2);
        let finished = (found.iter().map(|(model, _)| model).chain(given))
            .map(|start| self.search(&fine, start, PRECISE))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        finished.map_or(own, |(model, _)| model)
    }
}

pub(crate) fn turn_unknown(start: f64) -> Unknown {
    Unknown {
        start,
        min: -MOST_TURN_RAD,
        max: MOST_TURN_RAD,
    }
}
