//! How good a fit is, in words.

use super::units::{Units, degrees, fixed};
use crate::fit::{FlatViews, FlatViewsFit, GOOD_RAD, Improvement, Typed, USABLE_RAD, Worst};
use crate::geometry::{View, azimuth, elevation};
use crate::parts::words::number;
use crate::rig::{Measure, Rig, SeamQuantity, Unit};

/// How good a picture is, from the best.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Grade {
    Exact,
    Good,
    Fair,
    Bad,
}

fn grade(rms_rad: f64) -> Grade {
    match rms_rad {
        rms if rms.to_degrees() < EXACT_DEG => Grade::Exact,
        rms if rms < GOOD_RAD => Grade::Good,
        rms if rms < USABLE_RAD => Grade::Fair,
        _ => Grade::Bad,
    }
}

/// What an rms angle means to the person at the rig.
pub(super) fn quality(rms_rad: f64) -> &'static str {
    match grade(rms_rad) {
        Grade::Exact => "An exact fit.",
        Grade::Good => "A good fit: what remains is hard to see.",
        Grade::Fair => "A fair fit: lines bend a little at the seams.",
        Grade::Bad => {
            "A BAD fit: the rig is not built like that, and no numbers typed there \
             make the picture right."
        }
    }
}

/// Where to read on about a bad picture.
pub(super) fn pointer(rms_rad: f64) -> Option<&'static str> {
    let is_bad = grade(rms_rad) == Grade::Bad;
    is_bad.then_some("`throughline place` shows what would help one camera a screen.")
}

/// An rms below which nothing is left to say.
pub(super) const EXACT_DEG: f64 = 0.01;

/// Where on the rig the worst pixel is, and what is drawn there looks like.
pub(super) fn worst(rig: &Rig, views: &[View], worst: &Worst) -> String {
    let place = match (third(worst.u), third(worst.v)) {
        (0, 0) => "top left corner",
        (1, 0) => "top edge",
        (2, 0) => "top right corner",
        (0, 1) => "left edge",
        (1, 1) => "middle",
        (2, 1) => "right edge",
        (0, 2) => "bottom left corner",
        (1, 2) => "bottom edge",
        _ => "bottom right corner",
    };
    let view = rig.view_name(views[worst.view].id);
    format!(
        "Worst, by {} degrees, at the {place} of {view}: what is drawn there appears {}.",
        degrees(worst.angle_rad(), 2),
        misplaced(worst),
    )
}

/// The part of a side on which a fraction lies: at its start, between, at its end.
fn third(fraction: f64) -> u8 {
    match fraction {
        f if f < 0.2 => 0,
        f if f <= 0.8 => 1,
        _ => 2,
    }
}

/// Which way the picture is off: "1.20 degrees too high and 0.30 too far left".
fn misplaced(worst: &Worst) -> String {
    let up = elevation(worst.seen) - elevation(worst.modelled);
    let turn = azimuth(worst.seen) - azimuth(worst.modelled);
    let turn = turn - std::f64::consts::TAU * (turn / std::f64::consts::TAU).round();
    // Along the level circle through the pixel, on which a degree of azimuth
    // is shorter than a degree.
    let right = turn * elevation(worst.seen).cos();
    let parts = [
        (up, "too high", "too low"),
        (right, "too far right", "too far left"),
    ];
    let mut parts = parts.map(|(by, more, less)| (by.abs(), if by > 0.0 { more } else { less }));
    parts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let [(most, way), (other, other_way)] = parts;
    let mut text = format!("{} degrees {way}", degrees(most, 2));
    if other > 0.05 * most && other.to_degrees() > 0.05 {
        text += &format!(" and {} {other_way}", degrees(other, 2));
    }
    text
}

/// The largest step that a level line takes from one view to the next, in
/// words, by how much and into which view; `None` where it is none to speak of.
pub(super) fn step(rig: &Rig, views: &[View], step: Option<(f64, usize)>) -> Option<String> {
    let (step, right) = step?;
    (step.abs().to_degrees() >= 0.1).then(|| {
        format!(
            "Level lines step {} by {} degrees from {} to {}.",
            if step > 0.0 { "up" } else { "down" },
            degrees(step.abs(), 2),
            rig.view_name(views[right - 1].id),
            rig.view_name(views[right].id),
        )
    })
}

/// What the flat views are worth to the person at the rig: their fit, and what eye
/// level adds to it.
pub(super) fn flat_views(rig: &Rig, views: &[View], fit: &FlatViewsFit, units: Units) -> String {
    let level = &fit.eye_level;
    let off = level.horizon_rad.abs();
    let counts = grade(level.rms_rad) > grade(fit.rms_rad);
    if off.to_degrees() < 0.1 && !counts {
        return quality(fit.rms_rad).to_owned();
    }
    let length = format!("{} {}", units.length(level.above_mm.abs()), units.symbol());
    let is_above = level.above_mm > 0.0;
    let (eye, horizon, panels, seat) = if is_above {
        ("higher", "low", "Raise the panels", "lower the seat")
    } else {
        ("lower", "high", "Lower the panels", "raise the seat")
    };
    let bend = level.bend.filter(|(bend, _)| bend.to_degrees() >= 0.1);
    let bend = bend.map_or(String::new(), |(bend, right)| {
        format!(
            ", and bends by {} degrees from {} to {}",
            degrees(bend, 2),
            rig.view_name(views[right - 1].id),
            rig.view_name(views[right].id),
        )
    });
    let opening = match (counts, grade(fit.rms_rad)) {
        (false, _) => quality(fit.rms_rad).to_owned(),
        (true, Grade::Exact | Grade::Good) => "The screens fit, but not their height.".to_owned(),
        (true, _) => format!("{} Their height is off as well.", quality(fit.rms_rad)),
    };
    // Where other errors happen to make up for it, moving the panels helps nothing.
    let advice = if level.rms_rad > fit.rms_rad {
        format!(
            " {panels} by {length} or {seat} by as much, or use the program's vertical shift \
             where it has one."
        )
    } else {
        String::new()
    };
    format!(
        "{opening} Such a program has eye level in the middle of its screens, and the eye is \
         {length} {eye}: its horizon lies {} degrees too {horizon} straight ahead{bend}. With \
         that the picture is {} degrees rms off.{advice}",
        degrees(off, 2),
        degrees(level.rms_rad, 2),
    )
}

/// Which bounds of what people can type hold the answer.
pub(super) fn held(fit: &FlatViewsFit, units: Units) -> Option<String> {
    let held: Vec<String> = (fit.at_limit.iter())
        .map(|&typed| at(typed, &fit.model, units))
        .collect();
    held_by(&held)
}

/// A number that a bound holds.
pub(super) fn at(typed: Typed, model: &FlatViews, units: Units) -> String {
    let number = typed.get(model);
    let number = match typed {
        Typed::Angle => format!("{} degrees", degrees(number, 0)),
        _ => format!("{} {}", units.length(number), units.symbol()),
    };
    format!("the {} at {number}", typed.name())
}

/// What to do about bounds that hold an answer.
pub(super) fn held_by(held: &[String]) -> Option<String> {
    (!held.is_empty()).then(|| {
        format!(
            "Bounds of what can be typed hold this answer: {}. Free another number, or change \
             the rig.",
            held.join(" and ")
        )
    })
}

/// The change that would help most, with what it would bring.
pub(super) fn change(rig: &Rig, change: &Improvement, rms_rad: f64, units: Units) -> String {
    let name = |panel: usize| &rig.panels()[panel].name;
    let spec = change.measure.spec();
    let what = match change.measure {
        Measure::Seam(seam, what) => {
            let kind = match what {
                SeamQuantity::Angle => "angle, view to view,",
                _ => spec.name,
            };
            format!("the {kind} from {} to {}", name(seam), name(seam + 1))
        }
        Measure::Panel(panel, _) => format!("the {} of {}", spec.name, name(panel)),
        Measure::Seat(_) => format!("the seat's {}", spec.name),
    };
    let show = |number: f64| match spec.unit {
        Unit::Mm => (units.length(number), units.symbol()),
        unit => (fixed(number, 1), unit.word()),
    };
    let ((to, unit), (from, _)) = (show(change.to), show(change.from));
    format!(
        "The one change to the rig that helps most: {what} {to} {unit} instead of {from} \
         ({}={}). That brings the rms from {} to {} degrees.",
        change.measure.subject(),
        number(change.to),
        degrees(rms_rad, 2),
        degrees(change.rms_rad, 2),
    )
}
