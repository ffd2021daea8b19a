//! Where a photograph was about taken from, the rig standing about as its file says.

use glam::{DMat3, DQuat, DVec2, DVec3};

use super::camera::{Camera, Lens};
use super::model::Scene;
use super::places::PLACES_MM;
use crate::least_squares::{ROUGH, Unknown, minimise};
use crate::marks::Sighting;

/// Eyes that are tried, in millimetres from where the file has it: where people are
/// asked to stand, and higher and lower.
const EYES_MM: [DVec3; 5] = [
    told(0),
    told(1),
    told(2),
    DVec3::new(0.0, 250.0, 150.0),
    DVec3::new(0.0, -150.0, 300.0),
];

/// A place in the seat's frame, whose z points back.
const fn told(number: usize) -> DVec3 {
    let [right, ahead] = PLACES_MM[number];
    DVec3::new(right, 0.0, -ahead)
}

/// Focal lengths that are tried, in longer sides of the picture: of phones' main lenses,
/// common practice, and of longer ones.
const FOCAL: [f64; 2] = [0.72, 1.1];
/// Larger residuals count by their size alone, as a share of the longer side: about what
/// a file's usual errors make.
const USUAL: f64 = 0.01;
/// Steps of 1.
const TURN_RAD: f64 = 0.01;
const EYE_MM: f64 = 10.0;
const FOCAL_STEP: f64 = 0.02;

/// The camera that explains these sightings best, the screens standing so; `None` where
/// none does.
pub(super) fn camera(scene: &Scene, size_px: [u32; 2], seen: &[Sighting]) -> Option<Camera> {
    let size_px = DVec2::from_array(size_px.map(f64::from));
    let points: Vec<(DVec3, DVec2)> = (seen.iter())
        .map(|one| {
            let screen = &scene.screens[one.panel];
            (
                screen.surface.point_px(one.panel_px.x, one.panel_px.y),
                one.photo_px,
            )
        })
        .collect();
    let tried = FOCAL
        .iter()
        .flat_map(|focal| EYES_MM.map(|eye| (eye, *focal)));
    let solved = tried.filter_map(|(eye, focal)| {
        let start = turned(size_px, eye, focal * size_px.max_element(), &points)?;
        solved(&start, &points)
    });
    let best = solved.min_by(|(_, one), (_, other)| one.total_cmp(other));
    best.map(|(camera, _)| camera)
}

/// Of three axes: the first along `ahead`, the second towards `beside`.
fn axes(ahead: DVec3, beside: DVec3) -> Option<DMat3> {
    let first = ahead.try_normalize()?;
    let third = first.cross(beside).try_normalize()?;
    Some(DMat3::from_cols(first, third.cross(first), third))
}

/// A camera at an eye that has the middle of the points, and the way along which they
/// spread to the right, where the picture has them.
fn turned(size_px: DVec2, eye: DVec3, focal_px: f64, points: &[(DVec3, DVec2)]) -> Option<Camera> {
    let centre_px = size_px / 2.0;
    let count = points.len() as f64;
    let seen = |px: DVec2| ((px - centre_px) / focal_px).extend(1.0).normalize();
    let pairs: Vec<[DVec3; 2]> = (points.iter())
        .map(|&(point, px)| [(point - eye).normalize(), seen(px)])
        .collect();
    let sum = |which: usize| pairs.iter().map(|pair| pair[which]).sum::<DVec3>() / count;
    let [middle_in_seat, middle_in_camera] = [sum(0), sum(1)];
    let spread = |which: usize, middle: DVec3| -> DVec3 {
        let turns = pairs.iter();
        turns
            .map(|pair| (pair[which] - middle) * (pair[0].x - middle_in_seat.x))
            .sum()
    };
    let seat = axes(middle_in_seat, spread(0, middle_in_seat))?;
    let camera = axes(middle_in_camera, spread(1, middle_in_camera))?;
    let start = Camera {
        size_px,
        eye,
        camera_from_seat: camera * seat.transpose(),
        focal_px,
        centre_px,
        drift_px: DVec2::ZERO,
    };
    let mut all = points.iter();
    all.all(|&(point, _)| start.px(&Lens::default(), point).is_some())
        .then_some(start)
}

fn moved(start: &Camera, steps: &[f64]) -> Camera {
    let three = |from: usize| DVec3::from_slice(&steps[from..from + 3]);
    let turn = DQuat::from_scaled_axis(three(0) * TURN_RAD);
    Camera {
        camera_from_seat: DMat3::from_quat(turn) * start.camera_from_seat,
        eye: start.eye + three(3) * EYE_MM,
        focal_px: start.focal_px * (steps[6] * FOCAL_STEP).exp(),
        ..*start
    }
}

/// The camera found from a start, and what it leaves.
fn solved(start: &Camera, points: &[(DVec3, DVec2)]) -> Option<(Camera, f64)> {
    let usual_px = USUAL * start.size_px.max_element();
    let evaluate = |steps: &[f64], into: &mut Vec<f64>| {
        let camera = moved(start, steps);
        for &(point, px) in points {
            let left = (px - camera.px_or_nan(&Lens::default(), point)) / usual_px;
            // The square is that of small ones, and grows with the length of large ones.
            let length = left.length();
            let held = (2.0 / (1.0 + (1.0 + length * length).sqrt())).sqrt();
            into.extend([left.x * held, left.y * held]);
        }
    };
    let free = Unknown {
        start: 0.0,
        min: f64::NEG_INFINITY,
        max: f64::INFINITY,
    };
    let found = minimise(evaluate, &[free; 7], ROUGH);
    let is_found = found.cost.is_finite();
    is_found.then(|| (moved(start, &found.values), found.cost))
}
