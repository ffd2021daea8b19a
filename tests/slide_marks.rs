//! A line to be read, as it is drawn: its right part stands as many rows higher as it was
//! slid, to a small fraction of a pixel, and nothing else is lit.

use throughline::geometry::EyePlane;
use throughline::glass::Drawing;
use throughline::light::Tables;
use throughline::pattern::{Choices, Layers, Slide};
use throughline::raster::Picture;
use throughline::readings::Line;
use throughline::rig::{PxRect, Rig, demos, read};

/// Most by which a centroid of drawn light may be off, in rows: strokes of whole widths
/// have exact coverage, and codes round it.
const MOST_OFF_PX: f64 = 0.02;

fn drawn(rig: &Rig, slide: Slide) -> Picture {
    let choices = Choices {
        slide: Some(slide),
        ..Choices::default()
    };
    let drawing = Drawing::new(rig, Layers::NONE, choices, None);
    drawing.picture().clone()
}

/// Linear light of a pixel of a panel.
fn light(picture: &Picture, lit: PxRect, column: u32, row: u32) -> f64 {
    let whole = PxRect {
        x: 0,
        y: 0,
        w: picture.size_px()[0],
        h: picture.size_px()[1],
    };
    let bytes = picture.row(whole, lit.y + row);
    f64::from(Tables::get().linear(bytes[(lit.x + column) as usize * 4]))
}

/// The centroid in row coordinates of a column's light within some rows of where it is
/// expected.
fn centroid(picture: &Picture, lit: PxRect, column: u32, near: f64) -> Option<f64> {
    let rows = (near - 7.0).max(0.0) as u32..((near + 7.0) as u32).min(lit.h);
    let weights = rows.map(|row| (f64::from(row) + 0.5, light(picture, lit, column, row)));
    let (sum, total) = weights.fold((0.0, 0.0), |(sum, total), (row, light)| {
        (sum + row * light, total + light)
    });
    (total > 0.0).then(|| sum / total)
}

#[test]
fn the_right_part_stands_where_it_was_slid() {
    let mut tried = 0;
    for demo in demos() {
        let rig = read(demo.text, demo.name, &[]).expect("a sound demo");
        for seam in 0..rig.seams().len() {
            let [left, right] = rig.layout().seam(seam);
            let [lit_left, lit_right] = [seam, seam + 1].map(|panel| rig.canvas().panels[panel]);
            for (slope, up_px) in [(0.0, 0.0), (0.0, 10.25), (0.1, -7.5), (-0.2, 3.75)] {
                let middle = right.point_px(0.0, right.pixels[1] / 2.0);
                let [azimuth, elevation] = [
                    throughline::geometry::azimuth(middle),
                    throughline::geometry::elevation(middle),
                ];
                let line = Line {
                    seam,
                    plane: EyePlane::at_slope(azimuth, elevation, slope),
                    left_px: [left.pixels[0] - 200.0, left.pixels[0]],
                    right_px: (right.pixels[0] * 0.25).round(),
                };
                let picture = drawn(&rig, Slide { line, up_px });
                // A column's middle, clear of the ticks.
                let column = line.right_px as u32 + 10;
                let wanted = right
                    .py_on(line.plane, f64::from(column) + 0.5)
                    .expect("it crosses the panel")
                    - up_px;
                let found = centroid(&picture, lit_right, column, wanted).expect("it is drawn");
                assert!(
                    (found - wanted).abs() < MOST_OFF_PX,
                    "{} seam {seam}: {found} instead of {wanted}",
                    demo.name
                );
                let column = left.pixels[0] as u32 - 50;
                let wanted = left
                    .py_on(line.plane, f64::from(column) + 0.5)
                    .expect("it crosses the panel");
                let found = centroid(&picture, lit_left, column, wanted).expect("it stands");
                assert!(
                    (found - wanted).abs() < MOST_OFF_PX,
                    "{found} instead of {wanted}"
                );
                // Ticks above and below, as far from the line on both sides.
                let row = right.py_on(line.plane, line.right_px).expect("it crosses") - up_px;
                let at = |off: f64| {
                    light(
                        &picture,
                        lit_right,
                        line.right_px as u32,
                        (row + off) as u32,
                    )
                };
                assert!(at(-20.0) > 0.9 && at(20.0) > 0.9 && at(-36.0) < 0.1 && at(36.0) < 0.1);
                // Nothing far from both parts.
                let lit = (0..lit_right.h)
                    .filter(|&row| light(&picture, lit_right, lit_right.w - 3, row) > 0.0);
                assert_eq!(lit.count(), 0);
                tried += 1;
            }
        }
    }
    assert!(tried > 20, "{tried}");
}
