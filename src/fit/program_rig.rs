//! The rig that a program with one camera a screen takes for the real one.

use super::flat_views::FlatViews;
use crate::rig::{Bezel, Flaw, Panel, Parts, Rig, Seam, Seat, Size, Turn, ViewId};

/// A rig of the model's screens, each showing the columns of one view of `rig`
/// on the same canvas. What is drawn for it is what such a program draws.
///
/// # Errors
///
/// The [`Flaw`] of a model that is no rig: too many screens, a size out of
/// range, or a screen that doesn't face the eye.
pub fn program_rig(rig: &Rig, model: &FlatViews) -> Result<Rig, Flaw> {
    let mut panels = Vec::new();
    for (panel, lit) in rig.panels().iter().zip(&rig.canvas().panels) {
        let column = |view: u32| {
            let share = u64::from(lit.w) * u64::from(view) / u64::from(panel.views);
            // No wider than the panel.
            share as u32
        };
        for view in 0..panel.views {
            let (from, to) = (column(view), column(view + 1));
            let place = |at: u32| i32::try_from(at).unwrap_or(i32::MAX);
            let name = format!("screen {}", panels.len() + 1);
            let size = Size::LitMm([model.width_mm, model.height_mm]);
            panels.push(Panel {
                bezel_mm: Bezel {
                    left: model.bezel_mm,
                    right: model.bezel_mm,
                    ..Bezel::default()
                },
                desktop_px: Some([place(lit.x + from), place(lit.y)]),
                ..Panel::new(name, [to - from, lit.h], size)
            });
        }
    }
    let seam = Seam::new(Turn::AngleDeg(model.angle_rad.to_degrees()));
    Rig::new(Parts {
        window: None,
        name: rig.name().to_owned(),
        seat: Seat {
            view: ViewId {
                panel: model.facing,
                view: 0,
            },
            distance_mm: model.distance_mm,
            height_mm: 0.0,
            offset_mm: 0.0,
        },
        seams: vec![seam; panels.len().saturating_sub(1)],
        panels,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{FlatViewsFit, Free};

    use crate::rig::{demos, read};

    #[test]
    fn its_panels_are_the_models_screens_on_the_rigs_canvas() {
        for demo in demos() {
            let rig = read(demo.text, demo.name, &[]).expect("a demo reads");
            let model = FlatViewsFit::of(&rig, Free::default()).model;
            let program = program_rig(&rig, &model).expect("the fit is a rig");
            assert_eq!(program.canvas().size_px, rig.canvas().size_px);
            let layout = program.layout();
            for (view, surface) in layout.surfaces().iter().enumerate() {
                for (u, v) in [(0.0, 0.0), (0.3, 0.9), (1.0, 0.5)] {
                    let [w, h] = surface.pixels;
                    let point = surface.point_px(u * w, v * h);
                    let expected = model.screen(view).point_mm(u, v);
                    assert!(point.distance(expected) < 1e-6, "{}: {view}", demo.name);
                }
            }
        }
    }
}
