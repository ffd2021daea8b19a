//! Where the seat stands: a tape from the facing view's glass to the eye.

use glam::DVec3;

use super::sheet::{Sheet, caution};
use super::staff::{Mark, Staff};
use crate::geometry::View;
use crate::rig::Rig;
use crate::sheet::units::fixed;

/// From the tape's left edge to the line that lies straight ahead.
const SPINE_MM: f64 = 30.0;
/// Room beside that line for the eye.
const BESIDE_MM: [f64; 2] = [-26.0, 58.0];
/// Tape behind the eye.
const BEHIND_MM: f64 = 12.0;

/// The sheets with the tape; none where the eye is too far off for
/// one, or the middle behind it.
pub(super) fn sheets(rig: &Rig) -> Vec<Sheet> {
    let tape = tape(rig);
    // A far roll can take the middle of a view behind the eye.
    let is_ahead = from_middle_mm(rig)[0] > 0.0;
    if !is_ahead || !tape.is_handy() {
        return Vec::new();
    }
    let mut sheets = tape.sheets(rig, "From the glass to the eye, seen from above");
    for sheet in &mut sheets {
        sheet.note(
            "Glue the pieces and hold the tape level, its first end to the glass at the facing \
             view's middle, the dashed line square to it as seen from above.",
        );
        for sentence in words(rig) {
            sheet.note(&sentence);
        }
        sheet.note(&caution());
    }
    sheets
}

/// From the glass, at 0, down to the eye.
fn tape(rig: &Rig) -> Staff {
    let [distance, _, beside] = from_middle_mm(rig);
    let has_room = (BESIDE_MM[0]..=BESIDE_MM[1]).contains(&beside);
    let from_glass = |mm: f64, text: String| Mark { at_mm: -mm, text };
    let mut marks = vec![from_glass(
        distance,
        format!("{} mm: the eye", fixed(distance, 1)),
    )];
    let tenths = (distance / 100.0).ceil() as u32;
    for hundreds in 1..tenths.min(100) {
        let mm = f64::from(hundreds) * 100.0;
        marks.push(from_glass(mm, format!("{mm:.0}")));
    }
    Staff {
        name: "glass to eye".to_owned(),
        marks,
        ends_mm: [-distance - BEHIND_MM, 0.0],
        spine_mm: SPINE_MM,
        cross_mm: has_room.then_some([-distance, beside]),
    }
}

/// How far behind, above and right of the facing view's middle the eye is: what the
/// rig file says of an upright panel. One that rolls takes the middle of a view
/// beside its own middle along.
pub(super) fn from_middle_mm(rig: &Rig) -> [f64; 3] {
    let facing = rig.seat().view;
    let views = rig.views();
    let middle = views.iter().find(|view| view.id == facing);
    let middle = middle.map_or(DVec3::ZERO, View::middle_mm);
    [-middle.z, -middle.y, -middle.x]
}

/// Where the eye is, in sentences.
pub(super) fn words(rig: &Rig) -> Vec<String> {
    let view = rig.view_name(rig.seat().view);
    let [distance, above, right] = from_middle_mm(rig);
    let side = |mm: f64, [more, less]: [&str; 2], level: &str| {
        if fixed(mm, 1) == fixed(0.0, 1) {
            level.to_owned()
        } else {
            let way = if mm > 0.0 { more } else { less };
            format!("{} mm {way}", fixed(mm.abs(), 1))
        }
    };
    vec![format!(
        "The eye is {} mm from the glass of {view}, {} and {} its middle.",
        fixed(distance, 1),
        side(above, ["above", "below"], "level with"),
        side(
            right,
            ["to the right of", "to the left of"],
            "neither left nor right of"
        ),
    )]
}
