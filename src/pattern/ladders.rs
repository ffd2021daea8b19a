//! Two ladders at each seam, whose straight rung names the true value.
//!
//! A rung's left part is drawn as everything else is. Its right part continues
//! the left one as the eye would see it if the seam were a little different:
//! the gap some pixels wider or narrower, or the fold some half degrees more or
//! less. On a rig that is so, that rung runs straight and no other does.
//!
//! A wrong gap shifts a rung at the seam, so the bezel ladder's rungs are short
//! and steep. A wrong fold shifts nothing at the seam and ever more along the
//! panel, so the fold ladder's rungs run over the whole right panel and are
//! read at its far end; of several slopes and places the one is taken at which
//! half a degree shows most there.

mod fold;
mod gap;

use fold::{fold_otherwise, fold_place, left_run_px, turn_by};
pub use gap::{GapRung, gap_rungs};

use rayon::prelude::*;

use super::board::{Anchor, Board, Style};
use super::diagonals::Crossing;
use super::{Layer, Line, palette};
use crate::geometry::{EyePlane, Layout, LitEdge, Surface, continuation};
use crate::light::Colour;
use crate::rig::{Parts, Rig, Turn};
use crate::typeset::Cut;

/// Rungs to either side of the rig's own value.
const SIDE: i32 = 4;
/// Slope of the bezel ladder's rungs.
const BEZEL_SLOPE_DEG: f64 = 45.0;
/// How far the bezel ladder's rungs run to either side of the seam.
const BEZEL_RUN_MM: f64 = 38.0;
/// The same, at most, as a fraction of the lower panel's height.
const BEZEL_RUN: f64 = 0.1;
/// Least offset of a rung, across itself, from one step to the next: one
/// arc-minute at 600 mm, the width that an eye of ordinary acuity resolves
/// (common practice).
const LEAST_STEP_MM: f64 = 0.1745;
/// Degrees from one rung of the fold ladder to the next.
pub const FOLD_STEP_DEG: f64 = 0.5;
/// How far from the right panel's far edge its rungs' labels end.
const FOLD_LABEL_MM: f64 = 70.0;
/// Lower and upper part of a seam, as fractions of its shared height: one
/// ladder stands in each.
const HALVES: [[f64; 2]; 2] = [[0.135, 0.49], [0.51, 0.855]];

/// The layout of a rig with one seam a little different; `None` where that
/// would not be a rig.
fn otherwise(rig: &Rig, change: impl FnOnce(&mut Parts)) -> Option<Layout> {
    let mut parts = rig.parts().clone();
    change(&mut parts);
    Rig::new(parts).ok().map(|rig| rig.layout().clone())
}

/// Draws both ladders of every seam.
pub(super) fn draw(board: &mut Board) {
    let looked_at: &Board = board;
    let ladders: Vec<Option<Ladders>> = (0..board.rig.seams().len())
        .into_par_iter()
        .map(|seam| Ladders::at(looked_at, seam))
        .collect();
    // Labels after all rungs: those of the next seam run into the panel, too.
    for part in [Part::Rungs, Part::Labels] {
        for (seam, ladders) in ladders.iter().enumerate() {
            if let Some(Ladders { fold, bezel }) = ladders {
                fold_ladder(board, seam, fold, part);
                bezel_ladder(board, seam, bezel, part);
            }
        }
    }
}

/// What of a ladder is drawn.
#[derive(Clone, Copy, PartialEq)]
enum Part {
    Rungs,
    Labels,
}

/// The rungs of a seam's two ladders.
struct Ladders {
    fold: Vec<Rung>,
    bezel: Vec<(GapRung, Rung)>,
}

impl Ladders {
    /// `None` where the panels share no height.
    fn at(board: &Board, seam: usize) -> Option<Ladders> {
        let layout = board.layout;
        let crossing = Crossing::seam(layout, seam);
        if !crossing.is_shared() {
            return None;
        }
        let others = fold_otherwise(board.rig, seam);
        let place = fold_place(board, seam, &crossing, &others);
        let right = layout.seam(seam)[1];
        let (own, rest): (Vec<_>, Vec<_>) = others.iter().partition(|(step, _)| *step == 0);
        // The rig's own last, so that nothing covers its label.
        let fold = rest.into_iter().chain(own).filter_map(|(step, other)| {
            let plane = place.plane(&crossing, right, *step)?;
            Rung::new(layout, seam, *step, plane, other)
        });
        let other_half = if place.near == HALVES[0] {
            HALVES[1]
        } else {
            HALVES[0]
        };
        Some(Ladders {
            fold: fold.collect(),
            bezel: bezel_rungs(board, seam, &crossing, other_half),
        })
    }
}

/// A rung: where it stands, what it stands for, and how its right part runs.
struct Rung {
    step: i32,
    left: EyePlane,
    right: EyePlane,
    right_surface: Surface,
}

impl Rung {
    fn new(
        layout: &Layout,
        seam: usize,
        step: i32,
        plane: EyePlane,
        other: &Layout,
    ) -> Option<Rung> {
        let [left, right] = layout.seam(seam);
        let [other_left, other_right] = other.seam(seam);
        if step == 0 {
            return Some(Rung {
                step,
                left: plane,
                right: plane,
                right_surface: *right,
            });
        }
        Some(Rung {
            step,
            left: plane,
            right: continuation(left, other_left, plane, LitEdge::Right)?,
            right_surface: *other_right,
        })
    }

    /// Row on the right panel at a column.
    fn row(&self, px: f64) -> Option<f64> {
        self.right_surface.py_on(self.right, px)
    }
}

/// How far the bezel ladder's rungs run to either side of the seam.
fn bezel_run_mm(layout: &Layout, seam: usize) -> f64 {
    let shortest = layout.seam(seam).map(|s| s.size_mm[1]);
    (BEZEL_RUN * shortest[0].min(shortest[1])).min(BEZEL_RUN_MM)
}

fn bezel_rungs(
    board: &Board,
    seam: usize,
    crossing: &Crossing,
    half: [f64; 2],
) -> Vec<(GapRung, Rung)> {
    let layout = board.layout;
    let slope = BEZEL_SLOPE_DEG.to_radians();
    let [left, right] = layout.seam(seam);
    // The rungs' ends stay in the ladder's half, too.
    let rise = bezel_run_mm(layout, seam) / left.size_mm[1].min(right.size_mm[1]);
    let range = [half[0] + rise, half[1] - rise];
    let rungs = gap_rungs(board.rig, seam).into_iter();
    let drawn = rungs.filter_map(|gap| {
        let elevation = crossing.elevation(within(range, gap.step));
        let plane = EyePlane::at_slope(crossing.azimuth, elevation, slope);
        let other = otherwise(board.rig, |parts| parts.seams[seam].gap_mm = gap.gap_mm)?;
        let rung = Rung::new(layout, seam, gap.step, plane, &other)?;
        Some((gap, rung))
    });
    drawn.collect()
}

fn bezel_ladder(board: &mut Board, seam: usize, rungs: &[(GapRung, Rung)], part: Part) {
    let run_mm = bezel_run_mm(board.layout, seam);
    let [left_run, right_run] = board
        .layout
        .seam(seam)
        .map(|s| (run_mm / s.pitch_mm()[0]).min(s.pixels[0] / 4.0));
    for (gap, rung) in rungs {
        if part == Part::Rungs {
            let name = format!("ladder-bezel-{}", seam + 1);
            let runs = [left_run, right_run];
            strokes(board, seam, rung, runs, palette::BEZEL, name);
            continue;
        }
        let text = gap.label();
        let px = right_run + board.cap_px(seam + 1);
        label(board, seam, rung, px, Anchor::Left, &text, palette::BEZEL);
    }
}

/// The steps of a ladder, the rig's own last, so that nothing covers its label.
fn steps() -> impl Iterator<Item = i32> {
    (-SIDE..=SIDE).filter(|&step| step != 0).chain([0])
}

/// Where a rung stands in a range, from the lowest step to the highest.
fn within([low, high]: [f64; 2], step: i32) -> f64 {
    low + f64::from(step + SIDE) / f64::from(2 * SIDE) * (high - low)
}

/// A fold ladder's value as its rungs say it: to a tenth of a degree, or to a
/// hundredth where that takes more.
pub fn rung_deg(value: f64) -> String {
    let text = format!("{value:.2}");
    format!("{}°", text.strip_suffix('0').unwrap_or(&text))
}

fn fold_ladder(board: &mut Board, seam: usize, rungs: &[Rung], part: Part) {
    let layout = board.layout;
    let [left, right] = layout.seam(seam);
    for rung in rungs {
        if part == Part::Rungs {
            let name = format!("ladder-fold-{}", seam + 1);
            let runs = [left_run_px(left), right.pixels[0]];
            strokes(board, seam, rung, runs, palette::FOLD, name);
            continue;
        }
        let mut turn = board.rig.seams()[seam].turn;
        turn_by(&mut turn, f64::from(rung.step) * FOLD_STEP_DEG);
        let text = match turn {
            Turn::AngleDeg(value) => format!("angle {}", rung_deg(value)),
            Turn::FoldDeg(value) => format!("fold {}", rung_deg(value)),
        };
        // Clear of the far edge's scales.
        let px = (right.pixels[0] - FOLD_LABEL_MM / right.pitch_mm()[0]).max(right.pixels[0] / 2.0);
        label(board, seam, rung, px, Anchor::Right, &text, palette::FOLD);
    }
}

/// Strokes a rung; the rig's own is wider, and noted as a line that looks straight.
fn strokes(
    board: &mut Board,
    seam: usize,
    rung: &Rung,
    [left_run, right_run]: [f64; 2],
    colour: Colour,
    name: String,
) {
    let layout = board.layout;
    let [left, right] = layout.seam(seam);
    let width_px = if rung.step == 0 { 4.0 } else { 2.0 };
    let [left_w, left_h] = left.pixels;
    let left_part = [left_w - left_run, 0.0, left_w, left_h];
    let right_part = [0.0, 0.0, right_run, right.pixels[1]];
    board.stroke(seam, left, rung.left, left_part, (colour, width_px));
    board.stroke(
        seam + 1,
        &rung.right_surface,
        rung.right,
        right_part,
        (colour, width_px),
    );
    if rung.step == 0 {
        board.line(Line {
            name,
            layer: Layer::Ladders,
            plane: rung.left,
            width_px,
            colour,
        });
    }
}

/// Labels a rung on the right panel, at a column; the rig's own is framed.
fn label(
    board: &mut Board,
    seam: usize,
    rung: &Rung,
    px: f64,
    anchor: Anchor,
    text: &str,
    colour: Colour,
) {
    let Some(row) = rung
        .row(px)
        .filter(|row| (0.0..rung.right_surface.pixels[1]).contains(row))
    else {
        return;
    };
    let own = rung.step == 0;
    let style = Style {
        cut: if own { Cut::Bold } else { Cut::Regular },
        scale: 1.0,
        colour,
        anchor,
    };
    let text = if own {
        format!("{text}  as set")
    } else {
        text.to_owned()
    };
    let plate = board.text(seam + 1, &text, style, px, row);
    if own {
        board.frame(seam + 1, plate, colour);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{demos, read};
    use crate::typeset::Typesetter;

    /// Where a rung's two parts seem to be on a rig that stands as `built`: how
    /// far, in millimetres across the rung, the right part lies off the great
    /// circle that continues the left one, at a column of the right panel.
    fn offset_mm(drawn: &Layout, built: &Layout, seam: usize, rung: &Rung, px: f64) -> f64 {
        let [left, _] = drawn.seam(seam);
        let [built_left, built_right] = built.seam(seam);
        let reference =
            continuation(left, built_left, rung.left, LitEdge::Right).expect("reaches the seam");
        let row = rung.row(px).expect("crosses the column");
        reference.distance_mm(built_right.point_px(px, row))
    }

    fn rigs() -> Vec<Rig> {
        demos()
            .iter()
            .map(|demo| read(demo.text, demo.name, &[]).expect("sound"))
            .collect()
    }

    #[test]
    fn the_rung_of_the_true_fold_runs_straight_and_no_other_does() {
        for rig in rigs() {
            let layout = rig.layout();
            let mut typesetter = Typesetter::new();
            let board = Board::new(&rig, &mut typesetter);
            for seam in 0..rig.seams().len() {
                let crossing = Crossing::seam(layout, seam);
                let others = fold_otherwise(&rig, seam);
                assert_eq!(others.len(), 9);
                let place = fold_place(&board, seam, &crossing, &others);
                let right = layout.seam(seam)[1];
                let far = right.pixels[0] - 0.5;
                for (step, other) in &others {
                    let plane = place.plane(&crossing, right, *step).expect("two places");
                    let rung = Rung::new(layout, seam, *step, plane, other).expect("drawable");
                    for px in [0.0, far / 3.0, far] {
                        let on_true = offset_mm(layout, other, seam, &rung, px);
                        assert!(
                            on_true.abs() < 1e-6,
                            "{} {step} {px}: {on_true}",
                            rig.name()
                        );
                    }
                    let as_in_file = offset_mm(layout, layout, seam, &rung, far).abs();
                    let least = LEAST_STEP_MM * f64::from(step.abs());
                    assert!(
                        as_in_file >= least,
                        "{} {step}: {as_in_file} mm",
                        rig.name()
                    );
                }
            }
        }
    }

    #[test]
    fn the_rung_of_the_true_gap_runs_straight_and_each_step_can_be_seen() {
        for rig in rigs() {
            let layout = rig.layout();
            for seam in 0..rig.seams().len() {
                let crossing = Crossing::seam(layout, seam);
                let pitch = layout.seam(seam)[1].pitch_mm()[0];
                let dark = layout.dark_mm(seam);
                let rungs = gap_rungs(&rig, seam);
                let named: Vec<i32> = rungs.iter().map(|rung| rung.step).collect();
                assert_eq!(named, steps().collect::<Vec<_>>(), "{}", rig.name());
                for gap in rungs {
                    let step = gap.step;
                    let pixels = gap.dark_px - dark / pitch;
                    // Whole pixels a step, and the sign says which way.
                    assert!((pixels - pixels.round()).abs() < 1e-9, "{pixels} px");
                    assert_eq!(pixels.round() as i32 % step.abs().max(1), 0, "{pixels} px");
                    assert!(
                        pixels.round() as i32 * step.signum() >= step.abs(),
                        "{pixels} px"
                    );
                    assert!((gap.dark_px * pitch - gap.dark_mm).abs() < 1e-9);
                    let other = otherwise(&rig, |parts| parts.seams[seam].gap_mm = gap.gap_mm)
                        .expect("a rig");
                    assert!((other.dark_mm(seam) - gap.dark_mm).abs() < 1e-9);
                    let elevation = crossing.elevation(within(HALVES[0], step));
                    let slope = BEZEL_SLOPE_DEG.to_radians();
                    let plane = EyePlane::at_slope(crossing.azimuth, elevation, slope);
                    let rung = Rung::new(layout, seam, step, plane, &other).expect("drawable");
                    let on_true = offset_mm(layout, &other, seam, &rung, 0.0);
                    assert!(on_true.abs() < 1e-6, "{} {step}: {on_true}", rig.name());
                    let as_in_file = offset_mm(layout, layout, seam, &rung, 0.0).abs();
                    // Panels seen aslant show a little less of a step.
                    let least = 0.75 * LEAST_STEP_MM * f64::from(step.abs());
                    assert!(
                        as_in_file >= least,
                        "{} {step}: {as_in_file} mm",
                        rig.name()
                    );
                }
            }
        }
    }
}
