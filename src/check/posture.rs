//! Heights and turns that were likely told from elsewhere than the rig file tells
//! them from.

use super::limits::{ABOVE_FLOOR_MM, LOOKS_DOWN_DEG, TURNED_AWAY_DEG};
use super::view::oblique_deg;
use super::{Code, Finding, quoted, quoted_view};
use crate::rig::turns::{Meant, mended, tidy};
use crate::rig::{Rig, SeamQuantity, Subject, Turn};

pub(super) fn findings(rig: &Rig) -> Vec<Finding> {
    let mut found: Vec<_> = height(rig).into_iter().collect();
    found.extend(turns(rig));
    found
}

fn height(rig: &Rig) -> Option<Finding> {
    let seat = rig.seat();
    let down_deg = seat.height_mm.atan2(seat.distance_mm).to_degrees();
    let facing = oblique_deg(rig, seat.view.panel);
    if !ABOVE_FLOOR_MM.contains(&seat.height_mm) || down_deg.min(facing) <= LOOKS_DOWN_DEG {
        return None;
    }
    Some(Finding::error(
        Code::HeightFromFloor,
        Subject::seat("height_mm"),
        format!(
            "The eye would be {} mm above the middle of view {}, the one straight in front, and \
             look down on it by {down_deg:.0} degrees, which looks like a height above the floor. \
             `height_mm` counts from that view's middle: subtract how high the middle is above \
             the floor, which gives 0 where both are level and less where the eye is below.",
            seat.height_mm,
            quoted_view(rig, seat.view),
        ),
    ))
}

/// Seams whose turn is unlikely, and turns a panel away from the eye that it would
/// turn to it as it was likely meant.
fn turns(rig: &Rig) -> Vec<Finding> {
    let is_likely = |turn: Turn| Meant::by(turn).is_none();
    if rig.seams().iter().all(|seam| is_likely(seam.turn)) {
        return Vec::new();
    }
    let Ok(mended) = Rig::new(mended(rig.parts())) else {
        return Vec::new();
    };
    let facing = rig.seat().view.panel;
    let turned = (0..rig.seams().len()).filter_map(|seam| {
        let meant = Meant::by(rig.seams()[seam].turn)?;
        let panel = if seam >= facing { seam + 1 } else { seam };
        let now_deg = oblique_deg(rig, panel);
        let then_deg = oblique_deg(&mended, panel);
        let is_better = match meant {
            Meant::Inward(_) => 2.0 * then_deg < now_deg,
            Meant::Inside(_) => then_deg < now_deg,
        };
        (now_deg > TURNED_AWAY_DEG && is_better).then(|| turn(rig, seam, panel, meant, now_deg))
    });
    turned.collect()
}

fn turn(rig: &Rig, seam: usize, panel: usize, meant: Meant, now_deg: f64) -> Finding {
    let key = SeamQuantity::turn_of(&rig.seams()[seam]).spec().key;
    let (Turn::AngleDeg(deg) | Turn::FoldDeg(deg)) = rig.seams()[seam].turn;
    let [left, right] = [seam, seam + 1].map(|panel| quoted(rig, panel));
    let subject = Subject::seam(seam, key);
    let seen = format!(
        "`{key}` is {deg} between {left} and {right}, with which the eye sees panel {} \
         {now_deg:.0} degrees off its perpendicular",
        quoted(rig, panel),
    );
    match meant {
        Meant::Inward(meant) => Finding::error(
            Code::TurnOutward,
            subject,
            format!(
                "The turn has the wrong sign, as it seems: {seen}. Positive folds the right-hand \
                 panel in, towards the viewer: write {key} = {meant}, unless the panels do turn \
                 away.",
            ),
        ),
        Meant::Inside(meant) => Finding::error(
            Code::TurnInside,
            subject,
            format!(
                "The turn looks like the angle that the two panels have between them: {seen}. \
                 Write how far the right-hand one turns in from the left-hand one: {key} = 180 - \
                 {} = {}.",
                deg.abs(),
                tidy(meant),
            ),
        ),
    }
}
