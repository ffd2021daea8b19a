//! Tests that a stroke's pixels lie where the search for them looks, and are the same
//! in whatever parts they are drawn: the two things that a redraw of what changed
//! rests on.

use std::sync::Arc;

use glam::{DMat3, DVec3};
use proptest::prelude::*;

use super::band::{Band, Course};
use super::cover::cover;
use super::ink::{BLACK, Ink};
use crate::geometry::{EyePlane, Surface};
use crate::light::Colour;
use crate::pattern::{Curve, Profile, Stroke};
use crate::rig::PxRect;

/// A number whose every order of magnitude from `min` to `max` is as likely.
fn spread(min: f64, max: f64) -> impl Strategy<Value = f64> {
    (min.ln()..=max.ln()).prop_map(f64::exp)
}

/// Zero, or a number of either sign.
fn signed(max: f64) -> impl Strategy<Value = f64> {
    let size = prop_oneof![1 => Just(0.0), 2 => spread(max * 1e-12, max), 2 => 0.0..max];
    (size, any::<bool>()).prop_map(|(size, minus)| if minus { -size } else { size })
}

prop_compose! {
    /// A surface, whether or not it faces the eye.
    fn surface()(
        pixels in [spread(1.0, 400.0), spread(1.0, 200.0)],
        pitch_mm in [spread(1e-3, 100.0), spread(0.1, 10.0)],
        curve in proptest::option::weighted(0.8, prop_oneof![Just(1.0), spread(1.0, 1e4)]),
        middle in [signed(3.0), signed(3.0), signed(3.0)],
        turn in [signed(3.0), signed(1.5), signed(3.2)],
    ) -> Surface {
        let pixels = pixels.map(f64::round);
        let size_mm = [pixels[0] * pitch_mm[0], pixels[1] * pitch_mm[0] * pitch_mm[1]];
        let axes = DMat3::from_rotation_y(turn[0])
            * DMat3::from_rotation_x(turn[1])
            * DMat3::from_rotation_z(turn[2]);
        Surface {
            middle: DVec3::from_array(middle) * size_mm[0],
            x: axes.x_axis,
            y: axes.y_axis,
            z: axes.z_axis,
            size_mm,
            pixels,
            radius_mm: curve.map(|halves| halves * size_mm[0] / 2.0),
        }
    }
}

/// How a stroke's line runs.
#[derive(Debug, Clone)]
enum Way {
    /// Along a direction.
    Along([f64; 3]),
    /// Along the columns, but for a share of this of the way.
    Upright(f64),
    /// Falling by this in rows per column, near where an upright line's reach ends by
    /// a share of this, on either side.
    Steep(f64, f64),
}

fn way() -> impl Strategy<Value = Way> {
    let steep = (spread(9e5, 1.1e6), signed(1e-3)).prop_map(|(m, by)| Way::Steep(m, by));
    prop_oneof![
        6 => [signed(1.0), signed(1.0), signed(1.0)].prop_map(Way::Along),
        2 => signed(1e-6).prop_map(Way::Upright),
        2 => steep,
    ]
}

/// A surface's stroke of a plane through the eye and a place on it, in shares of its
/// pixels; `None` where that is no plane. `part` is the columns and rows of the canvas
/// that it may touch, in shares of those that show the surface.
fn stroke(
    surface: &Surface,
    at: [f64; 2],
    way: Way,
    corner: [u32; 2],
    part: [[f64; 2]; 2],
    width_px: f64,
) -> Option<Stroke> {
    let [w, h] = surface.pixels;
    let [mut px, py] = [at[0] * w, at[1] * h];
    let tangent = |px: f64| surface.tangent(surface.s_at_px(px));
    let along = match way {
        Way::Along(along) => DVec3::from_array(along),
        Way::Upright(off) => surface.y + tangent(px) * off,
        Way::Steep(slope, by) => {
            px = px.round() + 0.5 + (width_px + 1.0) / 2.0 * (1.0 + by);
            let [across, down] = surface.pitch_mm();
            surface.y * (down * slope) + tangent(px) * across
        }
    };
    let plane = EyePlane::through(surface.point_px(px, py), along)?;
    let [x, y] = corner;
    let [w, h] = [w as u32, h as u32];
    let lit = PxRect { x, y, w, h };
    let cut = |[from, to]: [f64; 2], length: u32| {
        let [from, to] = [from, to].map(|share| (share * f64::from(length)) as u32);
        [from, (to - from).max(1)]
    };
    let [left, w] = cut(part[0], w);
    let [top, h] = cut(part[1], y + h + 20);
    let profile = Arc::new(Profile::of(surface));
    Some(Stroke {
        curve: Curve::on_panel(&profile, surface, lit, plane),
        clip: PxRect {
            x: x + left,
            y: top,
            w,
            h,
        },
        width_px,
        colour: Colour([250, 200, 90]),
    })
}

prop_compose! {
    fn any_stroke()(
        surface in surface(),
        at in [-0.3..1.3f64, -0.3..1.3f64],
        way in way(),
        corner in [0u32..70, 0u32..70],
        part in prop_oneof![
            Just([[0.0, 1.0]; 2]),
            [[0.0..0.5f64, 0.5..1.0f64], [0.0..0.5f64, 0.5..1.0f64]],
        ],
        width_px in prop::sample::select(vec![1.0, 2.0, 3.0, 4.0]),
    ) -> Option<Stroke> {
        stroke(&surface, at, way, corner, part, width_px)
    }
}

/// The pixels of the stroke's rectangle, drawn in rectangles.
fn drawn(stroke: &Stroke, parts: impl IntoIterator<Item = PxRect>) -> Vec<[u8; 4]> {
    let whole = stroke.clip;
    let mut pixels = vec![BLACK; whole.w as usize * whole.h as usize];
    let ink = Ink::of(stroke.colour);
    let course = Course::of(stroke);
    for part in parts {
        let mut band = Band::new(&mut pixels, whole.w as usize, [whole.x, whole.y]);
        band.stroke(stroke, &course, &ink, part);
    }
    pixels
}

/// Says where the claims fail for a stroke that is drawn at once, and in parts of
/// some columns and rows.
fn check(stroke: &Stroke, [across, down]: [u32; 2]) -> Result<(), String> {
    let whole = stroke.clip;
    let at_once = drawn(stroke, [whole]);
    let mut parts = Vec::new();
    for x in (whole.x..whole.right()).step_by(across as usize) {
        for y in (whole.y..whole.bottom()).step_by(down as usize) {
            let (w, h) = (across, down);
            parts.extend(PxRect { x, y, w, h }.intersection(whole));
        }
    }
    let in_parts = drawn(stroke, parts.iter().copied());
    let index = |x: u32, y: u32| ((y - whole.y) * whole.w + x - whole.x) as usize;
    let looked_at = |parts: &[PxRect]| {
        let mut times = vec![0; at_once.len()];
        for part in parts {
            cover(stroke, *part, |[left, top, right, bottom]| {
                for y in top..bottom {
                    (left..right).for_each(|x| times[index(x, y)] += 1);
                }
            });
        }
        times
    };
    let looks = [looked_at(&[whole]), looked_at(&parts)];
    for y in whole.y..whole.bottom() {
        for x in whole.x..whole.right() {
            let at = index(x, y);
            if at_once[at] != in_parts[at] {
                return Err(format!("column {x}, row {y} depends on the part drawn"));
            }
            for (look, times) in looks.iter().enumerate() {
                if times[at] > 1 {
                    return Err(format!("column {x}, row {y} is in two strips, {look}"));
                }
                if times[at] == 0 && at_once[at] != BLACK {
                    return Err(format!("column {x}, row {y} is beside the strips, {look}"));
                }
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 4 * ProptestConfig::default().cases,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_stroke_is_looked_for_where_it_is_and_the_same_in_any_parts(
        stroke in any_stroke(),
        parts in [1u32..40, 1u32..40],
    ) {
        if let Some(stroke) = stroke {
            prop_assert_eq!(check(&stroke, parts), Ok(()));
        }
    }
}

/// A surface ahead of the eye, of square pixels 1 mm wide, turned about its columns.
fn ahead(pixels: [f64; 2], radius_mm: Option<f64>, turn_rad: f64) -> Surface {
    let axes = DMat3::from_rotation_y(turn_rad);
    Surface {
        middle: DVec3::new(0.0, 0.0, -pixels[0]),
        x: axes.x_axis,
        y: axes.y_axis,
        z: axes.z_axis,
        size_mm: pixels,
        pixels,
        radius_mm,
    }
}

/// Draws a surface's strokes for some ways and places, in several parts, and gives
/// how many there were of them.
fn sweep(surface: &Surface, strokes: impl IntoIterator<Item = ([f64; 2], Way)>) -> usize {
    let whole = [[0.0, 1.0]; 2];
    let strokes = strokes
        .into_iter()
        .filter_map(|(at, way)| stroke(surface, at, way, [3, 5], whole, 2.0));
    strokes
        .map(|stroke| {
            for parts in [[1, 50], [7, 16]] {
                assert_eq!(
                    check(&stroke, parts),
                    Ok(()),
                    "{:?}",
                    stroke.curve.column(3)
                );
            }
        })
        .count()
}

#[test]
fn lines_on_the_tightest_panels_are_the_same_in_any_parts() {
    // Of two radians, the most that the reader accepts.
    for columns in [4.0, 6.0, 9.0, 23.0] {
        let surface = ahead([columns, 30.0], Some(columns / 2.0), 0.0);
        let strokes = (0..40).flat_map(|step| {
            let along = [1.0, 0.4, 0.7 - 0.05 * f64::from(step % 20)];
            let at = [0.1 + 0.02 * f64::from(step), 0.5];
            [at, [at[0], 0.1]].map(|at| (at, Way::Along(along)))
        });
        assert_eq!(sweep(&surface, strokes), 80);
    }
}

#[test]
fn upright_lines_that_touch_a_tight_panel_twice_are_found() {
    // Seen from inside the curve, far to the side, a plane's two sides meet it twice
    // within a few columns.
    for turn in 0..30 {
        let surface = ahead([29.0, 20.0], Some(14.5), 0.05 * f64::from(turn));
        let strokes = (0..=60).map(|step| ([f64::from(step) / 60.0, 0.5], Way::Upright(0.0)));
        assert_eq!(sweep(&surface, strokes), 61);
    }
}

#[test]
fn nearly_upright_lines_are_found_at_the_end_of_their_reach() {
    for radius_mm in [None, Some(40.0)] {
        let surface = ahead([70.0, 150.0], radius_mm, 0.2);
        for slope in [0.999_999e6, 1.000_01e6, 1.03e6] {
            let strokes = (-60..=60).flat_map(|step| {
                let by = 5e-6 * f64::from(step);
                [0.2, 0.5, 0.8].map(|px| ([px, 0.0], Way::Steep(slope, by)))
            });
            assert_eq!(sweep(&surface, strokes), 363);
        }
    }
}
