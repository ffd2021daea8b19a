//! A plan as a rig file: the text that there is, changed where the plan changes it.

use super::plan::Plan;
use crate::rig::{self, Rig};
use crate::sheet::units::{degrees, fixed};

/// The rig file of a plan: the text of the rig's file with the numbers that change, its
/// window, and comments at its top that say what was changed and what to type. Where the
/// text can't take the changes one by one, it is written anew.
pub fn written(text: &str, rig: &Rig, plan: &Plan) -> String {
    let body = rig::with_plan_of(text, &plan.rig).unwrap_or_else(|_| rig::write(&plan.rig));
    let ending = if body.contains("\r\n") { "\r\n" } else { "\n" };
    let mut out = String::new();
    for line in comments(rig, plan) {
        out += "# ";
        out += &line;
        out += ending;
    }
    match body.strip_prefix('\u{feff}') {
        Some(body) => format!("\u{feff}{out}{body}"),
        None => out + &body,
    }
}

fn comments(rig: &Rig, plan: &Plan) -> Vec<String> {
    let (flat, figures) = (&plan.model.flat, &plan.figures);
    let mut lines = vec![format!(
        "Planned ({}): {} deg rms, {} deg at most. What was changed:",
        plan.name,
        degrees(figures.rms_rad, 2),
        degrees(figures.max_rad, 2)
    )];
    for change in &plan.moves {
        lines.push(format!(
            "  {} = {}, was {}",
            change.lever.path(),
            fixed(change.to, 2),
            fixed(change.from, 2)
        ));
    }
    for (index, (planned, was)) in plan.rig.panels().iter().zip(rig.panels()).enumerate() {
        if planned.desktop_px == was.desktop_px {
            continue;
        }
        let place = |place: Option<[i32; 2]>| {
            place.map_or_else(|| "left out".to_owned(), |place| format!("{place:?}"))
        };
        lines.push(format!(
            "  panel.{}.desktop_px = {}, was {}",
            index + 1,
            place(planned.desktop_px),
            place(was.desktop_px)
        ));
    }
    match (plan.rig.window(), rig.window()) {
        (Some(planned), was) if was != Some(planned) => {
            let was = was.map_or_else(|| "left out".to_owned(), |was| format!("{:?}", was.px));
            lines.push(format!("  window.px = {:?}, was {was}", planned.px));
        }
        (None, Some(_)) => lines.push("  [window] is left out".to_owned()),
        _ => {}
    }
    lines.push(format!(
        "To type: angle {} deg, distance {} mm, width {} mm, bezel {} mm",
        degrees(flat.angle_rad, 2),
        fixed(flat.distance_mm, 1),
        fixed(flat.width_mm, 1),
        fixed(flat.bezel_mm, 1)
    ));
    lines
}
