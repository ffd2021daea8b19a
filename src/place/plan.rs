//! A plan: where everything goes, and what is left wrong then.

use glam::DVec3;

use super::cuts::Cuts;
use super::lever::Lever;
use super::rows::{Rows, lefts};
use super::task::{Answer, Setting, Task, oblique_rad};
use crate::fit::{
    EyeLevel, Figures, FlatViews, Numbers, Shown, USABLE_RAD, WindowModel, is_turn_at_limit,
    own_in_window, shift, shown_in,
};
use crate::numbers::window_px;
use crate::rig::{Ahead, Measure, Parts, Rig, SeatQuantity, Window};

/// Something to move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// What.
    pub lever: Lever,
    /// What it is now, in the file's unit.
    pub from: f64,
    /// What it is to be.
    pub to: f64,
}

/// How exactly something must be met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// What.
    pub lever: Lever,
    /// By how much it is off, in the file's unit, either way.
    pub by: f64,
    /// What that adds to the rms or to the jump, whichever it adds more to, the numbers
    /// being as planned; in radians.
    pub adds_rad: f64,
}

/// Where everything goes, and how well the picture comes true then.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What it is called.
    pub name: String,
    /// The rig as planned, its window included.
    pub rig: Rig,
    /// What is to be moved; nothing, as a rule.
    pub moves: Vec<Move>,
    /// The window, told from the facing panel's top-left corner.
    pub window_px: [i64; 4],
    /// How many of its columns each panel carries.
    pub columns: Vec<u32>,
    /// The numbers to type, and the turn of the picture.
    pub model: WindowModel,
    /// How far the picture is off then.
    pub figures: Figures,
    /// From the leftmost lit pixel inside the window to the rightmost.
    pub span_rad: f64,
    /// Share of the rig's pixels that lie in the window.
    pub lit_share: f64,
    /// Share of the window's pixels that lie on a panel.
    pub shown_share: f64,
    /// What holds the answer, as a path of the plan or of the rig file.
    pub at_limit: Vec<String>,
    /// How exactly what matters must be met.
    pub tolerance: Vec<Tolerance>,
    /// Where eye level is, which figures leave out that are judged level with the program's
    /// eye; `None` where they count it.
    pub eye_level: Option<EyeLevel>,
}

/// Digits to which a move is given: hundredths.
const STEPS: f64 = 100.0;
/// How near a limit counts as at it.
const NEAR_RAD: f64 = 0.0005;

impl Plan {
    /// What the search minimised, in radians: the rms, and what the jump counts beside it.
    pub(crate) fn merit_rad(&self, jump_weight: f64) -> f64 {
        self.figures
            .rms_rad
            .hypot(jump_weight * self.figures.jump_rad)
    }

    /// Every display's top-left corner on the desktop, as the rig file has it; told from
    /// the facing panel's where the file says none.
    pub fn places_px(&self) -> Vec<[i64; 2]> {
        let canvas = &self.rig.canvas().panels;
        let facing = canvas[self.rig.seat().view.panel];
        (self.rig.panels().iter().zip(canvas))
            .map(|(panel, lit)| match panel.desktop_px {
                Some(place) => place.map(i64::from),
                None => [
                    i64::from(lit.x) - i64::from(facing.x),
                    i64::from(lit.y) - i64::from(facing.y),
                ],
            })
            .collect()
    }

    /// Whether the picture can be lived with, eye level included.
    pub fn is_usable(&self) -> bool {
        let level = self.eye_level.as_ref().map_or(0.0, |level| level.rms_rad);
        [self.figures.rms_rad, self.figures.jump_rad, level]
            .into_iter()
            .all(|error| error < USABLE_RAD)
    }
}

impl Task<'_> {
    /// The plan of an answer, in whole pixels and hundredths, with every limit kept; `None`
    /// where no rig comes of it.
    pub(crate) fn plan(&self, name: String, answer: &Answer, levers: &[Lever]) -> Option<Plan> {
        const TRIES: u32 = 4;
        let mut task = self.clone();
        let mut answer = answer.clone();
        for _ in 0..TRIES {
            let moves: Vec<Move> = (answer.moved.iter())
                .map(|&(lever, to)| Move {
                    lever,
                    from: lever.get(self.parts),
                    to: rounded(lever, to, self.parts),
                })
                .filter(|change| (change.to - change.from).abs() >= 0.5 / STEPS)
                .collect();
            let mut parts = self.parts.clone();
            for change in &moves {
                change.lever.put(&mut parts, change.to);
            }
            match task.settled(&parts, &answer) {
                Ok((rig, shown)) => {
                    return Some(self.finished(name, rig, shown, Some(answer.model), moves));
                }
                // A little more room, and once more.
                Err(Some(excess)) if !levers.is_empty() => {
                    task.margin_rad += 1.5 * excess + 1e-6;
                    answer = task.refined(&[answer], levers);
                }
                Err(_) => return None,
            }
        }
        None
    }

    /// The rig with its window in whole pixels, and what it shows; else by how much a limit
    /// is exceeded, where one is.
    fn settled(&self, parts: &Parts, answer: &Answer) -> Result<(Rig, Shown), Option<f64>> {
        let strict = Task {
            margin_rad: 0.0,
            ..self.clone()
        };
        let excess = |rig: &Rig, shown: &Shown| {
            let excess = strict.excess(rig.parts(), rig.layout(), shown);
            excess.map(|all| all.into_iter().fold(0.0, f64::max))
        };
        let Setting::Window { cuts, hangs, .. } = &self.setting else {
            let mut parts = parts.clone();
            parts.window = None;
            let rig = Rig::new(parts).map_err(|_| None)?;
            let (shown, _) = self
                .shown(rig.parts(), rig.layout(), answer.window)
                .ok_or(None)?;
            return match excess(&rig, &shown) {
                Some(0.0) => Ok((rig, shown)),
                other => Err(other),
            };
        };
        let layout = crate::geometry::Layout::place(parts);
        let rows = Rows::of(parts, &layout, self.tops).ok_or(None)?;
        let half = if *hangs { rows.hanging } else { rows.inside };
        let [x, column] = cuts.at(answer.window);
        let mut least: Option<f64> = None;
        for [x, w] in cuts.whole(x, column) {
            let window = self.window(cuts, [x, w], &rows, half, *hangs, parts);
            let mut parts = parts.clone();
            put_places(&mut parts, &rows, &window);
            parts.window = Some(window.clone());
            let Ok(rig) = Rig::new(parts) else {
                continue;
            };
            let shown = shown_in(&rig, &window);
            match excess(&rig, &shown) {
                Some(0.0) => return Ok((rig, shown)),
                Some(by) => least = Some(least.map_or(by, |least| least.min(by))),
                None => {}
            }
        }
        Err(least)
    }

    fn window(
        &self,
        cuts: &Cuts,
        [x, w]: [i32; 2],
        rows: &Rows,
        half: f64,
        hangs: bool,
        parts: &Parts,
    ) -> Window {
        let mut h = (2.0 * half).round().max(1.0) as i32;
        let mut y = (rows.middle - f64::from(h) / 2.0).round() as i32;
        if !hangs {
            // Rounding must not put it over the facing panel's edge.
            let high = parts.panels[parts.seat.view.panel].pixels[1];
            let high = i32::try_from(high).unwrap_or(i32::MAX);
            y = y.max(0);
            h = h.min(high - y);
        }
        let columns = cuts.carried([x, w]);
        let count = columns.iter().sum::<u32>() as usize;
        let ahead = match self.ahead() {
            ahead if ahead == Ahead::middle_of(count) => None,
            ahead => Some(ahead.number() as u32),
        };
        Window {
            px: [x, y, w, h],
            columns,
            ahead,
        }
    }

    pub(crate) fn finished(
        &self,
        name: String,
        rig: Rig,
        shown: Shown,
        given: Option<WindowModel>,
        moves: Vec<Move>,
    ) -> Plan {
        let ahead = rig.window().map_or_else(|| self.ahead(), Window::ahead);
        let is_level = self.setting == Setting::Views { is_level: true };
        let own = match rig.window() {
            Some(window) => own_in_window(
                rig.parts(),
                window.count(),
                ahead,
                [window.column_px(), f64::from(window.px[3])],
            ),
            None => FlatViews::of(&rig),
        };
        let numbers = Numbers::new(&shown, own, ahead, self.free).with_jumps(self.jump_weight);
        let numbers = if is_level {
            numbers.unturned()
        } else {
            numbers
        };
        let model = numbers.best(given.as_slice());
        let figures = Figures::of(&shown, &model.screens());
        let all_px: f64 = (rig.panels().iter())
            .map(|panel| f64::from(panel.pixels[0]) * f64::from(panel.pixels[1]))
            .sum();
        let mut at_limit: Vec<String> = (numbers.moving.at_limit(&model.flat).into_iter())
            .map(|typed| match typed {
                crate::fit::Typed::Angle => "program.angle_deg".to_owned(),
                typed => format!("program.{}_mm", typed.name()),
            })
            .collect();
        if is_turn_at_limit(&model) {
            at_limit.push("turn_deg".to_owned());
        }
        let span_rad = shown.span_rad();
        if span_rad < self.limits.span_rad + NEAR_RAD {
            at_limit.push("span_deg".to_owned());
        }
        for change in &moves {
            let bounds = change.lever.bounds_from(change.from);
            if bounds
                .into_iter()
                .any(|bound| (bound - change.to).abs() < 1.0 / STEPS)
            {
                at_limit.push(change.lever.path());
            }
        }
        let oblique = oblique_rad(rig.parts(), rig.layout()).into_iter();
        let ids = rig
            .views()
            .into_iter()
            .zip(oblique)
            .zip(&self.limits.oblique_rad);
        for ((view, seen), most) in ids {
            if !moves.is_empty() && seen > most - NEAR_RAD {
                at_limit.push(format!("panel.{}", view.id.panel + 1));
            }
        }
        at_limit.dedup();
        let (window_px, columns) = match rig.window() {
            Some(window) => (window.px.map(i64::from), window.columns.clone()),
            None => {
                let columns = rig.panels().iter().map(|panel| panel.views);
                (window_px(&rig), columns.collect())
            }
        };
        let area = window_px[2] as f64 * window_px[3] as f64;
        let eye_level = is_level.then(|| EyeLevel::of(&rig.views(), &model.flat));
        let mut plan = Plan {
            name,
            moves,
            window_px,
            columns,
            model,
            figures,
            span_rad,
            lit_share: shown.lit_px() / all_px,
            shown_share: shown.lit_px() / area,
            at_limit,
            tolerance: Vec::new(),
            eye_level,
            rig,
        };
        plan.tolerance = self.tolerance(&plan);
        plan
    }

    /// What being off adds, for everything that is moved, and for where the eye is.
    fn tolerance(&self, plan: &Plan) -> Vec<Tolerance> {
        let mut levers: Vec<Lever> = plan.moves.iter().map(|change| change.lever).collect();
        let seat = [SeatQuantity::Distance, SeatQuantity::Height].map(Measure::Seat);
        let seat = Lever::all(self.parts)
            .into_iter()
            .filter(|lever| seat.contains(&lever.measure()));
        for lever in seat {
            if !levers.contains(&lever) {
                levers.push(lever);
            }
        }
        let screens = plan.model.screens();
        // Being off in height is told, too, of what is judged level with the program's eye.
        let figures = |rig: &Rig| {
            let shown = match (
                rig.window(),
                rig.views().iter().find(|v| v.id == rig.seat().view),
            ) {
                (Some(window), _) => shown_in(rig, window),
                (None, facing) => {
                    let aside = facing.map_or(DVec3::ZERO, |view| shift(view).with_y(0.0));
                    let is_shifted = self.setting == Setting::Views { is_level: true };
                    let shift_mm = if is_shifted { aside } else { DVec3::ZERO };
                    Shown::in_views(rig.parts(), rig.layout(), shift_mm)
                }
            };
            Figures::of(&shown, &screens)
        };
        let before = figures(&plan.rig);
        let adds = |lever: Lever, by: f64| {
            let mut parts = plan.rig.parts().clone();
            let number = lever.get(&parts) + by;
            lever.put(&mut parts, number);
            let rig = Rig::new(parts).ok()?;
            let after = figures(&rig);
            let rms = after.rms_rad - before.rms_rad;
            Some(rms.max(after.jump_rad - before.jump_rad).max(0.0))
        };
        (levers.into_iter())
            .filter_map(|lever| {
                let by = lever.off_by();
                let ways = [by, -by].into_iter().filter_map(|by| adds(lever, by));
                let adds_rad = ways.reduce(f64::max)?;
                Some(Tolerance {
                    lever,
                    by,
                    adds_rad,
                })
            })
            .collect()
    }
}

/// To hundredths, within what is advised.
fn rounded(lever: Lever, number: f64, parts: &Parts) -> f64 {
    let [least, most] = lever.bounds_from(lever.get(parts));
    // No minus before a zero.
    ((number * STEPS).round() / STEPS).clamp(least, most) + 0.0
}

/// Gives every panel its place on the desktop, the facing one keeping its own.
fn put_places(parts: &mut Parts, rows: &Rows, window: &Window) {
    let facing = parts.seat.view.panel;
    let origin = parts.panels[facing].desktop_px.unwrap_or([0, 0]);
    let middle = f64::from(window.px[1]) + f64::from(window.px[3]) / 2.0;
    let mut hidden = 0;
    let before: Vec<i64> = (0..parts.panels.len())
        .map(|panel| {
            let here = hidden;
            hidden += parts
                .seams
                .get(panel)
                .map_or(0, |seam| i64::from(seam.hidden_px));
            here
        })
        .collect();
    let across: Vec<i64> = (lefts(parts).into_iter().zip(&before))
        .map(|(left, hidden)| left - (hidden - before[facing]))
        .collect();
    for (panel, part) in parts.panels.iter_mut().enumerate() {
        let top = if panel == facing {
            0
        } else {
            // Displays that share hidden columns with the facing one stay beside it.
            let shift = middle - rows.middle;
            ((shift + rows.places[panel][1]).round() - shift.round()) as i32
        };
        part.desktop_px = Some([origin[0] + across[panel] as i32, origin[1] + top]);
    }
}
