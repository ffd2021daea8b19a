//! Whatever the rig, the sheet's numbers are finite and its plan has room.

use proptest::prelude::*;
use throughline::fit::Free;
use throughline::plan;
use throughline::rig::{Bezel, Panel, Parts, Rig, Seam, Seat, Size, Turn, ViewId};
use throughline::sheet::{Sheet, Units};
use throughline::template;

prop_compose! {
    fn panel()(
        pixels in [1u32..=3000, 1u32..=2000],
        width in 1.0..3000.0f64,
        shape in 0.05..4.0f64,
        curve in proptest::option::of(1.0..8.0f64),
        views in prop_oneof![4 => 1u32..=3, 1 => 1u32..=64],
        refresh_hz in proptest::option::of(1.0..1000.0f64),
        bezel in [0.0..60.0f64, 0.0..60.0f64, 0.0..60.0f64, 0.0..60.0f64],
        tilt_deg in prop_oneof![Just(0.0), -80.0..80.0f64],
        roll_deg in prop_oneof![Just(0.0), -180.0..180.0f64],
        name in "[^\\pC]{1,40}",
    ) -> Panel {
        let [left, right, top, bottom] = bezel;
        Panel {
            name,
            pixels,
            size: Size::LitMm([width, (width * shape).max(1.0)]),
            curve_radius_mm: curve.map(|curve| width / 2.0 * curve),
            views: views.min(pixels[0]),
            refresh_hz,
            scale: 1.0,
            bezel_mm: Bezel { left, right, top, bottom },
            desktop_px: None,
            tilt_deg,
            roll_deg,
        }
    }
}

prop_compose! {
    fn seam()(
        turn in prop_oneof![
            (-80.0..80.0f64).prop_map(Turn::AngleDeg),
            (-170.0..170.0f64).prop_map(Turn::FoldDeg),
        ],
        gap_mm in -50.0..400.0f64,
        step_mm in -200.0..200.0f64,
        rise_mm in -500.0..500.0f64,
        hidden_px in 0u32..200,
    ) -> Seam {
        Seam { turn, gap_mm, step_mm, rise_mm, hidden_px }
    }
}

prop_compose! {
    /// Parts that often make a rig.
    fn parts()(
        mut panels in proptest::collection::vec(panel(), 1..5),
        seams in proptest::collection::vec(seam(), 5),
        facing in any::<prop::sample::Index>(),
        view in any::<prop::sample::Index>(),
        distance_mm in prop_oneof![1.0..100.0f64, 100.0..3000.0f64, 3000.0..100_000.0f64],
        height_mm in -800.0..800.0f64,
        offset_mm in -800.0..800.0f64,
    ) -> Parts {
        for (index, panel) in panels.iter_mut().enumerate() {
            panel.name = format!("{index}{}", panel.name);
        }
        let seams = seams[..panels.len() - 1].to_vec();
        let panel = facing.index(panels.len());
        let view = view.index(panels[panel].views as usize) as u32;
        let seat = Seat { view: ViewId { panel, view }, distance_mm, height_mm, offset_mm };
        Parts { name: "any".to_owned(), seat, panels, seams, window: None }
    }
}

/// A rig from parts, of which panels that turn their backs to the eye are left out.
fn rig(parts: Parts) -> Option<Rig> {
    let alone = Parts {
        window: None,
        seat: Seat {
            view: ViewId {
                panel: 0,
                ..parts.seat.view
            },
            ..parts.seat
        },
        panels: vec![parts.panels[parts.seat.view.panel].clone()],
        seams: Vec::new(),
        name: parts.name.clone(),
    };
    Rig::new(parts).or_else(|_| Rig::new(alone)).ok()
}

const FREE: [&str; 5] = [
    "angle,distance",
    "bezel",
    "angle,width,bezel",
    "distance,width",
    "angle,distance,bezel",
];

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(24)
    })]

    #[test]
    fn every_number_is_finite(parts in parts(), free in proptest::sample::select(&FREE[..])) {
        let Some(rig) = rig(parts) else {
            return Ok(());
        };
        let free = free.parse::<Free>().unwrap();
        let sheet = Sheet::of(&rig, free);
        let flat = &sheet.flat_views;
        let single = sheet.single_view;
        let mut numbers = vec![
            flat.model.angle_rad,
            flat.model.distance_mm,
            flat.model.width_mm,
            flat.model.bezel_mm,
            flat.rms_rad,
            flat.worst.angle_rad(),
            single.model.horizontal_rad,
            single.model.vertical_rad(),
            single.rms_rad,
            single.worst.angle_rad(),
            sheet.fov.whole_rad,
            sheet.fov.facing_horizontal_rad,
            sheet.fov.facing_vertical_rad,
            sheet.fov.facing_diagonal_rad,
        ];
        for view in &sheet.views {
            numbers.extend(view.azimuth_rad);
            numbers.extend(view.elevation_rad);
            numbers.extend(view.px_per_deg);
            numbers.extend([view.distance_mm, view.square_mm]);
        }
        for through in sheet.frusta.iter().filter_map(|view| view.through) {
            numbers.extend(through.frustum.near_1);
            numbers.push(through.max_rad);
        }
        for seam in &sheet.seams {
            numbers.extend([seam.angle_rad, seam.fold_rad, seam.dark_mm]);
            numbers.extend(seam.dark_px);
        }
        for place in sheet.places.iter().flatten() {
            numbers.extend(place.residual_mm);
        }
        prop_assert!(numbers.iter().all(|number| number.is_finite()), "{:?}", sheet);
        prop_assert!(flat.model.distance_mm > 0.0 && flat.model.width_mm > 0.0);
        // The largest is no less than the mean.
        prop_assert!(flat.worst.angle_rad() >= 0.98 * flat.rms_rad - 1e-9, "{:?}", flat);
        prop_assert!(single.worst.angle_rad() >= 0.98 * single.rms_rad - 1e-9, "{:?}", single);
    }

    #[test]
    fn pages_and_plans_come_out(parts in parts()) {
        let Some(rig) = rig(parts) else {
            return Ok(());
        };
        let page = Sheet::of(&rig, Free::default()).page(Units::Inches, true);
        for line in page.lines() {
            prop_assert!(line.chars().count() <= 80, "{}", line);
        }
        prop_assert!(!page.contains("NaN") && !page.contains("inf "), "{}", page);
        let drawing = plan::draw(&rig, Units::Millimetres);
        for (index, label) in drawing.labels.iter().enumerate() {
            let mut earlier = drawing.labels[..index].iter();
            prop_assert!(!earlier.any(|other| other.rect.overlaps(&label.rect)), "{:?}", label);
        }
        let svg = plan::svg(&drawing, rig.name());
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf"), "{}", svg);
    }

    #[test]
    fn templates_stay_on_their_paper(parts in parts()) {
        let Some(rig) = rig(parts) else {
            return Ok(());
        };
        // What printers leave white at the paper's edges.
        const WHITE_MM: f64 = 5.0;
        for leaf in template::leaves(&rig) {
            let [width, height] = leaf.size_mm;
            prop_assert!([[210.0, 297.0], [297.0, 210.0]].contains(&leaf.size_mm));
            let paths = leaf.drawing.paths.iter().flat_map(|path| path.points.iter().copied());
            let labels = leaf.drawing.labels.iter().flat_map(|label| [label.rect.min, label.rect.max]);
            for point in paths.chain(labels) {
                prop_assert!(
                    (WHITE_MM..=width - WHITE_MM).contains(&point.x)
                        && (WHITE_MM..=height - WHITE_MM).contains(&point.y),
                    "{point} of {:?}", leaf.drawing.labels
                );
            }
        }
        prop_assert!(template::pdf(&rig).starts_with(b"%PDF-"));
    }
}
