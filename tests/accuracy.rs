//! The promise: the centroid of every drawn line lies within 0.02 px rms and
//! 0.10 px at worst of the closed form, on flat and curved panels at any slope.

use std::sync::Arc;

use throughline::geometry::{EyePlane, Surface, azimuth, elevation};
use throughline::light::{Colour, decode};
use throughline::pattern::{Curve, Mark, Profile, Stroke};
use throughline::raster::{Picture, draw};
use throughline::rig::{PxRect, read};

/// Squared errors of readings.
#[derive(Default)]
struct Errors {
    count: usize,
    sum: f64,
    worst: f64,
}

impl Errors {
    fn add(&mut self, error: f64) {
        self.count += 1;
        self.sum += error * error;
        self.worst = self.worst.max(error.abs());
    }

    fn rms(&self) -> f64 {
        (self.sum / self.count as f64).sqrt()
    }
}

fn surfaces() -> Vec<Surface> {
    let mut surfaces = Vec::new();
    for (curve, tilt, roll, offset) in [
        ("", 0.0, 0.0, 0.0),
        ("", 11.0, 6.0, 80.0),
        ("curve_radius_mm = 1000", 0.0, 0.0, -60.0),
        ("curve_radius_mm = 420", -8.0, 3.0, 40.0),
    ] {
        let text = format!(
            "format = 1\nname = \"t\"\n[seat]\nview = \"p/1\"\ndistance_mm = 640\nheight_mm = 30\n\
             offset_mm = {offset}\n[[panel]]\nname = \"p\"\npixels = [1600, 900]\n\
             size_mm = [598, 330]\ntilt_deg = {tilt}\nroll_deg = {roll}\n{curve}\n"
        );
        let rig = read(&text, "test", &[]).expect("a sound rig");
        surfaces.push(rig.layout().surfaces()[0]);
    }
    surfaces
}

/// Draws one line and compares its light's centroid with where `seen_at` says
/// that the line is: per column where it is shallow, per row where it is steep.
fn read_line(
    surface: &Surface,
    drawn: EyePlane,
    truth: EyePlane,
    width_px: f64,
    errors: &mut Errors,
) {
    let [w, h] = surface.pixels.map(|n| n as u32);
    let area = PxRect { x: 0, y: 0, w, h };
    let profile = Arc::new(Profile::of(surface));
    let stroke = Stroke {
        curve: Curve::on_panel(&profile, surface, area, drawn),
        clip: area,
        width_px,
        colour: Colour([255, 255, 255]),
    };
    let mut picture = Picture::new([w, h]);
    draw(&[Mark::Stroke(stroke)], &mut picture, area);
    let light = |x: u32, y: u32| {
        decode(f64::from(picture.bytes()[(y as usize * w as usize + x as usize) * 4]) / 255.0)
    };

    let reach = width_px / 2.0 + 3.0;
    let centroid = |count: u32, at: f64, light: &dyn Fn(u32) -> f64| -> Option<f64> {
        let (from, to) = ((at - reach).floor(), (at + reach).ceil());
        if from < 0.0 || to > f64::from(count) {
            return None;
        }
        let (mut sum, mut moment) = (0.0, 0.0);
        for i in from as u32..to as u32 {
            sum += light(i);
            moment += light(i) * (f64::from(i) + 0.5);
        }
        // The line must be there.
        assert!(sum > 0.9 * width_px, "no light at {at}: {sum}");
        Some(moment / sum)
    };
    for x in 0..w {
        let row = |x: f64| surface.py_on(truth, x).filter(|row| row.abs() < 1e5);
        let (Some(at), Some(before), Some(after)) = (
            row(f64::from(x) + 0.5),
            row(f64::from(x)),
            row(f64::from(x) + 1.0),
        ) else {
            continue;
        };
        if (after - before).abs() <= 1.0
            && let Some(read) = centroid(h, at, &|y| light(x, y))
        {
            errors.add(read - at);
        }
    }
    for y in 0..h {
        let at_row = f64::from(y) + 0.5;
        // The columns where the closed form crosses this row, by bisection.
        let over = |x: f64| truth.distance_mm(surface.point_px(x, at_row));
        for x in (0..w).step_by(16) {
            let (mut low, mut high) = (f64::from(x), f64::from(x) + 16.0);
            if over(low) * over(high) >= 0.0 {
                continue;
            }
            for _ in 0..60 {
                let middle = f64::midpoint(low, high);
                if over(low) * over(middle) <= 0.0 {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            let rows = [low - 0.5, low + 0.5].map(|x| surface.py_on(truth, x));
            let is_steep = rows[0]
                .zip(rows[1])
                .is_none_or(|(a, b)| (b - a).abs() > 1.0);
            if is_steep && let Some(read) = centroid(w, low, &|x| light(x, y)) {
                errors.add(read - low);
            }
        }
    }
}

/// Planes through places all over a surface, at slopes all around.
fn planes(surface: &Surface) -> Vec<EyePlane> {
    let mut planes = Vec::new();
    for (i, fractions) in [[0.5, 0.5], [0.21, 0.33], [0.8, 0.7]].iter().enumerate() {
        let point = surface.point_px(
            fractions[0] * surface.pixels[0],
            fractions[1] * surface.pixels[1],
        );
        for step in 0..12 {
            let slope = -87.0 + 15.0 * f64::from(step) + 3.7 * i as f64;
            planes.push(EyePlane::at_slope(
                azimuth(point),
                elevation(point),
                slope.to_radians(),
            ));
        }
    }
    planes.push(EyePlane::HORIZON);
    planes
}

#[test]
fn lines_are_drawn_where_the_closed_form_puts_them() {
    let mut errors = Errors::default();
    for surface in surfaces() {
        for (index, plane) in planes(&surface).into_iter().enumerate() {
            let width_px = [1.0, 2.0, 3.0, 4.0][index % 4];
            read_line(&surface, plane, plane, width_px, &mut errors);
        }
    }
    println!(
        "{} readings: {:.4} px rms, {:.4} px worst",
        errors.count,
        errors.rms(),
        errors.worst
    );
    assert!(errors.count > 50_000, "only {} readings", errors.count);
    assert!(errors.rms() < 0.02, "{} px rms", errors.rms());
    assert!(errors.worst < 0.10, "{} px worst", errors.worst);
}

/// The same reading finds a line that is drawn a twentieth of a degree off.
#[test]
fn a_line_drawn_elsewhere_is_found_out() {
    let surface = surfaces()[2];
    let truth = EyePlane::at_slope(0.0, 0.0, 0.4);
    let drawn = EyePlane::at_slope(0.0, 0.0, 0.4 + 0.05_f64.to_radians());
    let mut errors = Errors::default();
    read_line(&surface, drawn, truth, 2.0, &mut errors);
    assert!(errors.rms() > 0.1, "{} px rms", errors.rms());
}
