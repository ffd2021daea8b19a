//! Plans in order of effort.

use rayon::prelude::*;

use super::cases;
use super::cuts::Cuts;
use super::fewest::Fewest;
use super::lever::{Lever, Moves};
use super::plan::Plan;
use super::rows::Rows;
use super::task::{Answer, LOWEST, Limits, Setting, Task, oblique_rad};
use super::wishes::{Impossible, WindowKind, Wishes};
use crate::fit::{Shown, shown_in};
use crate::parts::words::{count, quoted};
use crate::rig::{Ahead, Rig, Window};

/// How it is, and what could be.
#[derive(Debug, Clone, PartialEq)]
pub struct Plans {
    /// As it stands, with the best numbers.
    pub now: Plan,
    /// In order of effort.
    pub plans: Vec<Plan>,
}

impl Plans {
    /// The plan that takes the least effort among those that can be lived with; where none
    /// can, the one that leaves the least error.
    pub fn advised(&self) -> Option<&Plan> {
        let error = |plan: &&Plan| plan.figures.rms_rad;
        let usable = self.plans.iter().find(|plan| plan.is_usable());
        usable.or_else(|| {
            self.plans
                .iter()
                .min_by(|a, b| error(a).total_cmp(&error(b)))
        })
    }
}

/// What is being sought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Windows.
    Windows,
    /// Moves, with a window.
    Moves,
    /// Moves, without one.
    MovesWithoutWindow,
}

/// Most columns that are tried where nobody says how many. An own choice.
const MOST_COLUMNS: u32 = 6;
/// Columns are worth a plan of their own where they leave at most this share.
const WORTH: f64 = 0.98;

/// A setting without moves: its search, what it found, and the plan of it.
type Base<'a> = (Task<'a>, Answer, Plan);

/// The plans for a rig. `begin` hears of each stage before it is begun.
///
/// # Errors
///
/// A wish that can't be met.
pub fn plans(rig: &Rig, wishes: &Wishes, begin: &dyn Fn(Stage)) -> Result<Plans, Impossible> {
    let kind = wishes.window;
    let is_fixed = kind == Some(WindowKind::Fixed);
    contradictions(rig, wishes)?;
    let facing = &rig.canvas().panels[rig.seat().view.panel];
    let tops: Vec<f64> = (rig.canvas().panels.iter())
        .map(|lit| f64::from(lit.y) - f64::from(facing.y))
        .collect();
    let anything = Limits {
        span_rad: 0.0,
        oblique_rad: Vec::new(),
        do_cases_overlap: true,
    };
    let stands = Task {
        parts: rig.parts(),
        tops: &tops,
        setting: Setting::Views { is_level: is_fixed },
        free: wishes.free,
        jump_weight: wishes.jump_weight,
        limits: &anything,
        lowest_px: LOWEST * f64::from(facing.h),
        margin_rad: 0.0,
    };
    let now = now(rig, &stands, is_fixed);
    let limits = Limits {
        span_rad: wishes.keep_span * now.span_rad,
        oblique_rad: (oblique_rad(rig.parts(), rig.layout()).into_iter())
            .map(|seen| seen.max(MOST_OBLIQUE_RAD))
            .collect(),
        do_cases_overlap: cases::overlap(rig.parts(), rig.layout()),
    };
    let of = |setting: Setting| Task {
        setting,
        limits: &limits,
        ..stands.clone()
    };
    let pool = match &wishes.moves {
        Moves::Open => Lever::all(rig.parts()),
        Moves::Named { levers, .. } => levers.clone(),
    };
    let mut plans = Vec::new();
    if !is_fixed {
        begin(Stage::Windows);
        let hangs = kind == Some(WindowKind::Hanging);
        let found = windows(rig, wishes, hangs, &of);
        let bases = match found {
            Ok(bases) => bases,
            // Nobody asked for one.
            Err(_) if wishes.are_open() => Vec::new(),
            Err(impossible) => return Err(impossible),
        };
        let is_window_usable = bases.iter().any(|(_, _, plan)| plan.is_usable());
        let is_moving = !matches!(&wishes.moves, Moves::Named { levers, .. } if levers.is_empty());
        let asks_for_moves = is_moving && wishes.moves != Moves::Open;
        if !asks_for_moves {
            plans.extend(bases.iter().map(|(_, _, plan)| plan.clone()));
        }
        let wants_moves = wishes.are_open() && !is_window_usable;
        if let Some((task, base, plan)) = bases.last()
            && (asks_for_moves || wants_moves)
        {
            begin(Stage::Moves);
            plans.extend(moved(wishes, task, base, plan, &pool, "window")?);
        }
    }
    let wants_no_window = match &wishes.moves {
        Moves::Open => is_fixed || (wishes.are_open() && !now.is_usable()),
        Moves::Named { .. } => {
            is_fixed
                || (kind.is_none()
                    && wishes.columns.is_none()
                    && !wishes.are_cuts_anywhere
                    && wishes.ahead.is_none())
        }
    };
    let only_numbers = matches!(&wishes.moves, Moves::Named { levers, .. } if levers.is_empty());
    if wants_no_window && (is_fixed || !only_numbers) {
        begin(Stage::MovesWithoutWindow);
        let task = of(Setting::Views { is_level: true });
        let base = task.unmoved();
        let plan = task.plan("as it stands".to_owned(), &base, &[]);
        let plan = plan.ok_or_else(|| {
            Impossible(
            "the displays as they lie on the desktop make no whole canvas: correct `desktop_px`"
                .to_owned(),
        )
        })?;
        if only_numbers {
            plans.push(plan);
        } else {
            plans.extend(moved(wishes, &task, &base, &plan, &pool, "")?);
        }
    }
    Ok(Plans { now, plans })
}

/// No view is advised that is seen farther off its perpendicular.
const MOST_OBLIQUE_RAD: f64 = 50.0 / 180.0 * std::f64::consts::PI;

/// Wishes that exclude each other, or that this rig can't have.
fn contradictions(rig: &Rig, wishes: &Wishes) -> Result<(), Impossible> {
    let fail = |text: String| Err(Impossible(text));
    if wishes.window == Some(WindowKind::Fixed) {
        let option = if wishes.columns.is_some() {
            "--columns"
        } else if wishes.are_cuts_anywhere {
            "--cuts"
        } else if wishes.ahead.is_some() {
            "--ahead"
        } else {
            ""
        };
        if !option.is_empty() {
            return fail(format!(
                "{option} asks for another window, but --window fixed keeps the whole canvas, cut \
                 into the rig's views: leave out one of them"
            ));
        }
    }
    let panels = rig.panels().len();
    if let Some(columns) = &wishes.columns {
        if columns.len() != panels {
            return fail(format!(
                "--columns has {}, but the rig has {}: give one number for each, from left to right",
                count(columns.len(), "number"),
                count(panels, "panel"),
            ));
        }
        let all = columns.iter().map(|&n| u64::from(n)).sum::<u64>();
        if columns.contains(&0) || all > u64::from(Window::MAX_COLUMNS) {
            return fail(format!(
                "--columns gives each panel at least one column, and all together at most {}",
                Window::MAX_COLUMNS
            ));
        }
        if let Some(ahead) = wishes.ahead
            && u64::from(ahead) > all
        {
            return fail(format!(
                "--ahead names column {ahead}, but there are {all}: count them from 1 at the left"
            ));
        }
    }
    Ok(())
}

/// As it stands, with the best numbers.
fn now(rig: &Rig, stands: &Task<'_>, is_fixed: bool) -> Plan {
    let name = "as it stands".to_owned();
    if let (Some(window), false) = (rig.window(), is_fixed) {
        let shown = shown_in(rig, window);
        return stands.finished(name, rig.clone(), shown, None, Vec::new());
    }
    let shift_mm = match (
        is_fixed,
        rig.views().iter().find(|view| view.id == rig.seat().view),
    ) {
        (true, Some(facing)) => crate::fit::shift(facing),
        _ => glam::DVec3::ZERO,
    };
    let shown = Shown::in_views(rig.parts(), rig.layout(), shift_mm);
    let mut parts = rig.parts().clone();
    parts.window = None;
    // Without its window it is a rig all the more.
    let rig = Rig::new(parts).unwrap_or_else(|_| rig.clone());
    stands.finished(name, rig, shown, None, Vec::new())
}

/// The windows that are asked for: eye level in its row and the views' columns, then the
/// best columns, if they are better.
fn windows<'a>(
    rig: &Rig,
    wishes: &Wishes,
    hangs: bool,
    of: &(dyn Fn(Setting) -> Task<'a> + Sync),
) -> Result<Vec<Base<'a>>, Impossible> {
    has_rows(rig, hangs)?;
    let parts = rig.parts();
    let views: Vec<u32> = rig.panels().iter().map(|panel| panel.views).collect();
    let task = |cuts: Cuts| {
        let ahead = match wishes.ahead {
            Some(number) if number as usize > cuts.count => return None,
            Some(number) => Ahead::Column((number as usize).saturating_sub(1)),
            None => Ahead::middle_of(cuts.count),
        };
        Some(of(Setting::Window { cuts, ahead, hangs }))
    };
    let at_seams = || -> Vec<Cuts> {
        (choices(views.len(), most_columns(&views)).iter())
            .filter_map(|columns| Cuts::at_seams(parts, columns, hangs))
            .collect()
    };
    let candidates: Vec<Cuts> = match &wishes.columns {
        Some(columns) if wishes.are_cuts_anywhere => {
            let count = columns.iter().sum::<u32>() as usize;
            let at_seams = Cuts::at_seams(parts, columns, hangs);
            Cuts::anywhere(parts, count, hangs)
                .into_iter()
                .chain(at_seams)
                .collect()
        }
        Some(columns) => Cuts::at_seams(parts, columns, hangs).into_iter().collect(),
        None if wishes.are_cuts_anywhere => {
            let least = views.len() as u32;
            (least..=most_columns(&views))
                .filter_map(|count| Cuts::anywhere(parts, count as usize, hangs))
                // Where they are best may be the seams.
                .chain(at_seams())
                .collect()
        }
        None => at_seams(),
    };
    if candidates.is_empty() {
        return Err(no_columns(wishes));
    }
    let mut bases: Vec<Base<'a>> = Vec::new();
    if wishes.columns.is_none()
        && !wishes.are_cuts_anywhere
        && let Some(mut cuts) = Cuts::at_seams(parts, &views, hangs)
    {
        // As wide as it can be: rows alone.
        cuts.widths[0] = cuts.widths[1];
        if let Some(task) = task(cuts) {
            let answer = task.unmoved();
            let plan = task.plan("window: rows".to_owned(), &answer, &[]);
            bases.extend(plan.map(|plan| (task, answer, plan)));
        }
    }
    let mut found: Vec<(Task<'a>, Answer)> = (candidates.into_par_iter())
        .filter_map(task)
        .map(|task| {
            let answer = task.unmoved();
            (task, answer)
        })
        .collect();
    found.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
    let weight = wishes.jump_weight;
    let best = found.into_iter().find_map(|(task, answer)| {
        let plan = task.plan(String::new(), &answer, &[])?;
        Some((task, answer, plan))
    });
    if let Some((task, answer, mut plan)) = best {
        let columns: Vec<String> = plan.columns.iter().map(u32::to_string).collect();
        plan.name = format!("window: columns {}", columns.join(","));
        let is_better = bases
            .last()
            .is_none_or(|(_, _, rows)| plan.merit_rad(weight) < WORTH * rows.merit_rad(weight));
        if is_better {
            bases.push((task, answer, plan));
        }
    }
    if bases.is_empty() {
        return Err(Impossible(format!(
            "no such window shows {:.0} % of the span that is seen today: ask for less with \
             --keep-span, or for other columns",
            wishes.keep_span * 100.0
        )));
    }
    Ok(bases)
}

fn most_columns(views: &[u32]) -> u32 {
    MOST_COLUMNS.max(views.iter().sum())
}

/// Every way to give so many panels at least one column each, and at most so many in all.
fn choices(panels: usize, most: u32) -> Vec<Vec<u32>> {
    /// A rig of many panels has as many ways as this, and no more are tried.
    const WAYS: usize = 400;
    let mut ways: Vec<Vec<u32>> = vec![Vec::new()];
    for panel in 0..panels {
        let later = (panels - panel - 1) as u32;
        ways = ways
            .iter()
            .flat_map(|way| {
                let used: u32 = way.iter().sum();
                let room = most.saturating_sub(used + later);
                (1..=room.max(1)).map(|n| {
                    let mut way = way.clone();
                    way.push(n);
                    way
                })
            })
            .take(WAYS)
            .collect();
    }
    ways
}

/// Whether eye level passes over every panel.
fn has_rows(rig: &Rig, hangs: bool) -> Result<(), Impossible> {
    let tops: Vec<f64> = vec![0.0; rig.panels().len()];
    let facing = rig.canvas().panels[rig.seat().view.panel];
    let lowest_px = LOWEST * f64::from(facing.h);
    let beyond = rig.layout().surfaces().iter().position(|surface| {
        let t = surface.t_on(crate::geometry::EyePlane::HORIZON, 0.0);
        t.is_none_or(|t| t.abs() > surface.size_mm[1] / 2.0)
    });
    let rows = Rows::of(rig.parts(), rig.layout(), &tops);
    match (rows, beyond) {
        (Some(rows), _) if hangs || 2.0 * rows.inside >= lowest_px => Ok(()),
        (_, Some(panel)) => Err(Impossible(format!(
            "eye level doesn't pass over panel {}, so no window inside it has eye level in its \
             middle: move the panel or the seat, or use --window hanging",
            quoted(&rig.panels()[panel].name)
        ))),
        _ => Err(Impossible(
            "eye level doesn't pass over all panels, so no window inside them has it in its \
             middle: move the panels or the seat, or use --window hanging"
                .to_owned(),
        )),
    }
}

fn no_columns(wishes: &Wishes) -> Impossible {
    Impossible(match &wishes.columns {
        Some(columns) => {
            let columns: Vec<String> = columns.iter().map(u32::to_string).collect();
            format!(
                "no window of equal columns gives the panels {} of them with every cut at a seam: \
                 inner panels must carry whole columns, so name others, leave out --columns, or \
                 use --cuts any",
                columns.join(", ")
            )
        }
        None => "no window of equal columns has every cut at a seam of these panels: use --cuts \
                 any"
        .to_owned(),
    })
}

/// The moves that are asked for in one setting.
fn moved(
    wishes: &Wishes,
    task: &Task<'_>,
    base: &Answer,
    plan: &Plan,
    pool: &[Lever],
    name: &str,
) -> Result<Vec<Plan>, Impossible> {
    let level = plan.eye_level.as_ref();
    // What is moved may cost no more rows than it may of the span.
    let task = &Task {
        lowest_px: (wishes.keep_span * plan.window_px[3] as f64).max(task.lowest_px),
        ..task.clone()
    };
    let fewest = Fewest {
        task,
        base,
        pool: pool.to_vec(),
        name,
        merit_rad: plan.merit_rad(wishes.jump_weight),
        is_asked: wishes.moves != Moves::Open,
        is_levelled: wishes.moves == Moves::Open
            && level.is_some_and(|level| level.rms_rad >= crate::fit::USABLE_RAD),
    };
    match &wishes.moves {
        Moves::Named {
            one_by_one: true,
            levers,
        } => match fewest.together(levers) {
            Some((plan, _)) => Ok(vec![plan]),
            None => Err(Impossible(format!(
                "nothing was found within the limits that moves {} and keeps {:.0} % of the span: \
                 name other values, or ask for less with --keep-span",
                levers
                    .iter()
                    .map(|lever| lever.path())
                    .collect::<Vec<_>>()
                    .join(", "),
                wishes.keep_span * 100.0,
            ))),
        },
        _ => Ok(fewest.plans()),
    }
}
