//! The layers that check the glass itself, read from the drawn pixels: `scaling`,
//! `gauge` and `tones`.

mod patches;
mod rigs;

use patches::{has_both_frames, is_pixel_for_pixel, rescaled};
use proptest::prelude::*;
use rigs::{along_mm, ordinary};
use throughline::geometry::elevation;
use throughline::light::{Colour, Tables};
use throughline::pattern::{
    BAR_MM, CARD_MM, GAMMAS, Guides, Layer, Layers, Mark, Pattern, Tile, half_light_code,
};
use throughline::raster::{Picture, draw};
use throughline::rig::{self, PxRect, Rig};
use throughline::typeset::Typesetter;

fn demos() -> Vec<Rig> {
    let demos = rig::demos().iter();
    demos
        .map(|demo| rig::read(demo.text, demo.name, &[]).expect("sound"))
        .collect()
}

fn pattern(rig: &Rig, layer: Layer) -> Pattern {
    let layers = Layers::NONE.with(layer);
    Pattern::new(rig, &Guides::of(rig), layers, &mut Typesetter::new())
}

fn picture(rig: &Rig, pattern: &Pattern) -> Picture {
    let [w, h] = rig.canvas().size_px;
    let mut picture = Picture::new([w, h]);
    draw(pattern.marks(), &mut picture, PxRect { x: 0, y: 0, w, h });
    picture
}

fn tiles(pattern: &Pattern) -> Vec<&Tile> {
    let marks = pattern.marks().iter();
    marks
        .filter_map(|mark| match mark {
            Mark::Tile(tile) => Some(tile),
            _ => None,
        })
        .collect()
}

/// Grey codes of a part of a picture, row by row.
fn codes(picture: &Picture, area: PxRect) -> Vec<Vec<u8>> {
    let [width, _] = picture.size_px();
    let pixels = picture.bytes().as_chunks::<4>().0;
    let row = |y: u32| {
        let from = (y * width + area.x) as usize;
        pixels[from..from + area.w as usize]
            .iter()
            .map(|pixel| pixel[1])
            .collect()
    };
    (area.y..area.bottom()).map(row).collect()
}

#[test]
fn patches_are_single_pixels_and_show_any_scaler() {
    for rig in demos() {
        let pattern = pattern(&rig, Layer::Scaling);
        let picture = picture(&rig, &pattern);
        let tiles = tiles(&pattern);
        for (index, lit) in rig.canvas().panels.iter().enumerate() {
            let own: Vec<&&Tile> = tiles.iter().filter(|tile| lit.holds(tile.area)).collect();
            // Four kinds, in the corners, the middle and beside each seam.
            let seams = usize::from(index > 0) + usize::from(index + 1 < rig.panels().len());
            assert_eq!(own.len(), 4 * (5 + seams), "{}, panel {index}", rig.name());
            // Small areas only, since bright fine patterns disturb some people.
            let area: u32 = own.iter().map(|tile| tile.area.w * tile.area.h).sum();
            assert!(f64::from(area) < 0.1 * f64::from(lit.w * lit.h));
            for group in own.chunks(4) {
                for tile in &group[..3] {
                    let patch = codes(&picture, tile.area);
                    assert!(is_pixel_for_pixel(&patch));
                    for factor in [1.5, 1.25, 1.01, 0.99, 0.75] {
                        assert!(!is_pixel_for_pixel(&rescaled(&patch, factor)), "{factor}");
                    }
                    let lit = patch.iter().flatten().filter(|code| **code == 255).count();
                    assert_eq!(2 * lit, patch.len() * patch[0].len(), "half is lit");
                }
            }
            // Two frames of single pixels, the outer one at the very border.
            assert!(has_both_frames(&codes(&picture, *lit)));
        }
    }
}

/// Where a line of coverage along some pixels begins and ends, from both ends inwards:
/// the dark between two lines, in pixels.
fn dark_between(shares: impl Iterator<Item = f64>) -> f64 {
    let shares: Vec<f64> = shares.collect();
    let first = shares
        .iter()
        .position(|share| *share > 0.5)
        .expect("a line");
    let last = shares
        .iter()
        .rposition(|share| *share > 0.5)
        .expect("a line");
    let from = first
        + shares[first..]
            .iter()
            .position(|share| *share < 0.5)
            .expect("dark");
    let to = shares[..last]
        .iter()
        .rposition(|share| *share < 0.5)
        .expect("dark");
    // What the two lines cover of the pixels beside the dark ones counts as theirs.
    let inner = shares[from - 1..=to + 1].iter();
    inner.map(|share| 1.0 - share).sum()
}

/// ISO/IEC 7810 ID-1: 85.60 × 53.98 mm; measured in the drawn pixels, along the surface.
#[test]
fn cards_and_bars_are_true_to_half_a_pixel() {
    let mut measured = 0;
    for rig in demos() {
        let pattern = pattern(&rig, Layer::Gauge);
        for tile in tiles(&pattern) {
            let lit = &rig.canvas().panels;
            let panel = lit
                .iter()
                .position(|lit| lit.holds(tile.area))
                .expect("on a panel");
            let surface = &rig.layout().surfaces()[panel];
            let share =
                |x: u32, y: u32| f64::from(tile.shares[(y * tile.area.w + x) as usize]) / 255.0;
            let (w, h) = (tile.area.w, tile.area.h);
            let wide = dark_between((0..w).map(|x| share(x, h / 2)));
            let tall = dark_between((0..h).map(|y| share(w / 2, y)));
            // Half a pixel, along the surface's arc and its height.
            let left = f64::from(tile.area.x - lit[panel].x);
            let [pitch_x, pitch_y] = surface.pitch_mm();
            let card_mm = [along_mm(surface, left, left + wide), tall * pitch_y];
            assert!(
                (card_mm[0] - 85.60).abs() < 0.5 * pitch_x,
                "{}: {card_mm:?}",
                rig.name()
            );
            assert!(
                (card_mm[1] - 53.98).abs() < 0.5 * pitch_y,
                "{}: {card_mm:?}",
                rig.name()
            );
            assert_eq!(CARD_MM, [85.60, 53.98]);
            // At a corner, on the diagonal: a radius of 2.88 to 3.48 mm.
            let corner = (0..w.min(h) / 2)
                .map(|at| share(at, at))
                .collect::<Vec<_>>();
            let line = corner
                .iter()
                .position(|share| *share > 0.3)
                .expect("the corner's line");
            let inner_mm = (line as f64 - 3.0 + 1.4) * pitch_x;
            let radius_mm = inner_mm / (1.0 - 0.5_f64.sqrt());
            assert!((2.0..5.0).contains(&radius_mm), "{radius_mm}");
            measured += 1;
        }
        let mut bars = 0;
        for mark in pattern.marks() {
            let Mark::Bar(bar) = mark else { continue };
            if bar.colour == Colour::BLACK {
                continue;
            }
            let panels = &rig.canvas().panels;
            let panel = panels
                .iter()
                .position(|lit| *lit == bar.clip)
                .expect("a panel");
            let [pitch_x, pitch_y] = rig.panels()[panel].pitch_mm();
            let [left, top, right, bottom] = bar.edges;
            for mm in [(right - left) * pitch_x, (bottom - top) * pitch_y] {
                if mm > 50.0 {
                    assert!((mm - BAR_MM).abs() < 1e-9, "{mm}");
                    bars += 1;
                }
            }
        }
        assert_eq!(bars, 2 * rig.panels().len(), "{}", rig.name());
    }
    assert!(measured >= 10, "{measured}");
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(40)
    })]

    /// The same greys, at the same eye elevations, to the row.
    #[test]
    fn greys_meet_across_each_seam(rig in ordinary()) {
        let pattern = pattern(&rig, Layer::Tones);
        for seam in 0..rig.seams().len() {
            let on = |panel: usize, is_right_edge: bool| {
                let surface = &rig.layout().surfaces()[panel];
                let lit = rig.canvas().panels[panel];
                let edge = if is_right_edge { surface.pixels[0] } else { 0.0 };
                let bars = pattern.marks().iter().filter_map(|mark| match mark {
                    Mark::Bar(bar) if bar.clip == lit && bar.colour != Colour::BLACK => Some(bar),
                    _ => None,
                });
                let at_edge = bars.filter(|bar| {
                    let edges = [bar.edges[0], bar.edges[2]].map(|x| x - f64::from(lit.x));
                    edges.iter().any(|x| (x - edge).abs() < 0.5)
                });
                at_edge
                    .map(|bar| {
                        let rows = [bar.edges[1], bar.edges[3]].map(|y| y - f64::from(lit.y));
                        let seen = rows.map(|row| {
                            // To the row: how far one row is, as the eye sees it.
                            let at = |row: f64| elevation(surface.point_px(edge, row));
                            [at(row), (at(row) - at(row + 1.0)).abs()]
                        });
                        (bar.colour, seen)
                    })
                    .collect::<Vec<_>>()
            };
            let (left, right) = (on(seam, true), on(seam + 1, false));
            prop_assert_eq!(left.len(), right.len());
            for ((colour, from), (other, to)) in left.iter().zip(&right) {
                prop_assert_eq!(colour, other);
                for (one, two) in from.iter().zip(to) {
                    let slack = 0.5 * (one[1] + two[1]) + 1e-9;
                    prop_assert!((one[0] - two[0]).abs() <= slack, "{one:?} {two:?}");
                }
            }
        }
    }
}

/// Rows of black and white average to half of white's light in any display's eyes, and
/// by IEC 61966-2-1; each solid grey has as much at its own gamma and at no other.
#[test]
fn the_grey_that_merges_names_the_gamma() {
    for rig in demos() {
        let pattern = pattern(&rig, Layer::Tones);
        let picture = picture(&rig, &pattern);
        let tiles = tiles(&pattern);
        assert_eq!(tiles.len(), 2 * rig.seams().len() * GAMMAS.len());
        for (index, tile) in tiles.iter().enumerate() {
            let patch = codes(&picture, tile.area);
            let light = |code: u8| f64::from(Tables::get().linear(code));
            let count = (patch.len() * patch[0].len()) as f64;
            let mean: f64 = patch.iter().flatten().map(|code| light(*code)).sum::<f64>() / count;
            assert!((mean - 0.5).abs() < 1e-6, "{mean}");
            // The solid grey beside it, away from the seam.
            let beside = [tile.area.x.wrapping_sub(3), tile.area.right() + 2].map(|x| {
                codes(
                    &picture,
                    PxRect {
                        x,
                        w: 1,
                        ..tile.area
                    },
                )[4][0]
            });
            let code = half_light_code(GAMMAS[index % GAMMAS.len()]);
            assert!(beside.contains(&code), "{code} is none of {beside:?}");
            for gamma in GAMMAS {
                let shown = (f64::from(code) / 255.0).powf(gamma);
                let is_own = gamma == GAMMAS[index % GAMMAS.len()];
                assert_eq!((shown - 0.5).abs() < 0.005, is_own, "{gamma}: {shown}");
            }
        }
    }
}
