//! What is sought: one setting, what may move, and what must hold.

use glam::DVec3;

use super::cases;
use super::cuts::Cuts;
use super::lever::Lever;
use super::rows::Rows;
use crate::fit::{
    FlatViews, Free, Moving, Nodes, Shown, WindowModel, jump, own_in_window, shift, turn_unknown,
};
use crate::geometry::Layout;
use crate::least_squares::{Unknown, minimise};
use crate::rig::{Ahead, Parts};

/// What the program draws into.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Setting {
    /// The whole canvas, cut into the panels' views.
    Views {
        /// The rig is shifted level with the program's eye, and nothing is turned.
        is_level: bool,
    },
    /// A window of equal columns around eye level.
    Window {
        /// Where its cuts may be.
        cuts: Cuts,
        /// What is straight ahead.
        ahead: Ahead,
        /// It reaches over the panels' upper and lower edges.
        hangs: bool,
    },
}

/// What must hold, come what may; what a rig breaks already may not get worse.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Limits {
    /// Least span that is seen, in radians.
    pub span_rad: f64,
    /// Most by which each view is seen off its perpendicular, in radians.
    pub oblique_rad: Vec<f64>,
    /// Cases overlap as it is.
    pub do_cases_overlap: bool,
}

/// One search.
#[derive(Debug, Clone)]
pub(crate) struct Task<'a> {
    /// The rig as its file says.
    pub parts: &'a Parts,
    /// The panels' tops on the canvas.
    pub tops: &'a [f64],
    pub setting: Setting,
    pub free: Free,
    pub jump_weight: f64,
    pub limits: &'a Limits,
    /// Least height of a window, in rows.
    pub lowest_px: f64,
    /// By how much more than the limits must hold, in radians, so that rounding keeps them.
    pub margin_rad: f64,
}

/// What a search found, or begins with.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Answer {
    pub model: WindowModel,
    /// Where the window is among those that may be: see [`Cuts::at`].
    pub window: [f64; 2],
    /// What each of the levers is, in the file's unit.
    pub moved: Vec<(Lever, f64)>,
    /// Mean square of the error and what jumps add, in radians².
    pub cost: f64,
}

impl Answer {
    /// What a lever is.
    pub(crate) fn get(&self, lever: Lever, parts: &Parts) -> f64 {
        let moved = self.moved.iter().find(|(other, _)| *other == lever);
        moved.map_or_else(|| lever.get(parts), |(_, number)| *number)
    }

    /// The parts with what is moved.
    pub(crate) fn parts(&self, parts: &Parts) -> Parts {
        let mut moved = parts.clone();
        for &(lever, number) in &self.moved {
            lever.put(&mut moved, number);
        }
        moved
    }
}

/// What a limit's excess counts, where the mean square counts one.
const STIFF: f64 = 100.0;
/// A window of fewer of the facing panel's rows than this share is none. An own choice.
pub(crate) const LOWEST: f64 = 0.1;

impl Task<'_> {
    /// The program's own numbers, for a column's width and height in pixels.
    fn own(&self, sides_px: [f64; 2]) -> FlatViews {
        match &self.setting {
            Setting::Views { .. } => FlatViews::of_parts(self.parts),
            Setting::Window { cuts, ahead, .. } => {
                own_in_window(self.parts, cuts.count, *ahead, sides_px)
            }
        }
    }

    pub(crate) fn ahead(&self) -> Ahead {
        match &self.setting {
            Setting::Views { .. } => Ahead::Column(FlatViews::of_parts(self.parts).facing),
            Setting::Window { ahead, .. } => *ahead,
        }
    }

    fn is_turned(&self) -> bool {
        !matches!(self.setting, Setting::Views { is_level: true })
    }

    /// How the screens are shown on parts, with a window there; and a column's sides.
    pub(crate) fn shown(
        &self,
        parts: &Parts,
        layout: &Layout,
        window: [f64; 2],
    ) -> Option<(Shown, [f64; 2])> {
        match &self.setting {
            Setting::Views { is_level } => {
                let facing = parts.seat.view;
                let views = layout.views(parts);
                let facing = views.iter().find(|view| view.id == facing)?;
                let shift_mm = if *is_level {
                    shift(facing)
                } else {
                    DVec3::ZERO
                };
                let sides = [facing.columns(), facing.rows()];
                Some((Shown::in_views(parts, layout, shift_mm), sides))
            }
            Setting::Window { cuts, hangs, .. } => {
                let rows = Rows::of(parts, layout, self.tops)?;
                let half = if *hangs { rows.hanging } else { rows.inside };
                if 2.0 * half < 1.0 {
                    return None;
                }
                let [x, column] = cuts.at(window);
                let frame = rows.frame(x, column, cuts.count, half);
                Some((
                    Shown::in_window(parts, layout, &frame),
                    [column, 2.0 * half],
                ))
            }
        }
    }

    /// How far the limits are exceeded, in radians; `None` where something can't be.
    pub(crate) fn excess(&self, parts: &Parts, layout: &Layout, shown: &Shown) -> Option<Vec<f64>> {
        if layout
            .surfaces()
            .iter()
            .any(|surface| surface.facing_mm() < 1.0)
        {
            return None;
        }
        if !self.limits.do_cases_overlap && cases::overlap(parts, layout) {
            return None;
        }
        let short = self.limits.span_rad + self.margin_rad - shown.span_rad();
        let oblique = oblique_rad(parts, layout)
            .into_iter()
            .zip(&self.limits.oblique_rad);
        let oblique = oblique.map(|(seen, most)| seen - most + self.margin_rad.min(1e-5));
        let low = match self.setting {
            Setting::Window { .. } => {
                let facing = &layout.surfaces()[parts.seat.view.panel];
                // A row is as high as the eye sees it; one is left for rounding.
                let row_rad = facing.pitch_mm()[1] / facing.middle.length();
                (self.lowest_px - 1.0 - shown.height_px()) * row_rad + self.margin_rad.min(1e-5)
            }
            Setting::Views { .. } => 0.0,
        };
        Some(
            [short, low]
                .into_iter()
                .chain(oblique)
                .map(|by| by.max(0.0))
                .collect(),
        )
    }

    /// Which unknowns a search has: typed numbers, the turn, the window's, the levers.
    fn unknowns(&self, start: &Answer, levers: &[Lever], is_window_free: bool) -> Vec<Unknown> {
        let own = self.own(self.sides_at(start));
        let moving = Moving::of(&own, self.free);
        let mut unknowns = moving.unknowns(&own, &start.model.flat);
        if self.is_turned() {
            unknowns.push(turn_unknown(start.model.turn_rad));
        }
        if let (true, Setting::Window { cuts, .. }) = (is_window_free, &self.setting) {
            let free = cuts.free().into_iter().zip(start.window);
            unknowns.extend(
                free.filter(|(is_free, _)| *is_free)
                    .map(|(_, start)| Unknown {
                        start,
                        min: 0.0,
                        max: 1.0,
                    }),
            );
        }
        for &lever in levers {
            let now = lever.get(self.parts);
            let [min, max] = lever.bounds_from(now);
            let unit = |number: f64| (number - now) / lever.scale();
            unknowns.push(Unknown {
                start: unit(start.get(lever, self.parts)),
                min: unit(min),
                max: unit(max),
            });
        }
        unknowns
    }

    /// A column's sides about which the numbers are told.
    fn sides_at(&self, answer: &Answer) -> [f64; 2] {
        match &self.setting {
            Setting::Views { .. } => [1.0, 1.0],
            Setting::Window { cuts, .. } => [cuts.at(answer.window)[1], 1000.0],
        }
    }

    /// What the unknowns' values mean, all else as it began. The screens' sides follow.
    fn answer(
        &self,
        start: &Answer,
        levers: &[Lever],
        is_window_free: bool,
        values: &[f64],
    ) -> (Answer, Vec<f64>) {
        let own = self.own(self.sides_at(start));
        let moving = Moving::of(&own, self.free);
        let typed = moving.moving().count();
        let (typed, mut rest) = values.split_at(typed);
        let mut next = || {
            let (&first, others) = rest.split_first().unwrap_or((&0.0, &[]));
            rest = others;
            first
        };
        let turn_rad = if self.is_turned() { next() } else { 0.0 };
        let mut window = start.window;
        if let (true, Setting::Window { cuts, .. }) = (is_window_free, &self.setting) {
            for (place, is_free) in window.iter_mut().zip(cuts.free()) {
                if is_free {
                    *place = next();
                }
            }
        }
        let mut moved = start.moved.clone();
        moved.retain(|(lever, _)| !levers.contains(lever));
        for &lever in levers {
            moved.push((lever, lever.get(self.parts) + next() * lever.scale()));
        }
        let answer = Answer {
            model: WindowModel {
                flat: start.model.flat,
                ahead: self.ahead(),
                turn_rad,
            },
            window,
            moved,
            cost: f64::INFINITY,
        };
        (answer, typed.to_vec())
    }

    /// The screens for the typed numbers' unknowns, of a window with such columns.
    fn typed(&self, sides_px: [f64; 2], typed: &[f64]) -> FlatViews {
        let own = self.own(sides_px);
        Moving::of(&own, self.free).model(&own, typed)
    }

    /// The best near a start: the numbers, the window where it is free, and the levers.
    pub(crate) fn search(
        &self,
        start: &Answer,
        levers: &[Lever],
        is_window_free: bool,
        nodes: &Nodes,
        enough: f64,
    ) -> Answer {
        // Nothing but numbers moves: where the eye sees the pixels stays.
        let held = levers.is_empty() && !is_window_free;
        let evaluated = |values: &[f64]| {
            let (mut answer, typed) = self.answer(start, levers, is_window_free, values);
            let parts = answer.parts(self.parts);
            let layout = Layout::place(&parts);
            let (shown, sides) = self.shown(&parts, &layout, answer.window)?;
            answer.model.flat = self.typed(sides, &typed);
            let excess = self.excess(&parts, &layout, &shown)?;
            Some((answer, shown, excess))
        };
        let unknowns = self.unknowns(start, levers, is_window_free);
        let starts: Vec<f64> = (unknowns.iter())
            .map(|unknown| unknown.start.clamp(unknown.min, unknown.max))
            .collect();
        let still = evaluated(&starts)
            .filter(|_| held)
            .map(|(_, shown, excess)| {
                let samples = shown.sampled(nodes);
                (shown, samples, excess)
            });
        let residuals = |values: &[f64], out: &mut Vec<f64>| {
            if let Some((shown, samples, excess)) = &still {
                let (mut answer, typed) = self.answer(start, levers, is_window_free, values);
                let sides = self.sides_of(shown, &answer);
                answer.model.flat = self.typed(sides, &typed);
                let screens = answer.model.screens();
                samples.residuals(&screens, out);
                self.push_others(shown, &screens, excess, out);
                return;
            }
            let Some((answer, shown, excess)) = evaluated(values) else {
                out.push(f64::INFINITY);
                return;
            };
            let screens = answer.model.screens();
            shown.sampled(nodes).residuals(&screens, out);
            self.push_others(&shown, &screens, &excess, out);
        };
        let found = minimise(residuals, &unknowns, enough);
        match evaluated(&found.values) {
            Some((answer, ..)) => Answer {
                cost: found.cost,
                ..answer
            },
            None => Answer {
                cost: f64::INFINITY,
                ..start.clone()
            },
        }
    }

    fn sides_of(&self, shown: &Shown, answer: &Answer) -> [f64; 2] {
        match &self.setting {
            Setting::Views { .. } => [1.0, 1.0],
            Setting::Window { cuts, .. } => [cuts.at(answer.window)[1], shown.height_px()],
        }
    }

    fn push_others(
        &self,
        shown: &Shown,
        screens: &[crate::fit::Screen],
        excess: &[f64],
        out: &mut Vec<f64>,
    ) {
        if self.jump_weight > 0.0 {
            out.push(self.jump_weight * jump(shown, screens, true)[0]);
        }
        out.extend(excess.iter().map(|by| STIFF * by));
    }

    /// Where a search begins that knows nothing yet.
    pub(crate) fn beginning(&self, window: [f64; 2]) -> Answer {
        let ahead = self.ahead();
        let sides = match &self.setting {
            Setting::Views { .. } => [1.0, 1.0],
            Setting::Window { cuts, .. } => [cuts.at(window)[1], 1000.0],
        };
        Answer {
            model: WindowModel {
                flat: self.own(sides),
                ahead,
                turn_rad: 0.0,
            },
            window,
            moved: Vec::new(),
            cost: f64::INFINITY,
        }
    }
}

/// How far off its perpendicular the eye sees each view's middle, in radians.
pub(crate) fn oblique_rad(parts: &Parts, layout: &Layout) -> Vec<f64> {
    let views = layout.views(parts).into_iter();
    views
        .map(|view| view.normal().angle_between(-view.middle_mm()))
        .collect()
}
