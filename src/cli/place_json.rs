//! Plans as JSON: millimetres, degrees and pixels.

use serde::Serialize;
use throughline::place::{Plan, Plans};

#[derive(Serialize)]
struct PlansJson<'a> {
    now: PlanJson<'a>,
    plans: Vec<PlanJson<'a>>,
}

#[derive(Serialize)]
struct PlanJson<'a> {
    name: &'a str,
    moves: Vec<MoveJson>,
    window_px: [i64; 4],
    columns: &'a [u32],
    ahead: f64,
    turn_deg: f64,
    displays: Vec<DisplayJson<'a>>,
    program: ProgramJson,
    rms_deg: f64,
    max_deg: f64,
    jump_deg: f64,
    step_deg: f64,
    inner_jump_deg: f64,
    span_deg: f64,
    lit_share: f64,
    shown_share: f64,
    at_limit: &'a [String],
    tolerance: Vec<ToleranceJson>,
}

#[derive(Serialize)]
struct MoveJson {
    path: String,
    from: f64,
    to: f64,
}

#[derive(Serialize)]
struct DisplayJson<'a> {
    panel: &'a str,
    desktop_px: [i64; 2],
}

#[derive(Serialize)]
struct ProgramJson {
    angle_deg: f64,
    distance_mm: f64,
    width_mm: f64,
    bezel_mm: f64,
}

#[derive(Serialize)]
struct ToleranceJson {
    path: String,
    by: f64,
    adds_deg: f64,
}

/// One document with a line break at its end.
pub(super) fn text(plans: &Plans) -> String {
    let document = PlansJson {
        now: plan(&plans.now),
        plans: plans.plans.iter().map(plan).collect(),
    };
    // Plain data of this kind always has a JSON form.
    serde_json::to_string_pretty(&document).unwrap_or_default() + "\n"
}

fn plan(plan: &Plan) -> PlanJson<'_> {
    let (flat, figures) = (&plan.model.flat, &plan.figures);
    PlanJson {
        name: &plan.name,
        moves: (plan.moves.iter())
            .map(|change| MoveJson {
                path: change.lever.path(),
                from: change.from,
                to: change.to,
            })
            .collect(),
        window_px: plan.window_px,
        columns: &plan.columns,
        ahead: plan.model.ahead.number(),
        turn_deg: plan.model.turn_rad.to_degrees(),
        displays: (plan.rig.panels().iter().zip(plan.places_px()))
            .map(|(panel, desktop_px)| DisplayJson {
                panel: &panel.name,
                desktop_px,
            })
            .collect(),
        program: ProgramJson {
            angle_deg: flat.angle_rad.to_degrees(),
            distance_mm: flat.distance_mm,
            width_mm: flat.width_mm,
            bezel_mm: flat.bezel_mm,
        },
        rms_deg: figures.rms_rad.to_degrees(),
        max_deg: figures.max_rad.to_degrees(),
        jump_deg: figures.jump_rad.to_degrees(),
        step_deg: figures.step_rad.to_degrees(),
        inner_jump_deg: figures.inner_jump_rad.to_degrees(),
        span_deg: plan.span_rad.to_degrees(),
        lit_share: plan.lit_share,
        shown_share: plan.shown_share,
        at_limit: &plan.at_limit,
        tolerance: (plan.tolerance.iter())
            .map(|tolerance| ToleranceJson {
                path: tolerance.lever.path(),
                by: tolerance.by,
                adds_deg: tolerance.adds_rad.to_degrees(),
            })
            .collect(),
    }
}
