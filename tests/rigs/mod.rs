//! Random rigs as people build them, flat and curved, and measuring on them.

#![allow(dead_code, reason = "each test file uses a part of it")]

use glam::DVec3;
use proptest::prelude::*;
use throughline::geometry::Surface;
use throughline::rig::{Bezel, Panel, Parts, Rig, Seam, Seat, Size, Turn, ViewId};

prop_compose! {
    fn panel()(
        pixels in proptest::sample::select(
            &[[1920, 1080], [2560, 1440], [1200, 1920], [3440, 1440]][..],
        ),
        pitch_mm in 0.2..0.3f64,
        shape in 0.99..1.01f64,
        radius_mm in proptest::option::of(900.0..1800.0f64),
        views in 1u32..=3,
        bezel in [2.0..14.0f64, 2.0..14.0f64],
        tilt_deg in -6.0..6.0f64,
        roll_deg in -3.0..3.0f64,
    ) -> Panel {
        let [left, right] = bezel;
        let size_mm = [
            f64::from(pixels[0]) * pitch_mm,
            f64::from(pixels[1]) * pitch_mm * shape,
        ];
        Panel {
            curve_radius_mm: radius_mm,
            views: if pixels[0] > 3000 { views } else { 1 },
            bezel_mm: Bezel { left, right, top: 9.0, bottom: 12.0 },
            tilt_deg,
            roll_deg,
            ..Panel::new("", pixels, Size::LitMm(size_mm))
        }
    }
}

/// Numbers as people write them down, in tenths.
fn tenths(range: std::ops::Range<i32>) -> impl Strategy<Value = f64> {
    range.prop_map(|tenths| f64::from(tenths) / 10.0)
}

prop_compose! {
    fn seam()(
        turn_deg in tenths(80..460),
        is_fold in any::<bool>(),
        gap_mm in tenths(0..120),
        step_mm in tenths(-150..150),
        rise_mm in tenths(-400..400),
        hidden_px in 5u32..120,
    ) -> Seam {
        let turn = if is_fold { Turn::FoldDeg(turn_deg) } else { Turn::AngleDeg(turn_deg) };
        Seam { turn, gap_mm, step_mm, rise_mm, hidden_px }
    }
}

prop_compose! {
    fn parts()(
        mut panels in proptest::collection::vec(panel(), 2..5),
        mut seams in proptest::collection::vec(seam(), 3),
        facing in any::<prop::sample::Index>(),
        view in any::<prop::sample::Index>(),
        distance_mm in 520.0..900.0f64,
        height_mm in -60.0..90.0f64,
        offset_mm in -60.0..60.0f64,
    ) -> Parts {
        for (index, panel) in panels.iter_mut().enumerate() {
            panel.name = format!("p{index}");
        }
        seams.truncate(panels.len() - 1);
        let panel = facing.index(panels.len());
        let view = view.index(panels[panel].views as usize) as u32;
        let seat = Seat { view: ViewId { panel, view }, distance_mm, height_mm, offset_mm };
        Parts { name: "any".to_owned(), seat, panels, seams, window: None }
    }
}

/// Two to four panels, leaning, rolled, stepped and raised as real ones are.
pub(crate) fn ordinary() -> impl Strategy<Value = Rig> {
    parts().prop_filter_map("a panel turns its back", |parts| Rig::new(parts).ok())
}

/// The same, upright and with their middles at one height.
pub(crate) fn level() -> impl Strategy<Value = Rig> {
    parts().prop_filter_map("a panel turns its back", |mut parts| {
        parts.seams.iter_mut().for_each(|seam| seam.rise_mm = 0.0);
        upright(parts)
    })
}

/// A rig whose panels neither lean nor roll.
pub(crate) fn upright(mut parts: Parts) -> Option<Rig> {
    for panel in &mut parts.panels {
        (panel.tilt_deg, panel.roll_deg) = (0.0, 0.0);
    }
    Rig::new(parts).ok()
}

/// The point at fractions of a panel's columns and rows, from its top left corner.
pub(crate) fn at(surface: &Surface, across: f64, down: f64) -> DVec3 {
    surface.point_px(surface.pixels[0] * across, surface.pixels[1] * down)
}

/// Length in millimetres along the middle row from one column to another.
pub(crate) fn along_mm(surface: &Surface, from_px: f64, to_px: f64) -> f64 {
    const PIECES: u32 = 2000;
    let point = |piece: u32| {
        let px = from_px + (to_px - from_px) * f64::from(piece) / f64::from(PIECES);
        surface.point_px(px, surface.pixels[1] / 2.0)
    };
    (0..PIECES).map(|n| point(n).distance(point(n + 1))).sum()
}

/// A vector seen from above: its height left out.
pub(crate) fn in_plan(v: DVec3) -> DVec3 {
    DVec3::new(v.x, 0.0, v.z)
}

/// What a level ruler reads in millimetres between the two lit edges of a seam: in
/// plan, at the middle of the heights that both corners' lines reach, or, where they
/// share none, where both reach it extended.
pub(crate) fn dark_in_plan_mm(rig: &Rig, seam: usize) -> f64 {
    let [left, right] = rig.layout().seam(seam);
    let ends = [(left, 1.0), (right, 0.0)]
        .map(|(surface, across)| [1.0, 0.0].map(|down| at(surface, across, down)));
    let highest_of_low = ends[0][0].y.max(ends[1][0].y);
    let lowest_of_high = ends[0][1].y.min(ends[1][1].y);
    let height = (highest_of_low + lowest_of_high) / 2.0;
    let [from, to] = ends.map(|[low, high]| {
        let share = (height - low.y) / (high.y - low.y);
        low + (high - low) * share
    });
    in_plan(to - from).length()
}
