//! The seat view's pixels: where they look, how edges are drawn, what hides what.

use glam::DVec3;
use serde::Deserialize;
use throughline::light::Tables;
use throughline::raster::Picture;
use throughline::rig::{PxRect, Rig, demos, read};
use throughline::seat::{Camera, Framing, Projection, Scene, render};

fn demo(name: &str) -> Rig {
    let demo = demos()
        .iter()
        .find(|demo| demo.name == name)
        .expect("there is such a demo");
    read(demo.text, demo.name, &[]).unwrap_or_else(|error| panic!("{error}"))
}

/// `tests/reference/seat_homography.py` computes these with OpenCV.
#[derive(Deserialize)]
struct Expected {
    views: Vec<View>,
}

#[derive(Deserialize)]
struct View {
    demo: String,
    look_deg: [f64; 2],
    fov_deg: f64,
    eye_mm: [f64; 3],
    size_px: [u32; 2],
    panels: Vec<PanelPoints>,
}

#[derive(Deserialize)]
struct PanelPoints {
    panel: usize,
    points: Vec<Point>,
}

#[derive(Deserialize)]
struct Point {
    view_px: [f64; 2],
    canvas_px: [f64; 2],
}

#[test]
fn flat_panels_are_looked_up_through_their_homography() {
    let text = include_str!("data/seat_homography.json");
    let expected: Expected = serde_json::from_str(text).expect("the data file is sound");
    for view in &expected.views {
        let rig = demo(&view.demo);
        let scene = Scene::new(&rig, &rig, DVec3::from_array(view.eye_mm));
        let camera = Camera::new(
            Projection::Rectilinear,
            view.look_deg.map(f64::to_radians),
            view.fov_deg.to_radians(),
            view.size_px,
        )
        .expect("can be shown");
        for PanelPoints { panel, points } in &view.panels {
            assert!(points.len() > 3);
            for point in points {
                let [x, y] = point.view_px;
                let seen = scene
                    .footprint(*panel, &camera.ray(x, y))
                    .expect("in front");
                let off = [0, 1].map(|i| (seen.centre[i] - point.canvas_px[i]).abs());
                assert!(off[0] < 1e-6 && off[1] < 1e-6, "{}: {off:?}", view.demo);
                // The footprint's slope, against the centres beside it.
                let h = 1e-3;
                let beside = scene
                    .footprint(*panel, &camera.ray(x + h, y))
                    .expect("in front");
                let below = scene
                    .footprint(*panel, &camera.ray(x, y + h))
                    .expect("in front");
                for i in 0..2 {
                    let across = (beside.centre[i] - seen.centre[i]) / h;
                    let down = (below.centre[i] - seen.centre[i]) / h;
                    assert!((across - seen.per_column[i]).abs() < 0.01, "{across}");
                    assert!((down - seen.per_row[i]).abs() < 0.01, "{down}");
                }
            }
        }
    }
}

/// One flat panel square in front, or two beside each other.
fn rig(roll_deg: f64, seam: Option<&str>) -> Rig {
    let panel = |name: &str| {
        format!(
            "[[panel]]\nname = \"{name}\"\npixels = [400, 300]\nsize_mm = [400.0, 300.0]\n\
             roll_deg = {roll_deg:?}\n\
             bezel_mm = {{ left = 40.0, right = 40.0, top = 40.0, bottom = 40.0 }}\n"
        )
    };
    let more = seam.map_or(String::new(), |seam| {
        format!("{}[[seam]]\n{seam}\n", panel("two"))
    });
    let text = format!(
        "format = 1\nname = \"Test\"\n[seat]\nview = \"one/1\"\ndistance_mm = 500.0\n{}{more}",
        panel("one")
    );
    read(&text, "test", &[]).unwrap_or_else(|error| panic!("{error}"))
}

/// A canvas whose panels each have a colour of their own.
fn canvas(rig: &Rig, colours: &[[u8; 3]]) -> Picture {
    let mut picture = Picture::new(rig.canvas().size_px);
    let stride = picture.stride();
    for (PxRect { x, y, w, h }, [r, g, b]) in rig.canvas().panels.iter().zip(colours) {
        for row in *y..y + h {
            for column in *x..x + w {
                let at = row as usize * stride + column as usize * 4;
                picture.bytes_mut()[at..at + 4].copy_from_slice(&[*r, *g, *b, 255]);
            }
        }
    }
    picture
}

fn camera(look_deg: [f64; 2], fov_deg: f64, size_px: [u32; 2]) -> Camera {
    let framing = Framing {
        size_px,
        projection: Some(Projection::Rectilinear),
        look: Some(look_deg.map(f64::to_radians)),
        fov: Some(fov_deg.to_radians()),
    };
    Camera::framing(&[], &framing).expect("can be shown")
}

fn light(picture: &Picture, x: u32, y: u32) -> [f32; 3] {
    let at = y as usize * picture.stride() + x as usize * 4;
    [0, 1, 2].map(|i| Tables::get().linear(picture.bytes()[at + i]))
}

/// Share of a pixel below an edge with this unit normal that lies, along it,
/// `above` pixels below the pixel's middle: by a fine grid of points.
fn counted(normal: [f64; 2], above: f64) -> f64 {
    let n = 200;
    let at = |i: i32| (f64::from(i) + 0.5) / f64::from(n) - 0.5;
    let below = (0..n * n)
        .filter(|i| above + at(i % n) * normal[0] + at(i / n) * normal[1] < 0.0)
        .count();
    below as f64 / f64::from(n * n)
}

/// The light that a pixel of the case gives.
fn case_light() -> f32 {
    Tables::get().linear(39)
}

#[test]
fn slanting_edges_have_the_shades_of_their_area() {
    let rig = rig(4.0, None);
    let camera = camera([0.0, 0.0], 60.0, [301, 207]);
    let scene = Scene::new(&rig, &rig, DVec3::ZERO);
    let view = render(scene, &camera, &canvas(&rig, &[[255; 3]]));
    // The panel's upper edge: through (0, 150) mm, turned by 4°, at 500 mm.
    let (sin, cos) = 4_f64.to_radians().sin_cos();
    let focal = camera.focal_px();
    let mut shades = 0;
    for x in 60..240_u32 {
        for y in 0..207_u32 {
            let from_middle = [f64::from(x) + 0.5 - 150.5, f64::from(y) + 0.5 - 103.5];
            // Pixels above the edge, along its normal.
            let above = -from_middle[0] * sin - from_middle[1] * cos - 150.0 / 500.0 * focal;
            if above.abs() > 2.0 {
                continue;
            }
            let lit = counted([-sin, -cos], above);
            let seen = f64::from((light(&view, x, y)[1] - case_light()) / (1.0 - case_light()));
            assert!((seen - lit).abs() < 0.05, "{x} {y}: {seen} for {lit}");
            shades += usize::from(lit > 0.05 && lit < 0.95);
        }
    }
    assert!(shades > 150, "{shades}");
}

#[test]
fn the_nearest_panel_hides_what_is_behind_it() {
    // The right panel stands 90 mm nearer and over the left one's lit edge.
    let rig = rig(0.0, Some("fold_deg = 0.0\ngap_mm = -180.0\nstep_mm = 90.0"));
    let camera = camera([15.0, 0.0], 60.0, [320, 200]);
    let canvas = canvas(&rig, &[[255, 0, 0], [0, 255, 0]]);
    let view = render(Scene::new(&rig, &rig, DVec3::ZERO), &camera, &canvas);
    let at = |azimuth_deg: f64| {
        let towards = throughline::geometry::direction(azimuth_deg.to_radians(), 0.0);
        let [x, y] = camera.pixel(towards).expect("in front");
        light(&view, x as u32, y as u32)
    };
    // The left panel is lit to 200 mm at 500 mm, 21.8°; the right one from
    // 100 mm at 410 mm, 13.7°, and its case from 60 mm, 8.3°.
    assert_eq!(at(5.0), [1.0, 0.0, 0.0]);
    let case = at(11.0);
    assert!(case[0] < 0.05 && case[1] < 0.05, "{case:?}");
    assert_eq!(at(18.0), [0.0, 1.0, 0.0]);
    assert_eq!(at(25.0), [0.0, 1.0, 0.0]);
}

#[test]
fn panels_have_no_back_and_nothing_shows_from_behind() {
    let rig = rig(0.0, None);
    let canvas = canvas(&rig, &[[255; 3]]);
    for (eye, look) in [
        // Past the panel, looking on and looking back.
        (DVec3::new(0.0, 0.0, -900.0), [0.0, 0.0]),
        (DVec3::new(0.0, 0.0, -900.0), [180.0, 0.0]),
        // At the seat, looking away.
        (DVec3::ZERO, [180.0, 0.0]),
    ] {
        let view = render(
            Scene::new(&rig, &rig, eye),
            &camera(look, 60.0, [40, 30]),
            &canvas,
        );
        let room = view.bytes()[..4].to_vec();
        assert!(view.bytes().chunks_exact(4).all(|pixel| pixel == room));
        assert!(room[0] < 20);
    }
}

#[test]
fn fine_stripes_become_even_grey_where_the_picture_shrinks() {
    let rig = rig(0.0, None);
    let mut canvas = canvas(&rig, &[[0; 3]]);
    for (i, pixel) in canvas.bytes_mut().chunks_exact_mut(4).enumerate() {
        if i % 400 % 2 == 0 {
            pixel[..3].fill(255);
        }
    }
    // A pixel of the view spans 4.3 columns of the canvas: two stripes and a bit.
    let camera = camera([0.0, 0.0], 60.0, [135, 90]);
    let view = render(Scene::new(&rig, &rig, DVec3::ZERO), &camera, &canvas);
    for x in 30..105 {
        let grey = light(&view, x, 45)[0];
        assert!((grey - 0.5).abs() < 0.01, "{x}: {grey}");
    }
}
