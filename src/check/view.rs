//! What the eye thinks of the views: distances and obliqueness.

use super::limits::{COMFORT_MM, MAX_OBLIQUE_DEG, PANEL_DISTANCE_RATIO, VIEW_DISTANCE_RATIO};
use super::{Code, Finding, listed, quoted_view};
use crate::rig::{Rig, Subject, Table, ViewId, on_its_side};

/// A view as the eye sees its middle.
struct Seen {
    panel: usize,
    name: String,
    distance_mm: f64,
    /// Between the line of sight and the view's normal.
    oblique_deg: f64,
}

pub(super) fn findings(rig: &Rig) -> Vec<Finding> {
    let views = views(rig);
    let mut found: Vec<_> = views.iter().filter_map(oblique).collect();
    found.extend(distances_differ(&views));
    found.extend(comfort(&views));
    found
}

fn views(rig: &Rig) -> Vec<Seen> {
    let layout = rig.layout();
    let mut views = Vec::new();
    for (panel, surface) in layout.surfaces().iter().enumerate() {
        let count = rig.panels()[panel].views;
        for view in 0..count {
            let share = (f64::from(view) + 0.5) / f64::from(count);
            let s = surface.s_at_px(share * surface.pixels[0]);
            let middle = surface.point_mm(s, 0.0);
            let cos = -surface.normal(s).dot(middle) / middle.length();
            views.push(Seen {
                panel,
                name: quoted_view(rig, ViewId { panel, view }),
                distance_mm: middle.length(),
                oblique_deg: cos.clamp(-1.0, 1.0).acos().to_degrees(),
            });
        }
    }
    views
}

/// How far a panel's view that is seen most squarely is turned from its line of
/// sight.
pub(super) fn oblique_deg(rig: &Rig, panel: usize) -> f64 {
    let views = views(rig);
    let of_panel = views.iter().filter(|view| view.panel == panel);
    of_panel.map(|view| view.oblique_deg).fold(90.0, f64::min)
}

fn oblique(view: &Seen) -> Option<Finding> {
    if view.oblique_deg <= MAX_OBLIQUE_DEG {
        return None;
    }
    Some(Finding::warning(
        Code::ViewOblique,
        Subject::whole(Table::Panel(view.panel)),
        format!(
            "The eye sees the middle of view {} {} degrees off its perpendicular, but more \
             than {MAX_OBLIQUE_DEG:.0} is too flat to read and often loses contrast and colour. \
             Turn it towards the seat: change the angle at its seam, or its tilt.",
            view.name,
            on_its_side(view.oblique_deg, MAX_OBLIQUE_DEG, 1),
        ),
    ))
}

/// Two panels, or else two views of one, that stand at different distances.
fn distances_differ(views: &[Seen]) -> Option<Finding> {
    let mut of_panels: Vec<&Seen> = Vec::new();
    for view in views {
        match of_panels.last_mut() {
            Some(last) if last.panel == view.panel => {
                if view.distance_mm < last.distance_mm {
                    *last = view;
                }
            }
            _ => of_panels.push(view),
        }
    }
    let far_apart = |views: &[&Seen], ratio: f64| {
        let near = views.iter().min_by(|a, b| by_distance(a, b))?;
        let far = views.iter().max_by(|a, b| by_distance(a, b))?;
        (far.distance_mm > ratio * near.distance_mm).then(|| distances_text(views, near, far))
    };
    far_apart(&of_panels, PANEL_DISTANCE_RATIO).or_else(|| {
        of_panels.iter().find_map(|of_panel| {
            let same: Vec<_> = views
                .iter()
                .filter(|view| view.panel == of_panel.panel)
                .collect();
            far_apart(&same, VIEW_DISTANCE_RATIO)
        })
    })
}

fn by_distance(a: &Seen, b: &Seen) -> std::cmp::Ordering {
    a.distance_mm.total_cmp(&b.distance_mm)
}

fn distances_text(views: &[&Seen], near: &Seen, far: &Seen) -> Finding {
    let all: Vec<_> = views
        .iter()
        .map(|view| format!("{:.0} mm to {}", view.distance_mm, view.name))
        .collect();
    let remedy = if near.panel == far.panel {
        "Sit nearer to the middle of the panel, or farther from it.".to_owned()
    } else {
        format!(
            "Move {} nearer or {} away, or turn the seams so that each view meets its line of \
             sight squarely.",
            far.name, near.name
        )
    };
    Finding::warning(
        Code::EyeDistancesDiffer,
        Subject::whole(Table::Panel(far.panel)),
        format!(
            "The eye's distances differ by {:.0} mm: {}. The eye must refocus from one to the \
             other, and programs that know one distance only draw things at two sizes. {remedy}",
            far.distance_mm - near.distance_mm,
            listed(&all),
        ),
    )
}

fn comfort(views: &[Seen]) -> Option<Finding> {
    let [least, most] = COMFORT_MM;
    let outside: Vec<_> = views
        .iter()
        .filter(|view| !(least..=most).contains(&view.distance_mm))
        .collect();
    let first = outside.first()?;
    let all: Vec<_> = outside
        .iter()
        .map(|view| {
            let mm = view.distance_mm;
            let limit = if mm < least { least } else { most };
            format!("{} mm to {}", on_its_side(mm, limit, 0), view.name)
        })
        .collect();
    let remedy = if first.distance_mm < least {
        "sit farther away, or bring larger panels and move them back"
    } else {
        "move the seat or the panels nearer"
    };
    Some(Finding::warning(
        Code::ViewingDistance,
        Subject::seat("distance_mm"),
        format!(
            "The eye is {}, outside the {least:.0} mm to {most:.0} mm that desks are recommended \
             to have: nearer strains the eyes, farther makes detail hard to see. If the \
             distances are right and it doesn't bother you, leave it; else {remedy}.",
            listed(&all),
        ),
    ))
}
