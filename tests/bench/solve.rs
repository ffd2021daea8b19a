//! How long readings take to solve, as ratios to a full redraw within one run.
//!
//! `cargo bench --package throughline-bench --bench solve` measures, then prints the table
//! that DEVELOPERS.md holds.

use std::hint::black_box;

use throughline::glass::Drawing;
use throughline::pattern::{Choices, Guides, Layers, Pattern, Slide};
use throughline::raster::{Picture, draw};
use throughline::readings::{Eye, Line, Reading};
use throughline::rig::{PxRect, Rig};
use throughline::solve::{MOST_A_SEAM, Priors, next, solve};
use throughline::typeset::Typesetter;
use throughline_bench::ratios::{bench, median_ns, ms};
use throughline_bench::rigs;

/// All readings that are asked for, each of half a row more than the file foresees.
fn readings(rig: &Rig, priors: &Priors) -> Vec<Reading> {
    let mut all: Vec<Reading> = Vec::new();
    let mut estimate = solve(rig, &all, priors);
    while let Some(choice) = next(rig, &estimate, &all, Eye::PEEP_CARD) {
        let line: Line = choice.line;
        all.push(Reading::twice(line, [0.5, 0.6], choice.sigma_px));
        estimate = solve(rig, &all, priors);
    }
    all
}

fn main() {
    let mut criterion = bench(20, 3);
    // Three panels, 11 megapixels.
    let wide = rigs::rig(&rigs::row_of(3, [2560, 1440]), &[]);
    let [w, h] = wide.canvas().size_px;
    let mut picture = Picture::new([w, h]);
    let pattern = Pattern::new(
        &wide,
        &Guides::of(&wide),
        Layers::ALL,
        &mut Typesetter::new(),
    );
    criterion.bench_function("solve redraw", |b| {
        b.iter(|| draw(pattern.marks(), &mut picture, PxRect { x: 0, y: 0, w, h }));
    });

    // The right part of a line, slid to and fro under the keys.
    let line = next(
        &wide,
        &solve(&wide, &[], &Priors::new(&wide, &[])),
        &[],
        Eye::PEEP_CARD,
    )
    .map(|choice| choice.line);
    let slid = |up_px: f64| Choices {
        slide: line.map(|line| Slide { line, up_px }),
        ..Choices::default()
    };
    let mut drawing = Drawing::new(&wide, Layers::NONE, slid(0.0), None);
    let mut up_px = 0.0;
    criterion.bench_function("solve slide", |b| {
        b.iter(|| {
            up_px = 0.25 - up_px;
            black_box(drawing.update(&wide, Layers::NONE, slid(up_px), None))
        });
    });

    let rig = rigs::rig(&rigs::row_of(5, [1920, 1080]), &[]);
    let priors = Priors::new(&rig, &[]);
    let readings = readings(&rig, &priors);
    assert_eq!(readings.len(), 4 * MOST_A_SEAM);
    criterion.bench_function("solve readings", |b| {
        b.iter(|| black_box(solve(&rig, &readings, &priors)));
    });
    let few = &readings[..4];
    let estimate = solve(&rig, few, &priors);
    criterion.bench_function("solve next", |b| {
        b.iter(|| black_box(next(&rig, &estimate, few, Eye::PEEP_CARD)));
    });
    criterion.final_summary();

    let [Some(redraw), Some(slide), Some(solved), Some(next)] = [
        "solve redraw",
        "solve slide",
        "solve readings",
        "solve next",
    ]
    .map(median_ns) else {
        return;
    };
    println!(
        "\n| full redraw of 11 Mpx | {} | promised |\n| --- | --- | --- |",
        ms(redraw)
    );
    println!(
        "| a slide to its finished picture / redraw | {:.3} | at most 0.1 |",
        slide / redraw
    );
    println!(
        "| solving 5 panels with 32 readings / redraw | {:.2} | at most 3 |",
        solved / redraw
    );
    println!(
        "| choosing the next reading / redraw | {:.2} | at most 10 |",
        next / redraw
    );
}
