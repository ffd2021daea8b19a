//! The camera against OpenCV's `projectPoints`, and measured values and sigmas against
//! scipy's `least_squares` on the same residuals (`tests/reference/photo_reference.py`).

use glam::{DMat3, DVec2, DVec3};
use serde::Deserialize;
use throughline::marks::Sighting;
use throughline::photo::{Camera, Lens, Photograph, measure};
use throughline::rig::read;

#[derive(Deserialize)]
struct Document {
    cameras: Vec<CameraCase>,
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct CameraCase {
    camera_from_seat: [[f64; 3]; 3],
    eye_mm: [f64; 3],
    focal_px: f64,
    centre_px: [f64; 2],
    radial: [f64; 3],
    decentring: [f64; 2],
    points: Vec<[f64; 3]>,
    px: Vec<[f64; 2]>,
}

#[derive(Deserialize)]
struct Case {
    name: String,
    rig: String,
    photos: Vec<Shot>,
    values: Vec<Value>,
}

#[derive(Deserialize)]
struct Shot {
    size_px: [u32; 2],
    sightings: Vec<(usize, f64, f64, f64, f64)>,
}

#[derive(Deserialize)]
struct Value {
    path: String,
    measured: f64,
    sigma: f64,
}

/// Of a sigma: what values and sigmas may differ by.
const SHARE: f64 = 0.02;
/// Of each mark: as the script has it.
const SIGMA_PX: f64 = 0.1;

fn document() -> Document {
    serde_json::from_str(include_str!("data/photos.json")).expect("reference data")
}

#[test]
fn the_camera_shows_points_where_another_library_does() {
    let cases = document().cameras;
    assert!(cases.len() >= 10);
    for case in cases {
        let rows = case.camera_from_seat.map(DVec3::from_array);
        let camera = Camera {
            size_px: DVec2::new(4000.0, 3000.0),
            eye: DVec3::from_array(case.eye_mm),
            camera_from_seat: DMat3::from_cols(rows[0], rows[1], rows[2]).transpose(),
            focal_px: case.focal_px,
            centre_px: DVec2::from_array(case.centre_px),
            drift_px: DVec2::ZERO,
        };
        let lens = Lens {
            radial: case.radial,
            decentring: case.decentring,
        };
        for (point, px) in case.points.iter().zip(&case.px) {
            let found = camera.px(&lens, DVec3::from_array(*point)).expect("ahead");
            let off = found - DVec2::from_array(*px);
            assert!(off.length() < 1e-9, "{off}");
        }
    }
}

#[test]
fn values_and_sigmas_are_those_of_another_solver() {
    let cases = document().cases;
    assert!(cases.len() >= 3);
    for case in cases {
        let name = &case.name;
        let rig = read(&case.rig, name, &[]).expect("a sound rig");
        let photos = case.photos.iter().map(|shot| Photograph {
            size_px: shot.size_px,
            sightings: (shot.sightings.iter())
                .map(|&(panel, px, py, x, y)| Sighting {
                    panel,
                    panel_px: DVec2::new(px, py),
                    photo_px: DVec2::new(x, y),
                    sigma_px: SIGMA_PX,
                })
                .collect(),
        });
        let photos: Vec<Photograph> = photos.collect();
        let found = measure(&rig, &photos, Some(0)).expect("it is told");
        assert!(
            found.photos().iter().all(|taken| taken.left_out.is_none()),
            "{name}"
        );
        assert_eq!(found.values().len(), case.values.len(), "{name}");
        for value in found.values() {
            let path = value.measure.plain_path();
            let expected = case.values.iter().find(|value| value.path == path);
            let expected = expected.unwrap_or_else(|| panic!("{name}: {path}"));
            let off = (value.solved - expected.measured) / expected.sigma;
            assert!(off.abs() < SHARE, "{name}: {path} is off by {off} sigma");
            let ratio = value.sigma / expected.sigma;
            assert!(
                (ratio - 1.0).abs() < SHARE,
                "{name}: sigma of {path} {ratio}"
            );
        }
    }
}
