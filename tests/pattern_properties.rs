//! Any rig that is one can be drawn, in parts as well as whole.

use proptest::prelude::*;
use throughline::pattern::{Guides, Layers, Pattern};
use throughline::raster::{Picture, draw, update};
use throughline::rig::{Bezel, Panel, Parts, PxRect, Rig, Seam, Seat, Size, Turn, ViewId};
use throughline::typeset::Typesetter;

prop_compose! {
    fn panel()(
        pixels in [1u32..500, 1u32..400],
        pitch_mm in 0.2..2.0f64,
        shape in 0.8..1.25f64,
        curve in proptest::option::of(0.0..3000.0f64),
        views in 1u32..4,
        bezel in 0.0..40.0f64,
        tilt_deg in -40.0..40.0f64,
        roll_deg in -180.0..180.0f64,
    ) -> Panel {
        let size_mm =
            [f64::from(pixels[0]) * pitch_mm * shape, f64::from(pixels[1]) * pitch_mm];
        let size_mm = size_mm.map(|side| side.max(1.0));
        Panel {
            name: String::new(),
            pixels,
            size: Size::LitMm(size_mm),
            curve_radius_mm: curve.map(|more| size_mm[0] / 2.0 + more),
            views: views.min(pixels[0]),
            refresh_hz: None,
            scale: 1.0,
            bezel_mm: Bezel { left: bezel, right: bezel, top: bezel, bottom: bezel },
            desktop_px: None,
            tilt_deg,
            roll_deg,
        }
    }
}

prop_compose! {
    fn seam()(
        turn_deg in -60.0..80.0f64,
        is_fold in any::<bool>(),
        gap_mm in -60.0..100.0f64,
        step_mm in -80.0..80.0f64,
        rise_mm in -200.0..200.0f64,
        hidden_px in 0u32..60,
    ) -> Seam {
        let turn = if is_fold { Turn::FoldDeg(turn_deg) } else { Turn::AngleDeg(turn_deg) };
        Seam { turn, gap_mm, step_mm, rise_mm, hidden_px }
    }
}

prop_compose! {
    fn parts()(
        mut panels in proptest::collection::vec(panel(), 1..5),
        mut seams in proptest::collection::vec(seam(), 4),
        facing in any::<prop::sample::Index>(),
        view in any::<prop::sample::Index>(),
        distance_mm in 150.0..3000.0f64,
        height_mm in -400.0..400.0f64,
        offset_mm in -300.0..300.0f64,
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

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        max_global_rejects: 20_000,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_rig_can_be_drawn_in_parts_as_well_as_whole(
        parts in parts(),
        cut in [0.0..1.0f64, 0.0..1.0f64],
    ) {
        let Ok(rig) = Rig::new(parts) else {
            return Err(TestCaseError::reject("no rig"));
        };
        let pattern = Pattern::new(&rig, &Guides::of(&rig), Layers::ALL, &mut Typesetter::new());
        let [w, h] = rig.canvas().size_px;
        let mut whole = Picture::new([w, h]);
        draw(pattern.marks(), &mut whole, PxRect { x: 0, y: 0, w, h });
        prop_assert!(whole.bytes().as_chunks::<4>().0.iter().all(|pixel| pixel[3] == 255));

        let [x, y] = [(f64::from(w) * cut[0]) as u32, (f64::from(h) * cut[1]) as u32];
        let mut quartered = Picture::new([w, h]);
        for area in [
            PxRect { x: 0, y: 0, w: x, h: y },
            PxRect { x, y: 0, w: w - x, h: y },
            PxRect { x: 0, y, w: x, h: h - y },
            PxRect { x, y, w: w - x, h: h - y },
        ] {
            draw(pattern.marks(), &mut quartered, area);
        }
        prop_assert!(whole == quartered, "four parts differ from the whole");
    }

    #[test]
    fn redrawing_what_changed_is_drawing_all_anew(
        parts in parts(),
        at in any::<prop::sample::Index>(),
        [tilt_deg, roll_deg, angle_deg, gap_mm] in prop::array::uniform4(-1.5..1.5f64),
    ) {
        let Ok(before) = Rig::new(parts.clone()) else {
            return Err(TestCaseError::reject("no rig"));
        };
        let mut nudged = parts;
        let panel = at.index(nudged.panels.len());
        nudged.panels[panel].tilt_deg += tilt_deg;
        nudged.panels[panel].roll_deg += roll_deg;
        if let Some(seam) = nudged.seams.get_mut(panel) {
            let (Turn::AngleDeg(value) | Turn::FoldDeg(value)) = &mut seam.turn;
            *value += angle_deg;
            seam.gap_mm += gap_mm;
        }
        let Ok(after) = Rig::new(nudged) else {
            return Err(TestCaseError::reject("no rig"));
        };
        let (guides, mut typesetter) = (Guides::of(&before), Typesetter::new());
        let [old, new] =
            [&before, &after].map(|rig| Pattern::new(rig, &guides, Layers::ALL, &mut typesetter));
        let [w, h] = before.canvas().size_px;
        let whole = PxRect { x: 0, y: 0, w, h };

        let mut picture = Picture::new([w, h]);
        draw(old.marks(), &mut picture, whole);
        update(old.marks(), new.marks(), &mut picture);
        let mut full = Picture::new([w, h]);
        draw(new.marks(), &mut full, whole);
        prop_assert!(picture == full, "the redrawn picture differs");
    }
}
