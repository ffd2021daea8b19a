//! How good a fit is, in words.

use super::names::view_name;
use super::units::{degrees, fixed};
use crate::fit::{Improvement, Worst};
use crate::geometry::{View, azimuth, elevation};
use crate::rig::{Measure, Rig, SeamQuantity, Unit};

/// What an rms angle means to the person at the rig.
pub(super) fn quality(rms_rad: f64) -> &'static str {
    match rms_rad.to_degrees() {
        rms if rms < EXACT_DEG => "An exact fit.",
        rms if rms < 0.3 => "A good fit: what remains is hard to see.",
        rms if rms < 1.0 => "A fair fit: lines bend a little at the seams.",
        _ => {
            "A BAD fit: the rig is not built like that, and no numbers typed there \
             make the picture right."
        }
    }
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
    let view = view_name(rig, views[worst.view].id);
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
/// words; `None` where there is none to speak of.
///
/// `off_rad` gives how much higher the eye sees a place of a view than the model.
pub(super) fn step(
    rig: &Rig,
    views: &[View],
    off_rad: impl Fn(usize, f64) -> f64,
) -> Option<String> {
    let steps =
        (1..views.len()).map(|right| (right, off_rad(right, 0.0) - off_rad(right - 1, 1.0)));
    let (right, step) = steps.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    (step.abs().to_degrees() >= 0.1).then(|| {
        format!(
            "Level lines step {} by {} degrees from {} to {}.",
            if step > 0.0 { "up" } else { "down" },
            degrees(step.abs(), 2),
            view_name(rig, views[right - 1].id),
            view_name(rig, views[right].id),
        )
    })
}

/// The change that would help most, with what it would bring.
pub(super) fn change(rig: &Rig, change: &Improvement, rms_rad: f64) -> String {
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
    let (unit, decimals) = match spec.unit {
        Unit::Deg => (spec.unit.word(), 1),
        unit => (unit.symbol().trim_start(), 0),
    };
    format!(
        "The one change to the rig that helps most: {what} {} {unit} instead of {} \
         ({}={}). That brings the rms from {} to {} degrees.",
        fixed(change.to, decimals),
        fixed(change.from, 1),
        change.measure.subject(),
        fixed(change.to, decimals),
        degrees(rms_rad, 2),
        degrees(change.rms_rad, 2),
    )
}
