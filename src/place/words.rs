//! Plans for people: three lines each, to be followed at the desk.

use std::fmt::Write;

use super::lever::Lever;
use super::plan::{Move, Plan, Tolerance};
use super::plans::Plans;
use crate::parts::words::{count, number};
use crate::rig::{Ahead, Measure, PanelQuantity, Rig, Unit};
use crate::sheet::units::{degrees, fixed};

/// Whoever moves a display is told this.
const CAUTION: &str = "Before you move a display: two people for a heavy one, motion base and \
                       wheel motors off at the plug, and stay within its mount's rated load.";
/// Panels that turn less than this from each other stand nearly in one plane.
const WALL_DEG: f64 = 5.0;

/// All plans for a rig.
pub fn words(rig: &Rig, plans: &Plans) -> String {
    let now = &plans.now;
    let mut out = String::new();
    // A string takes all that is written.
    let _ = writeln!(
        out,
        "{} as it stands: {}° rms, {}° at most, with angle {}°, distance {} mm{}",
        rig.name(),
        degrees(now.figures.rms_rad, 2),
        degrees(now.figures.max_rad, 2),
        degrees(now.model.flat.angle_rad, 2),
        fixed(now.model.flat.distance_mm, 1),
        turned(now),
    );
    if let Some(line) = eye_level(now) {
        let _ = writeln!(out, "   {line}");
    }
    if plans.plans.is_empty() {
        out += "Nothing that was looked at is better.\n";
    }
    for (index, plan) in plans.plans.iter().enumerate() {
        let _ = writeln!(out, "\n{}. {}", index + 1, outcome(plan, now));
        let _ = writeln!(out, "   Do: {}", to_do(plan));
        let _ = writeln!(out, "   Type: {}", to_type(plan));
        if let Some(line) = eye_level(plan) {
            let _ = writeln!(out, "   {line}");
        }
    }
    let are_panels_moved = plans
        .plans
        .iter()
        .flat_map(|plan| &plan.moves)
        .any(is_of_panel);
    if are_panels_moved {
        let _ = writeln!(out, "\n{CAUTION}");
    }
    out
}

fn is_of_panel(change: &Move) -> bool {
    !matches!(change.lever.measure(), Measure::Seat(_))
}

/// What it is called, the error before and after, and what stays.
fn outcome(plan: &Plan, now: &Plan) -> String {
    let figures = &plan.figures;
    let [before, after, most, jump] = [
        now.figures.rms_rad,
        figures.rms_rad,
        figures.max_rad,
        figures.jump_rad,
    ]
    .map(|angle| degrees(angle, 2));
    let mut text = format!(
        "{}: {before}° rms before, {after}° after (worst {most}°, jumps to {jump}° at the seams",
        plan.name
    );
    if figures.inner_jump_rad.to_degrees() >= 0.05 {
        text += &format!(", {}° inside panels", degrees(figures.inner_jump_rad, 2));
    }
    text += &format!(
        "); {}° of {}° and {:.0} % of the pixels stay",
        degrees(plan.span_rad, 1),
        degrees(now.span_rad, 1),
        plan.lit_share * 100.0
    );
    if plan.shown_share < 0.995 && plan.rig.window().is_some() {
        text += &format!(", {:.0} % of the window is shown", plan.shown_share * 100.0);
    }
    if !plan.at_limit.is_empty() {
        text += &format!("; held by {}", plan.at_limit.join(", "));
    }
    text
}

/// What to move, where the displays go in the system's settings, and the window.
fn to_do(plan: &Plan) -> String {
    let mut steps: Vec<String> = plan
        .moves
        .iter()
        .map(|change| moved(plan, change))
        .collect();
    let seams = 0..plan.rig.seams().len();
    let is_wall = |seam: usize| plan.rig.parts().fold_rad(seam).to_degrees().abs() < WALL_DEG;
    if plan.moves.iter().any(is_of_panel) && seams.clone().count() > 0 && seams.clone().all(is_wall)
    {
        steps.push("that is nearly a flat wall".to_owned());
    }
    let Some(window) = plan.rig.window() else {
        steps.push("leave the displays' places and the whole canvas as they are".to_owned());
        return steps.join("; ");
    };
    let places = plan.rig.panels().iter().zip(plan.places_px());
    let places: Vec<String> = places
        .map(|(panel, [x, y])| format!("{} at {x}, {y}", panel.name))
        .collect();
    steps.push(format!("put the displays {}", places.join("; ")));
    let [x, y, w, h] = window.px;
    let columns: Vec<String> = window.columns.iter().map(u32::to_string).collect();
    steps.push(format!(
        "make the window {w} x {h} px, its corner at {x}, {y} from that of {} ({} of its columns \
         on the panels)",
        plan.rig.panels()[plan.rig.seat().view.panel].name,
        columns.join(" + "),
    ));
    steps.join("; ")
}

fn moved(plan: &Plan, change: &Move) -> String {
    let tolerance = plan
        .tolerance
        .iter()
        .find(|tolerance| tolerance.lever == change.lever);
    format!(
        "{} from {} to {}{}",
        called(&plan.rig, change.lever),
        shown(change.lever, change.from),
        shown(change.lever, change.to),
        tolerance.map_or_else(String::new, exactly),
    )
}

fn exactly(tolerance: &Tolerance) -> String {
    format!(
        " ({} off adds up to {}°)",
        shown(tolerance.lever, tolerance.by),
        degrees(tolerance.adds_rad, 2)
    )
}

fn shown(lever: Lever, value: f64) -> String {
    let rounded = number((value * 100.0).round() / 100.0 + 0.0);
    match lever.measure().spec().unit {
        Unit::Deg => format!("{rounded}°"),
        unit => format!("{rounded}{}", unit.symbol()),
    }
}

/// What people call it.
fn called(rig: &Rig, lever: Lever) -> String {
    let name = |panel: usize| &rig.panels()[panel].name;
    let measure = lever.measure();
    match measure {
        Measure::Seat(_) => format!("the seat's {}", measure.spec().name),
        Measure::Panel(panel, PanelQuantity::Tilt) => format!("the tilt of {}", name(panel)),
        Measure::Panel(panel, _) => format!("the {} of {}", measure.spec().name, name(panel)),
        Measure::Seam(seam, _) => format!(
            "the {} from {} to {}",
            measure.spec().name,
            name(seam),
            name(seam + 1)
        ),
    }
}

fn to_type(plan: &Plan) -> String {
    let flat = &plan.model.flat;
    let ahead = match plan.model.ahead {
        Ahead::Column(column) => format!("screen {} straight ahead", column + 1),
        Ahead::Cut(left) => format!(
            "screens {} and {} beside straight ahead",
            left + 1,
            left + 2
        ),
    };
    format!(
        "{}, {ahead}, angle {}°, distance {} mm, width {} mm, bezel {} mm{}",
        count(flat.count, "screen"),
        degrees(flat.angle_rad, 2),
        fixed(flat.distance_mm, 1),
        fixed(flat.width_mm, 1),
        fixed(flat.bezel_mm, 1),
        turned(plan),
    )
}

/// How far ahead in the program lies beside the rig's, where it does.
fn turned(plan: &Plan) -> String {
    let turn = plan.model.turn_rad;
    if turn.to_degrees().abs() < 0.05 {
        return String::new();
    }
    let side = if turn > 0.0 { "right" } else { "left" };
    format!(
        "; its ahead lies {}° to the {side} of yours",
        degrees(turn.abs(), 2)
    )
}

/// Where eye level is, of what is judged without it, and what to do.
fn eye_level(plan: &Plan) -> Option<String> {
    let level = plan.eye_level.as_ref()?;
    if level.horizon_rad.to_degrees().abs() < 0.1 {
        return None;
    }
    let is_above = level.above_mm > 0.0;
    let (way, panels, seat) = if is_above {
        ("above", "raise the panels", "lower the seat")
    } else {
        ("below", "lower the panels", "raise the seat")
    };
    let length = fixed(level.above_mm.abs(), 1);
    let row = level.row.map_or_else(String::new, |row| {
        format!(", at row {} of its panel", fixed(row, 0))
    });
    Some(format!(
        "Eye level is {length} mm {way} the middle of {}{row}; with that it is {}° rms off: \
         {panels} or {seat} by as much, or use the program's vertical shift where it has one",
        plan.rig.view_name(plan.rig.seat().view),
        degrees(level.rms_rad, 2),
    ))
}
