//! How long plans take, as a ratio within one run.
//!
//! `cargo bench --package throughline-bench --bench place` measures, then prints the table that
//! DEVELOPERS.md holds.

use std::hint::black_box;
use std::time::Duration;

use criterion::Criterion;
use throughline::fit::{FlatViewsFit, Free};
use throughline::place::{Wishes, plans};
use throughline::rig::{Rig, demos, read};
use throughline_bench::ratios::{median_ns, ms};

/// Demos of three panels.
const NAMES: [&str; 3] = ["tram-cab", "ferry-bridge", "night-train"];

fn rig(name: &str) -> Rig {
    let demo = demos().iter().find(|demo| demo.name == name);
    let text = demo.expect("a demo of that name").text;
    read(text, name, &[]).expect("a sound demo")
}

fn main() {
    let mut criterion = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(300))
        .measurement_time(Duration::from_secs(5))
        .configure_from_args();
    for name in NAMES {
        let rig = rig(name);
        criterion.bench_function(&format!("fit {name}"), |b| {
            b.iter(|| black_box(FlatViewsFit::of(&rig, Free::default())));
        });
        criterion.bench_function(&format!("plans {name}"), |b| {
            b.iter(|| black_box(plans(&rig, &Wishes::default(), &|_| {})));
        });
    }
    criterion.final_summary();

    println!("\n| three panels | one flat-views fit | default plans | ratio, at most 500 |");
    println!("| --- | --- | --- | --- |");
    for name in NAMES {
        let [Some(fit), Some(plans)] =
            [format!("fit {name}"), format!("plans {name}")].map(|name| median_ns(&name))
        else {
            continue;
        };
        println!(
            "| {name} | {} | {} | {:.0} |",
            ms(fit),
            ms(plans),
            plans / fit
        );
    }
}
