//! Draws what the camera sees, row by row on all cores.

use rayon::prelude::*;

use super::camera::Camera;
use super::scene::{LitPanel, Meeting, Part, ROOM, Scene, Sight};
use crate::light::Tables;
use crate::raster::Picture;

/// Samples in a pixel that an edge crosses; a power of two.
const SAMPLES: u32 = 32;

/// The seat view: `canvas` shown on the scene's screens, seen by the camera.
///
/// A pixel wholly on one screen averages the canvas under its footprint. One
/// that an edge crosses is sampled at 32 places, of which no two share a column
/// or a row, so that outlines at any slant have 32 shades.
pub fn render(scene: Scene, camera: &Camera, canvas: &Picture) -> Picture {
    let scene = scene.bounded(camera);
    let mut view = Picture::new(camera.size_px());
    let stride = view.stride();
    let tables = Tables::get();
    view.bytes_mut()
        .par_chunks_mut(stride)
        .enumerate()
        .for_each(|(row, bytes)| {
            let y = row as f64 + 0.5;
            let screens = scene.in_row(y);
            for (column, pixel) in bytes.as_chunks_mut::<4>().0.iter_mut().enumerate() {
                let light = light_at(&scene, camera, canvas, [column as f64 + 0.5, y], &screens);
                let [red, green, blue] = light;
                *pixel = [tables.code(red), tables.code(green), tables.code(blue), 255];
            }
        });
    view
}

fn light_at(
    scene: &Scene,
    camera: &Camera,
    canvas: &Picture,
    [x, y]: [f64; 2],
    screens: &[usize],
) -> [f32; 3] {
    if screens.is_empty() {
        return ROOM.linear();
    }
    let ray = camera.ray(x, y);
    match scene.sight(&ray, x, screens) {
        Sight::Room => ROOM.linear(),
        Sight::Picture(screen, footprint) => footprint.light(canvas, scene.screens()[screen].lit),
        Sight::Plain(part) => LitPanel::light(part),
        Sight::Edge => sampled(scene, camera, canvas, [x, y], screens),
    }
}

/// The share of one screen's picture in a pixel.
struct Share {
    screen: usize,
    samples: u32,
    /// Sum of the samples' places in the pixel.
    places: [f64; 2],
}

fn sampled(
    scene: &Scene,
    camera: &Camera,
    canvas: &Picture,
    [x, y]: [f64; 2],
    screens: &[usize],
) -> [f32; 3] {
    let mut light = [0.0_f32; 3];
    let mut add = |more: [f32; 3], samples: u32| {
        for (sum, more) in light.iter_mut().zip(more) {
            *sum += more * samples as f32 / SAMPLES as f32;
        }
    };
    let mut shares: Vec<Share> = Vec::new();
    for sample in 0..SAMPLES {
        let place = place(sample);
        let ray = camera.ray(x + place[0], y + place[1]);
        match scene.nearest(ray.towards, screens) {
            None => add(ROOM.linear(), 1),
            Some((Meeting { screen, .. }, Part::Glass)) => {
                let share = match shares.iter_mut().find(|share| share.screen == screen) {
                    Some(share) => share,
                    None => {
                        shares.push(Share {
                            screen,
                            samples: 0,
                            places: [0.0; 2],
                        });
                        let last = shares.len() - 1;
                        &mut shares[last]
                    }
                };
                share.samples += 1;
                share.places[0] += place[0];
                share.places[1] += place[1];
            }
            Some((_, part)) => add(LitPanel::light(part), 1),
        }
    }
    for share in shares {
        // The picture is looked up where the samples that see it have their middle.
        let middle = share.places.map(|sum| sum / f64::from(share.samples));
        let ray = camera.ray(x + middle[0], y + middle[1]);
        if let Some(footprint) = scene.footprint(share.screen, &ray) {
            let lit = scene.screens()[share.screen].lit;
            add(footprint.light(canvas, lit), share.samples);
        }
    }
    light
}

/// Where a sample lies, from the pixel's middle.
fn place(sample: u32) -> [f64; 2] {
    let bits = SAMPLES.trailing_zeros();
    let reversed = sample.reverse_bits() >> (32 - bits);
    [sample, reversed].map(|i| (f64::from(i) + 0.5) / f64::from(SAMPLES) - 0.5)
}
