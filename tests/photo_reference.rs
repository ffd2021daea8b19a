//! The camera against OpenCV's `projectPoints`, where photographs are taken from against
//! its `solvePnP`, and measured values and sigmas against scipy's `least_squares` on the
//! same residuals (`tests/reference/photo_reference.py`).

use glam::{DMat3, DVec2, DVec3};
use serde::Deserialize;
use throughline::marks::Sighting;
use throughline::photo::{Camera, Lens, Photograph, measure};
use throughline::rig::read;

#[derive(Deserialize)]
struct Document {
    cameras: Vec<CameraCase>,
    poses: Poses,
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
struct Poses {
    rig: String,
    focal_px: f64,
    photos: Vec<Pose>,
}

#[derive(Deserialize)]
struct Pose {
    #[serde(flatten)]
    shot: Shot,
    camera_from_seat: [[f64; 3]; 3],
    eye_mm: [f64; 3],
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

impl Shot {
    fn seen(&self) -> Photograph {
        let sightings = self.sightings.iter();
        Photograph {
            size_px: self.size_px,
            sightings: sightings
                .map(|&(panel, px, py, x, y)| Sighting {
                    panel,
                    panel_px: DVec2::new(px, py),
                    photo_px: DVec2::new(x, y),
                    sigma_px: SIGMA_PX,
                })
                .collect(),
        }
    }
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

/// How far a place and an axis may be from where `solvePnP` has them.
const MOST_OFF_MM: f64 = 0.01;
const MOST_OFF_RAD: f64 = 1e-5;

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

/// The program isn't told the camera, and finds it: the marks have no noise.
#[test]
fn photographs_of_one_flat_panel_are_taken_from_where_another_library_says() {
    let poses = document().poses;
    let rig = read(&poses.rig, "one", &[]).expect("a sound rig");
    let photos: Vec<Photograph> = poses.photos.iter().map(|pose| pose.shot.seen()).collect();
    assert!(photos.len() >= 5);
    let found = measure(&rig, &photos, Some(0)).expect("it is told");
    for (index, (taken, pose)) in found.photos().iter().zip(&poses.photos).enumerate() {
        let camera = taken.camera.expect("it is used");
        let off_mm = camera.eye.distance(DVec3::from_array(pose.eye_mm));
        let rows = pose.camera_from_seat.map(DVec3::from_array);
        let turn = DMat3::from_cols(rows[0], rows[1], rows[2]) * camera.camera_from_seat;
        // Of a turn by a small angle the columns are off the axes by it.
        let off_rad = (turn - DMat3::IDENTITY).to_cols_array();
        let off_rad = off_rad
            .into_iter()
            .fold(0.0, |most: f64, off| most.max(off.abs()));
        let zoom = camera.focal_px / poses.focal_px - 1.0;
        assert!(off_mm < MOST_OFF_MM, "{index}: {off_mm} mm");
        assert!(off_rad < MOST_OFF_RAD, "{index}: {off_rad} rad");
        assert!(
            zoom.abs() < MOST_OFF_RAD,
            "{index}: a focal length {zoom} longer"
        );
    }
}

#[test]
fn values_and_sigmas_are_those_of_another_solver() {
    let cases = document().cases;
    assert!(cases.len() >= 3);
    for case in cases {
        let name = &case.name;
        let rig = read(&case.rig, name, &[]).expect("a sound rig");
        let photos: Vec<Photograph> = case.photos.iter().map(Shot::seen).collect();
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
