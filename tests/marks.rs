//! The layer of marks shows the field that the reader goes by, and the reader finds it in
//! photographs, and in nothing else.

mod photos;

use std::collections::HashMap;

use glam::{DMat2, DVec2, DVec3};
use photos::{Chance, as_grey, point};
use throughline::geometry::{azimuth, elevation};
use throughline::grey::Grey;
use throughline::light::Tables;
use throughline::marks::{Field, Found, Unusable, find};
use throughline::pattern::{Guides, Layer, Layers, Pattern};
use throughline::raster::{Picture, draw};
use throughline::rig::{PxRect, Rig, demos, read};
use throughline::seat::{Camera, Projection, Scene, render};
use throughline::typeset::Typesetter;

fn demo(name: &str, settings: &[(&str, &str)]) -> Rig {
    let demo = demos().iter().find(|demo| demo.name == name);
    let settings: Vec<(String, String)> = settings
        .iter()
        .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
        .collect();
    read(demo.expect("built in").text, name, &settings).expect("a sound demo")
}

/// The canvas with the marks alone.
fn canvas(rig: &Rig) -> Picture {
    let layers = Layers::NONE.with(Layer::Marks);
    let pattern = Pattern::new(rig, &Guides::of(rig), layers, &mut Typesetter::new());
    let [w, h] = rig.canvas().size_px;
    let mut picture = Picture::new([w, h]);
    draw(pattern.marks(), &mut picture, PxRect { x: 0, y: 0, w, h });
    picture
}

fn code(picture: &Picture, [x, y]: [u32; 2]) -> u8 {
    picture.bytes()[y as usize * picture.stride() + x as usize * 4 + 1]
}

/// The field's rule a second time: whether a cell has a dot.
fn has_dot(panel: u64, column: u64, row: u64) -> bool {
    let number = u128::from((panel << 40) + (row << 20) + column);
    let wrapped = |bits: u128| bits % (1 << 64);
    let mut bits = wrapped(number + 0x9e37_79b9_7f4a_7c15);
    for (shift, factor) in [
        (30, 0xbf58_476d_1ce4_e5b9_u128),
        (27, 0x94d0_49bb_1331_11eb),
    ] {
        bits = wrapped((bits ^ (bits >> shift)) * factor);
    }
    !(bits ^ (bits >> 31)).is_multiple_of(2)
}

/// Every whole cell's corner and middle of every demo, from the drawn pixels. Sides of
/// cells are arithmetic: 60 px of 0.274 mm, 0.232 and 0.311 mm come nearest to 16.2 mm.
#[test]
fn the_layer_shows_the_field() {
    for (name, sides) in [
        ("tram-cab", vec![60, 60, 60]),
        ("ferry-bridge", vec![60, 60, 60]),
        ("night-train", vec![60, 60, 60]),
        ("rally-loft", vec![60, 60]),
    ] {
        let rig = demo(name, &[]);
        let picture = canvas(&rig);
        for (panel, (lit, side)) in rig.canvas().panels.iter().zip(sides).enumerate() {
            let [columns, rows] = [lit.w / side, lit.h / side];
            let label = (columns - 6) / 2..(columns - 6) / 2 + 6;
            for row in 0..rows {
                for column in 0..columns {
                    if row == 0 && label.contains(&column) {
                        continue;
                    }
                    let [x, y] = [lit.x + column * side, lit.y + row * side];
                    let is_lit = (column + row).is_multiple_of(2);
                    let has_dot = has_dot(panel as u64, column.into(), row.into());
                    let expected = |is_lit: bool| if is_lit { 200 } else { 0 };
                    // All four corners to the pixel, and the middle.
                    for at in [[0, 0], [side - 1, 0], [0, side - 1], [side - 1, side - 1]] {
                        let shown = code(&picture, [x + at[0], y + at[1]]);
                        assert_eq!(shown, expected(is_lit), "{name} {panel} {column} {row}");
                    }
                    let middle = code(&picture, [x + side / 2, y + side / 2]);
                    assert_eq!(middle, expected(is_lit != has_dot), "{name} {column} {row}");
                }
            }
            let field = Field::of(&rig, panel);
            assert_eq!(field.cell_px(), side, "{name} {panel}");
        }
    }
}

/// Angles, places and the seat change nothing of it.
#[test]
fn no_nudge_changes_the_field() {
    let before = canvas(&demo("tram-cab", &[]));
    let nudged = [
        ("seat.distance_mm", "640"),
        ("seam.1.angle_deg", "45"),
        ("seam.2.gap_mm", "3"),
        ("panel.1.roll_deg", "1.5"),
        ("panel.3.tilt_deg", "-2"),
        ("panel.2.diagonal_in", "24.0"),
    ];
    for setting in nudged {
        let after = canvas(&demo("tram-cab", &[setting]));
        assert!(before == after, "{setting:?}");
    }
}

/// How a photograph is taken.
#[derive(Clone, Copy)]
struct Shot {
    /// From the eye, and where to, in degrees from the rig's middle.
    off_mm: [f64; 3],
    look_deg: [f64; 2],
    /// Clockwise turn of the camera.
    turn_deg: f64,
    exposure: f64,
    quality: u8,
}

impl Default for Shot {
    fn default() -> Shot {
        Shot {
            off_mm: [0.0; 3],
            look_deg: [0.0; 2],
            turn_deg: 2.0,
            exposure: 1.0,
            quality: 80,
        }
    }
}

const SIZE_PX: [u32; 2] = [1600, 1200];
/// Of barrel distortion: the share by which a corner of the picture is drawn in.
const BARREL: f64 = 0.02;

/// A photograph, and where in it each panel's corners are.
fn photograph(rig: &Rig, shot: Shot) -> (Grey, HashMap<(usize, [u32; 2]), DVec2>) {
    let eye = DVec3::from_array(shot.off_mm);
    let middle: DVec3 = rig
        .layout()
        .surfaces()
        .iter()
        .map(|s| s.point_px(s.pixels[0] / 2.0, s.pixels[1] / 2.0) - eye)
        .map(DVec3::normalize)
        .sum();
    let look = [azimuth(middle), elevation(middle)];
    let look = [0, 1].map(|axis| look[axis] + shot.look_deg[axis].to_radians());
    // Taken larger, since the picture is turned and bent afterwards.
    let larger = SIZE_PX.map(|side| side * 3 / 2);
    let camera = Camera::new(Projection::Rectilinear, look, 1.25, larger).expect("can be shown");
    let view = render(Scene::new(rig, rig, eye), &camera, &canvas(rig));
    let tables = Tables::get();
    let [w, h] = larger.map(|side| side as usize);
    let pixels = view.bytes().as_chunks::<4>().0;
    let light = |at: DVec2| {
        let [x, y] = at.to_array().map(|v| v - 0.5);
        let pixel = |x: f64, y: f64| {
            let [x, y] = [x.clamp(0.0, w as f64 - 1.0), y.clamp(0.0, h as f64 - 1.0)];
            tables.linear(pixels[y as usize * w + x as usize][1])
        };
        let [fx, fy] = [x - x.floor(), y - y.floor()].map(|v| v as f32);
        let row = |y: f64| pixel(x.floor(), y) * (1.0 - fx) + pixel(x.floor() + 1.0, y) * fx;
        row(y.floor()) * (1.0 - fy) + row(y.floor() + 1.0) * fy
    };
    let turn = DMat2::from_angle(shot.turn_deg.to_radians());
    let halves = [SIZE_PX, larger].map(|[w, h]| DVec2::new(f64::from(w), f64::from(h)) / 2.0);
    let radius = halves[0].length();
    let view_from_photo = |at: DVec2| {
        let off = at - halves[0];
        let bent = off * (1.0 + BARREL * (off.length() / radius).powi(2));
        turn.transpose() * bent * 1.5 + halves[1]
    };
    let mut chance = Chance(11);
    let mut codes = Vec::new();
    for y in 0..SIZE_PX[1] {
        for x in 0..SIZE_PX[0] {
            let parts = [[0.17, 0.5], [0.83, 0.5], [0.5, 0.17], [0.5, 0.83]];
            let sum: f32 = parts
                .map(|[a, b]| {
                    light(view_from_photo(DVec2::new(
                        f64::from(x) + a,
                        f64::from(y) + b,
                    )))
                })
                .iter()
                .sum();
            let seen = f64::from(sum) / 4.0 * shot.exposure + 0.01;
            let noise = 6.0 * (chance.within(-1.0, 1.0) + chance.within(-1.0, 1.0));
            let code = f64::from(tables.code(seen as f32)) + noise;
            codes.push(code.round().clamp(0.0, 255.0) as u8);
        }
    }
    let mut file = Vec::new();
    let [w, h] = SIZE_PX;
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut file, shot.quality)
        .encode(&codes, w, h, image::ExtendedColorType::L8)
        .expect("can be packed");
    let packed = image::load_from_memory(&file).expect("was just packed");
    let mut truth = HashMap::new();
    for (panel, lit) in rig.canvas().panels.iter().enumerate() {
        let field = Field::of(rig, panel);
        for corner in field.corners() {
            let px = field.corner_px(corner) + DVec2::new(f64::from(lit.x), f64::from(lit.y));
            let towards = point(rig, panel, px.to_array()) - eye;
            let Some(seen) = camera.pixel(towards) else {
                continue;
            };
            let bent = turn * (DVec2::from_array(seen) - halves[1]) / 1.5;
            // The way back from the bent picture, by rounds.
            let mut off = bent;
            for _ in 0..30 {
                off = bent / (1.0 + BARREL * (off.length() / radius).powi(2));
            }
            truth.insert((panel, corner), off + halves[0]);
        }
    }
    (as_grey(packed.into_luma8()), truth)
}

/// Asserts that what was found is true; gives the share found of what lies well inside the
/// photograph, and the root of the mean square of errors in their sigmas.
fn judged(rig: &Rig, found: &Found, truth: &HashMap<(usize, [u32; 2]), DVec2>) -> [f64; 2] {
    let [w, h] = SIZE_PX.map(f64::from);
    let is_inside = |at: &&DVec2| at.x > 12.0 && at.y > 12.0 && at.x < w - 12.0 && at.y < h - 12.0;
    let count = truth.values().filter(is_inside).count();
    let mut squares = 0.0;
    for sighting in &found.sightings {
        let side = f64::from(Field::of(rig, sighting.panel).cell_px());
        let corner = (sighting.panel_px / side).to_array().map(|at| at as u32);
        let off = truth[&(sighting.panel, corner)] - sighting.photo_px;
        assert!(
            off.length() < 0.6,
            "{corner:?} of {}: {off}",
            sighting.panel
        );
        squares += off.length_squared() / 2.0 / sighting.sigma_px.powi(2);
    }
    let all = found.sightings.len() as f64;
    [all / count as f64, (squares / all).sqrt()]
}

#[test]
fn nearly_all_marks_are_found_and_none_wrongly() {
    let shots = [
        ("tram-cab", Shot::default()),
        (
            "ferry-bridge",
            Shot {
                off_mm: [-300.0, 20.0, 250.0],
                turn_deg: 93.0,
                quality: 70,
                ..Shot::default()
            },
        ),
        (
            "rally-loft",
            Shot {
                off_mm: [350.0, -40.0, 200.0],
                turn_deg: 178.0,
                exposure: 2.5,
                ..Shot::default()
            },
        ),
    ];
    for (name, shot) in shots {
        let rig = demo(name, &[]);
        let (grey, truth) = photograph(&rig, shot);
        let found = find(&grey, &rig).expect("marks");
        let [share, off] = judged(&rig, &found, &truth);
        println!("{name}: {share:.3}, {off:.2}");
        assert!(share > 0.93, "{name}: {share}");
        assert!((0.4..1.6).contains(&off), "{name}: {off}");
    }
}

#[test]
fn what_is_no_photograph_of_this_rig_says_so() {
    let rig = demo("tram-cab", &[]);
    let (grey, _) = photograph(&rig, Shot::default());
    let size = grey.size_px();
    let codes: Vec<u8> = codes(&grey);
    let mirrored = codes
        .chunks(size[0] as usize)
        .flat_map(|row| row.iter().rev().copied());
    let mirrored = Grey::new(size, mirrored.collect()).expect("as many");
    assert_eq!(find(&mirrored, &rig), Err(Unusable::Mirrored));

    let picture = canvas(&rig);
    let shown = picture.bytes().as_chunks::<4>().0.iter().map(|p| p[1]);
    let shown = Grey::new(picture.size_px(), shown.collect()).expect("as many");
    assert_eq!(find(&shown, &rig), Err(Unusable::Screenshot));

    // Wings of fewer columns than are seen; a panel more than there is.
    let to_the_right = Shot {
        look_deg: [20.0, 0.0],
        ..Shot::default()
    };
    let (right, _) = photograph(&rig, to_the_right);
    for (photo, other) in [(&grey, "ferry-bridge"), (&right, "rally-loft")] {
        let why = find(photo, &demo(other, &[])).err();
        assert_eq!(why, Some(Unusable::OtherRig), "{other}");
    }
}

fn codes(grey: &Grey) -> Vec<u8> {
    let [w, h] = grey.size_px();
    let rows = (0..h).flat_map(|y| (0..w).map(move |x| [x, y]));
    let tables = Tables::get();
    rows.map(|[x, y]| {
        let middle = [f64::from(x) + 0.5, f64::from(y) + 0.5];
        tables.code(grey.light(middle).expect("inside") as f32)
    })
    .collect()
}

#[test]
fn pictures_of_nothing_have_no_marks() {
    let rig = demo("tram-cab", &[]);
    let [w, h] = [640_usize, 480];
    let grey = |code: &mut dyn FnMut(usize, usize) -> u8| {
        let codes = (0..h).flat_map(|y| (0..w).map(move |x| (x, y)));
        let codes = codes.map(|(x, y)| code(x, y)).collect();
        Grey::new([w as u32, h as u32], codes).expect("as many")
    };
    let mut chance = Chance(3);
    let noise = grey(&mut |_, _| chance.below(256) as u8);
    assert_eq!(find(&noise, &rig), Err(Unusable::NoMarks));
    let black = grey(&mut |_, _| 0);
    assert_eq!(find(&black, &rig), Err(Unusable::NoMarks));
    let white = grey(&mut |_, _| 255);
    assert_eq!(find(&white, &rig), Err(Unusable::Overexposed));
    // Checks without a dot are no marks.
    let checks = grey(&mut |x, y| if (x / 20 + y / 20) % 2 == 0 { 200 } else { 20 });
    assert_eq!(find(&checks, &rig), Err(Unusable::NoMarks));
}
