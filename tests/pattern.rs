//! What the pattern promises of its lines, colours and type.

use std::collections::HashSet;

use throughline::geometry::{EyePlane, Layout, elevation};
use throughline::light::Colour;
use throughline::pattern::{Guides, Layer, Layers, Line, Mark, Pattern, TextLine};
use throughline::raster::{Picture, Run, draw, update};
use throughline::rig::{PxRect, Rig, demos, read};
use throughline::typeset::Typesetter;

fn rig(text: &str) -> Rig {
    read(text, "test", &[]).expect("a sound rig")
}

/// `count` panels of 27 inches, upright or not, all square to the eye.
fn ring(count: usize, upright: bool) -> Rig {
    let (pixels, width) = if upright {
        ("[1440, 2560]", 336.2)
    } else {
        ("[2560, 1440]", 597.7)
    };
    let middle = count / 2 + 1;
    let angle = 2.0 * f64::atan((width / 2.0 + 8.0) / 680.0).to_degrees();
    let mut text = format!(
        "format = 1\nname = \"ring\"\n[seat]\nview = \"p{middle}/1\"\ndistance_mm = 680\nheight_mm = 20\n"
    );
    for panel in 1..=count {
        text += &format!(
            "[[panel]]\nname = \"p{panel}\"\npixels = {pixels}\ndiagonal_in = 27\nbezel_mm = {{ left = 8, right = 8 }}\n"
        );
    }
    for _ in 1..count {
        text += &format!("[[seam]]\nangle_deg = {angle}\n");
    }
    rig(&text)
}

fn rigs() -> Vec<Rig> {
    let mut rigs: Vec<Rig> = demos().iter().map(|demo| rig(demo.text)).collect();
    rigs.extend([ring(5, false), ring(5, true), ring(3, true), ring(2, false)]);
    rigs
}

fn pattern(rig: &Rig, layers: Layers) -> Pattern {
    Pattern::new(rig, &Guides::of(rig), layers, &mut Typesetter::new())
}

#[test]
fn every_seam_is_crossed_by_rising_and_falling_diagonals_at_spread_heights() {
    for rig in rigs() {
        let layout = rig.layout();
        let guides = Guides::of(&rig);
        for seam in 0..rig.seams().len() {
            let [left, right] = layout.seam(seam);
            let (mut rising, mut falling) = (Vec::new(), Vec::new());
            for guide in guides
                .iter()
                .filter(|guide| guide.layer == Layer::Diagonals)
            {
                let (w, h) = (left.pixels[0], left.pixels[1]);
                let rows = (
                    left.py_on(guide.plane, w).expect("not upright"),
                    right.py_on(guide.plane, 0.0).expect("not upright"),
                );
                if !(0.0..=h).contains(&rows.0) || !(0.0..=right.pixels[1]).contains(&rows.1) {
                    continue;
                }
                let before = left.py_on(guide.plane, w - 20.0).expect("not upright");
                let slopes = if rows.0 < before {
                    &mut rising
                } else {
                    &mut falling
                };
                slopes.push(rows.1 / right.pixels[1]);
            }
            let name = format!("{} seam {}", rig.name(), seam + 1);
            assert!(
                rising.len() >= 3 && falling.len() >= 3,
                "{name}: {rising:?} {falling:?}"
            );
            let mut heights = [rising, falling].concat();
            heights.sort_by(f64::total_cmp);
            let spread = heights[heights.len() - 1] - heights[0];
            // Sides of unequal height share only part of the taller one.
            let shared = shared_share(layout, seam);
            assert!(spread > 0.6 * shared, "{name}: {heights:?} of {shared}");
        }
    }
}

/// The part of the right panel's height that the eye sees at heights lit on
/// both sides of a seam.
fn shared_share(layout: &Layout, seam: usize) -> f64 {
    let [left, right] = layout.seam(seam);
    let ends = |surface: &throughline::geometry::Surface, px: f64| {
        [surface.pixels[1], 0.0].map(|py| elevation(surface.point_px(px, py)))
    };
    let (a, b) = (ends(left, left.pixels[0]), ends(right, 0.0));
    let shared = a[1].min(b[1]) - a[0].max(b[0]);
    shared / (b[1] - b[0])
}

/// A diagonal through the straight-ahead point has no z in its normal, and so
/// can't reveal a wrong eye distance.
#[test]
fn diagonals_meet_the_horizon_at_many_azimuths() {
    for rig in rigs() {
        let guides = Guides::of(&rig);
        let mut nodes: Vec<f64> = guides
            .iter()
            .filter(|guide| guide.layer == Layer::Diagonals)
            .map(|guide| {
                let n = guide.plane.normal();
                n.x.atan2(n.z).to_degrees().rem_euclid(180.0)
            })
            .collect();
        nodes.sort_by(f64::total_cmp);
        nodes.dedup_by(|a, b| (*a - *b).abs() < 3.0);
        assert!(nodes.len() >= 4, "{}: nodes at {nodes:?}", rig.name());
    }
}

#[test]
fn the_horizon_is_the_level_plane_and_names_are_unique() {
    for rig in rigs() {
        let pattern = pattern(&rig, Layers::ALL);
        let names: HashSet<&str> = pattern
            .lines()
            .iter()
            .map(|line| line.name.as_str())
            .collect();
        assert_eq!(names.len(), pattern.lines().len(), "{}", rig.name());
        let horizon: Vec<&Line> = pattern
            .lines()
            .iter()
            .filter(|line| line.layer == Layer::Horizon)
            .collect();
        assert_eq!(horizon.len(), 1);
        assert_eq!(horizon[0].plane, EyePlane::HORIZON);
        assert_eq!(horizon[0].plane.normal().to_array(), [0.0, 1.0, 0.0]);
    }
}

#[test]
fn only_the_named_layers_are_drawn() {
    let rig = rig(demos()[0].text);
    assert!(pattern(&rig, Layers::NONE).marks().is_empty());
    for layer in Layer::ALL {
        let pattern = pattern(&rig, Layers::NONE.with(layer));
        assert!(!pattern.marks().is_empty(), "{layer}");
        assert!(
            pattern.lines().iter().all(|line| line.layer == layer),
            "{layer}"
        );
    }
}

/// Redrawing what `changed` names gives the picture that a full redraw gives.
#[test]
fn a_partial_redraw_equals_a_full_one() {
    let text = demos()[3].text;
    let before = rig(text);
    let nudge = [("seam.1.angle_deg".to_owned(), "45.4".to_owned())];
    let after = read(text, "test", &nudge).expect("a sound rig");
    let guides = Guides::of(&before);
    let mut typesetter = Typesetter::new();
    let old = Pattern::new(&before, &guides, Layers::ALL, &mut typesetter);
    let new = Pattern::new(&after, &guides, Layers::ALL, &mut typesetter);
    let [w, h] = before.canvas().size_px;
    let whole = PxRect { x: 0, y: 0, w, h };

    let mut picture = Picture::new([w, h]);
    draw(old.marks(), &mut picture, whole);
    let old_picture = picture.clone();
    let runs = update(old.marks(), new.marks(), &mut picture);
    assert!(!runs.is_empty());
    let facing = before.canvas().panels[1];
    let far_right = before.canvas().panels[2];
    assert!(
        runs.iter().all(|run| run.x + run.w <= facing.right()),
        "{far_right:?} is reached"
    );
    // The runs tell of every pixel that is another one, and of few that aren't.
    let told: u32 = runs.iter().map(|run| run.w).sum();
    let is_other = |x: u32, y: u32| {
        let run = Run { x, y, w: 1 };
        old_picture.run(run) != picture.run(run)
    };
    let others = (0..h).flat_map(|y| (0..w).map(move |x| (x, y)));
    let others = others.filter(|&(x, y)| is_other(x, y)).count();
    let in_runs = runs
        .iter()
        .flat_map(|run| (run.x..run.x + run.w).map(|x| (x, run.y)));
    let told_rightly = in_runs.filter(|&(x, y)| is_other(x, y)).count();
    assert_eq!(told_rightly, others);
    assert!(told as usize <= others * 11 / 10, "{told} {others}");
    let mut full = Picture::new([w, h]);
    draw(new.marks(), &mut full, whole);
    assert!(picture == full, "the partly redrawn picture differs");
}

/// CIE 1976 L*a*b* of linear light, for the sRGB primaries and D65
/// (IEC 61966-2-1 and CIE 15, from memory).
fn lab(rgb: [f64; 3]) -> [f64; 3] {
    let rows = [
        ([0.4124, 0.3576, 0.1805], 0.9505),
        ([0.2126, 0.7152, 0.0722], 1.0),
        ([0.0193, 0.1192, 0.9505], 1.089),
    ];
    let [x, y, z] = rows.map(|(row, white)| {
        let value = row.iter().zip(rgb).map(|(a, b)| a * b).sum::<f64>() / white;
        if value > 0.008_856 {
            value.cbrt()
        } else {
            7.787 * value + 16.0 / 116.0
        }
    });
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// Linear light as a dichromat sees it: Viénot, Brettel and Mollon, Color
/// Research and Application 24:243 (1999), matrices from memory.
const DICHROMATS: [[[f64; 3]; 3]; 2] = [
    [
        [0.112_38, 0.887_62, 0.0],
        [0.112_38, 0.887_62, 0.0],
        [0.004_01, -0.004_01, 1.0],
    ],
    [
        [0.292_75, 0.707_25, 0.0],
        [0.292_75, 0.707_25, 0.0],
        [-0.022_34, 0.022_34, 1.0],
    ],
];

#[test]
fn layers_are_told_apart_with_any_colour_vision() {
    let rig = rig(demos()[0].text);
    let pattern = pattern(&rig, Layers::ALL);
    let mut colours: Vec<Colour> = pattern.lines().iter().map(|line| line.colour).collect();
    colours.sort_by_key(|colour| colour.0);
    colours.dedup();
    assert_eq!(
        colours.len(),
        6,
        "grid, diagonals, horizon and three ladders"
    );
    let identity = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for seen_by in [identity, DICHROMATS[0], DICHROMATS[1]] {
        let seen: Vec<[f64; 3]> = colours
            .iter()
            .map(|colour| {
                let linear = colour.linear().map(f64::from);
                lab(seen_by.map(|row| {
                    row.iter()
                        .zip(linear)
                        .map(|(a, b)| a * b)
                        .sum::<f64>()
                        .max(0.0)
                }))
            })
            .collect();
        for (i, one) in seen.iter().enumerate() {
            for (j, other) in seen.iter().enumerate().skip(i + 1) {
                let difference = (0..3)
                    .map(|k| (one[k] - other[k]).powi(2))
                    .sum::<f64>()
                    .sqrt();
                assert!(
                    difference > 15.0,
                    "{:?} and {:?}: {difference}",
                    colours[i],
                    colours[j]
                );
            }
        }
    }
}

/// ITU-R BT.1702, second-hand, and WCAG 2: no dense bright stripes over a large area.
#[test]
fn the_pattern_is_sparse_and_dark() {
    for rig in rigs() {
        let pattern = pattern(&rig, Layers::ALL);
        let [w, h] = rig.canvas().size_px;
        let mut picture = Picture::new([w, h]);
        draw(pattern.marks(), &mut picture, PxRect { x: 0, y: 0, w, h });
        let pixels = picture.bytes().as_chunks::<4>().0;
        let lit = pixels
            .iter()
            .filter(|pixel| pixel[..3].iter().any(|&code| code > 40))
            .count();
        let share = lit as f64 / pixels.len() as f64;
        assert!(
            share < 0.10,
            "{}: {share} of the pixels are lit",
            rig.name()
        );
    }
}

/// Guides reach past a panel that is lower than the canvas, and are in the way there, too.
#[test]
fn no_number_beside_a_tick_covers_the_horizon() {
    for rig in rigs() {
        let [w, h] = rig.canvas().size_px;
        let layers = Layers::NONE.with(Layer::Horizon).with(Layer::Rulers);
        let mut picture = Picture::new([w, h]);
        let whole = PxRect { x: 0, y: 0, w, h };
        draw(pattern(&rig, layers).marks(), &mut picture, whole);
        let panels = rig.layout().surfaces().iter().zip(&rig.canvas().panels);
        for (panel, (surface, lit)) in panels.enumerate() {
            for x in 0..lit.w {
                let row = surface.py_on(EyePlane::HORIZON, f64::from(x) + 0.5);
                let Some(row) = row.filter(|row| (1.0..f64::from(lit.h) - 1.0).contains(row))
                else {
                    continue;
                };
                let (x, y) = (lit.x + x, lit.y + row as u32);
                let at = picture.run(Run { x, y, w: 1 })[0];
                assert!(at[0] > 0, "{}: panel {panel}, column {x}", rig.name());
            }
        }
    }
}

/// Capitals of what must be read are at least 12 arc-minutes high from the eye,
/// and so from 900 mm where the eye is nearer.
#[test]
fn type_is_large_enough_to_read_from_the_seat() {
    for rig in rigs() {
        for layer in [Layer::Rulers, Layer::Ladders, Layer::Labels] {
            let heights = label_heights_arcmin(&rig, layer);
            assert!(heights.len() > 4, "{}: {layer:?} has no words", rig.name());
            let least = heights.into_iter().fold(f64::INFINITY, f64::min);
            assert!(
                least >= 12.0,
                "{}: {least} arc-minutes in {layer:?}",
                rig.name()
            );
        }
    }
}

/// Heights of the capitals of every label in a layer, seen from the eye, or from
/// 900 mm where it is nearer.
fn label_heights_arcmin(rig: &Rig, layer: Layer) -> Vec<f64> {
    let layout = rig.layout();
    let pattern = pattern(rig, Layers::NONE.with(layer));
    let texts = pattern.marks().iter().filter_map(|mark| match mark {
        Mark::Text(text) => Some(text),
        _ => None,
    });
    let height = |text: &TextLine| {
        let lit = text.clip;
        let panel = rig.canvas().panels.iter().position(|rect| *rect == lit);
        let surface = &layout.surfaces()[panel.expect("texts stand on panels")];
        let seen = text.placed.glyphs().map(|([x, y], glyph)| {
            let [px, py] = [
                f64::from(x) - f64::from(lit.x),
                f64::from(y) - f64::from(lit.y),
            ];
            let distance = surface.point_px(px, py).length();
            let height_mm = f64::from(glyph.height) * surface.pitch_mm()[1];
            (height_mm / distance.max(900.0)).atan().to_degrees() * 60.0
        });
        // A label's tallest letter is a capital, or a digit, which is as high.
        seen.fold(0.0, f64::max)
    };
    texts.map(height).collect()
}
