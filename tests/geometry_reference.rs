//! The geometry against sources outside the program.

use glam::DVec3;
use serde::Deserialize;
use throughline::geometry::{LitEdge, Surface};
use throughline::rig::{PxRect, Rig, read};

fn rig(text: &str) -> Rig {
    read(text, "test", &[]).expect("a sound rig")
}

#[derive(Deserialize)]
struct LaidOut {
    cases: Vec<LaidOutCase>,
}

#[derive(Deserialize)]
struct LaidOutCase {
    name: String,
    rig: String,
    canvas_px: [u32; 2],
    panels: Vec<CanvasPanel>,
    points: Vec<LaidOutPoint>,
}

#[derive(Deserialize)]
struct CanvasPanel {
    canvas_px: [u32; 4],
}

#[derive(Deserialize)]
struct LaidOutPoint {
    panel: usize,
    px: [f64; 2],
    seat_mm: [f64; 3],
}

/// `tests/reference/layout_points.py`: the layout written a second time, with numpy.
#[test]
fn panels_stand_where_an_independent_layout_puts_them() {
    let text = include_str!("data/layout_points.json");
    let reference: LaidOut = serde_json::from_str(text).expect("the reference data is JSON");
    assert!(reference.cases.len() >= 10);
    for case in &reference.cases {
        let rig = rig(&case.rig);
        assert_eq!(rig.canvas().size_px, case.canvas_px, "{}", case.name);
        for (rect, panel) in rig.canvas().panels.iter().zip(&case.panels) {
            let [x, y, w, h] = panel.canvas_px;
            assert_eq!(*rect, PxRect { x, y, w, h }, "{}", case.name);
        }
        let layout = rig.layout();
        assert!(case.points.len() >= 9, "{}", case.name);
        for point in &case.points {
            let surface = &layout.surfaces()[point.panel];
            let ours = surface.point_px(point.px[0], point.px[1]);
            let error = (ours - DVec3::from(point.seat_mm)).length();
            assert!(error < 1e-9, "{} {:?}: {error} mm off", case.name, point.px);
        }
    }
}

#[derive(Deserialize)]
struct Projected {
    cases: Vec<ProjectedCase>,
}

#[derive(Deserialize)]
struct ProjectedCase {
    name: String,
    rig: String,
    panels: Vec<ProjectedPanel>,
}

#[derive(Deserialize)]
struct ProjectedPanel {
    panel: usize,
    points: Vec<ProjectedPoint>,
}

#[derive(Deserialize)]
struct ProjectedPoint {
    seat_mm: [f64; 3],
    px: [f64; 2],
}

/// OpenCV's `projectPoints` (`tests/reference/project_points.py`), a camera at
/// the eye whose image plane is the panel: to 1e-9 px.
#[test]
fn flat_panels_show_directions_where_opencv_projects_them() {
    let text = include_str!("data/project_points.json");
    let reference: Projected = serde_json::from_str(text).expect("the reference data is JSON");
    let mut points = 0;
    for case in &reference.cases {
        let layout = rig(&case.rig).layout().clone();
        for panel in &case.panels {
            for point in &panel.points {
                let direction = DVec3::from(point.seat_mm);
                let seen = layout.surfaces()[panel.panel]
                    .px_seen(direction)
                    .expect("in front of the panel");
                for (ours, theirs) in seen.iter().zip(point.px) {
                    let error = (ours - theirs).abs();
                    assert!(error < 1e-9, "{}: {error} px off", case.name);
                }
                points += 1;
            }
        }
    }
    assert!(points >= 100, "only {points} points");
}

/// A flat surface with corners as in R. Kooima, *Generalized Perspective
/// Projection* (2009), and a worked example in public code credited to it.
#[test]
fn corners_give_the_frustum_of_the_published_example() {
    let eye = DVec3::new(-1.25, 0.0, 0.0);
    let [pa, pb, pc] =
        [(-1.5, -0.75), (1.5, -0.75), (-1.5, 0.75)].map(|(x, y)| DVec3::new(x, y, -18.0) - eye);
    let surface = Surface {
        middle: (pb + pc) / 2.0,
        x: DVec3::X,
        y: DVec3::Y,
        z: DVec3::Z,
        size_mm: [3.0, 1.5],
        pixels: [300.0, 150.0],
        radius_mm: None,
    };
    let [w, h] = surface.pixels;
    for (corner, px) in [(pa, [0.0, h]), (pb, [w, h]), (pc, [0.0, 0.0])] {
        assert!((surface.point_px(px[0], px[1]) - corner).length() < 1e-12);
    }
    assert!((surface.facing_mm() - 18.0).abs() < 1e-12);

    let (l, r, t) = (-1.388_889e-4, 1.527_777_8e-3, 4.166_666_7e-4);
    let near = 0.01;
    for (x, y, px) in [
        (l, -t, [0.0, h]),
        (r, t, [w, 0.0]),
        (l, t, [0.0, 0.0]),
        (r, -t, [w, h]),
    ] {
        let seen = surface.px_seen(DVec3::new(x, y, -near)).expect("ahead");
        // The example's figures have seven digits, so a pixel in 300 moves by 1e-4.
        assert!(
            (seen[0] - px[0]).abs() < 1e-4 && (seen[1] - px[1]).abs() < 1e-4,
            "{seen:?}"
        );
    }
}

/// Kooima's corner formulas, with our own corners, on a tilted and rolled panel.
#[test]
fn kooimas_extents_meet_the_panels_edges() {
    let text = include_str!("../rigs/tram-cab.toml");
    let settings = [("panel.1.tilt_deg", "7"), ("panel.1.roll_deg", "-4")]
        .map(|(path, value)| (path.to_owned(), value.to_owned()));
    let rig = read(text, "tram-cab", &settings).expect("a sound rig");
    for surface in rig.layout().surfaces() {
        let [w, h] = surface.pixels;
        let [pa, pb, pc] = [[0.0, h], [w, h], [0.0, 0.0]].map(|[x, y]| surface.point_px(x, y));
        let vr = (pb - pa).normalize();
        let vu = (pc - pa).normalize();
        let vn = vr.cross(vu).normalize();
        let (near, d) = (10.0, -vn.dot(pa));
        let (l, r) = (vr.dot(pa) * near / d, vr.dot(pb) * near / d);
        let (b, t) = (vu.dot(pa) * near / d, vu.dot(pc) * near / d);
        let on_near = |right: f64, up: f64| vr * right + vu * up - vn * near;
        for (right, up, px) in [
            (l, t, [0.0, 0.0]),
            (r, b, [w, h]),
            ((l + r) / 2.0, t, [w / 2.0, 0.0]),
        ] {
            let seen = surface.px_seen(on_near(right, up)).expect("ahead");
            assert!((seen[0] - px[0]).abs() < 1e-9 && (seen[1] - px[1]).abs() < 1e-9);
        }
    }
}

fn one_panel(panel: &str) -> Rig {
    rig(&format!(
        "format = 1\nname = \"t\"\n[seat]\nview = \"p/1\"\ndistance_mm = 700\n[[panel]]\nname = \"p\"\n{panel}\n"
    ))
}

/// Width and height from a diagonal with square pixels, computed with Pythagoras.
#[test]
fn diagonals_give_width_and_height() {
    for (diagonal, pixels, width, height) in [
        (27.0, [2560, 1440], 597.727, 336.221),
        (32.0, [3840, 2160], 708.417, 398.484),
        (24.0, [1920, 1080], 531.312, 298.863),
        (34.0, [3440, 1440], 796.620, 333.469),
        (49.0, [5120, 1440], 1198.115, 336.970),
    ] {
        let rig = one_panel(&format!("pixels = {pixels:?}\ndiagonal_in = {diagonal}"));
        let [w, h] = rig.panels()[0].size_mm();
        assert!(
            (w - width).abs() < 5e-4 && (h - height).abs() < 5e-4,
            "{diagonal} in: {w} × {h}"
        );
    }
}

/// ISO/IEC 7810 ID-1: 85.60 × 53.98 mm. Held to the glass of a 27-inch panel
/// of 2560 × 1440 px, the card covers 366.6 × 231.2 px (computed).
#[test]
fn a_card_covers_as_many_pixels_as_its_size_says() {
    let rig = one_panel("pixels = [2560, 1440]\ndiagonal_in = 27.0");
    let surface = rig.layout().surfaces()[0];
    let left = surface.px_at_s(-85.60 / 2.0);
    let right = surface.px_at_s(85.60 / 2.0);
    let [top, bottom] = [53.98, -53.98].map(|t| surface.py_at_t(t / 2.0));
    assert!((right - left - 366.616).abs() < 1e-2, "{}", right - left);
    assert!((bottom - top - 231.190).abs() < 1e-2, "{}", bottom - top);
}

/// Chord and sagitta of a bent panel whose width is the arc's: elementary
/// geometry, sagitta = R − √(R² − (chord/2)²).
#[test]
fn curved_panels_have_the_chord_and_sagitta_of_their_arc() {
    for (diagonal, pixels, radius, chord, sagitta, arc_deg) in [
        (27.0, [2560, 1440], 1800.0, 594.984, 24.754, 19.026),
        (49.0, [5120, 1440], 1000.0, 1127.729, 174.133, 68.647),
    ] {
        let rig = one_panel(&format!(
            "pixels = {pixels:?}\ndiagonal_in = {diagonal}\ncurve_radius_mm = {radius}"
        ));
        let surface = rig.layout().surfaces()[0];
        let [w, h] = surface.pixels;
        let (left, right) = (surface.point_px(0.0, h / 2.0), surface.point_px(w, h / 2.0));
        assert!((left.distance(right) - chord).abs() < 5e-4);
        assert!(((left.z + right.z) / 2.0 - surface.middle.z - sagitta).abs() < 5e-4);
        let turn = surface
            .normal(surface.edge_s_mm(LitEdge::Left))
            .angle_between(surface.normal(surface.edge_s_mm(LitEdge::Right)));
        assert!((turn.to_degrees() - arc_deg).abs() < 5e-4);
    }
}

/// A flat 27-inch 16:9 panel 700 mm away covers 46.2399° × 27.0086° (computed).
#[test]
fn a_flat_panel_covers_its_field_of_view() {
    let rig = one_panel("pixels = [2560, 1440]\ndiagonal_in = 27.0");
    let surface = rig.layout().surfaces()[0];
    let [w, h] = surface.pixels;
    let angle = |a: [f64; 2], b: [f64; 2]| {
        surface
            .point_px(a[0], a[1])
            .angle_between(surface.point_px(b[0], b[1]))
            .to_degrees()
    };
    assert!((angle([0.0, h / 2.0], [w, h / 2.0]) - 46.2399).abs() < 1e-4);
    assert!((angle([w / 2.0, 0.0], [w / 2.0, h]) - 27.0086).abs() < 1e-4);
}
