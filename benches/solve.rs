//! How long solving a head takes, beside a fixed loop that measures the
//! machine: compare the ratio, not the microseconds.
//!
//! The aim is under 20 µs for a gable with drops, under 50 µs for a closed
//! gable with returns.

use std::time::Instant;

use divan::{Bencher, black_box};
use headwright::trim::{Design, Rules, solve};
use serde_json::json;

/// A gable with drops: 18 pieces.
fn gable_with_drops() -> Design {
    let head = json!({
        "unit": "in", "name": "bench", "kind": "gable", "span": "41 1/2", "wing": "7 1/4",
        "pitch": {"rise": 7, "run": 12},
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"},
        "drops": {"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": "7", "point_degrees": 45}
    });
    Design::from_json(&head).expect("a design")
}

fn flat() -> Design {
    let head = json!({
        "unit": "in", "name": "bench", "kind": "flat", "span": 40,
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"}
    });
    Design::from_json(&head).expect("a design")
}

/// A full pediment whose rakes return: 12 pieces.
fn closed_gable() -> Design {
    let moulding = json!({"projection": "1 1/2", "height": "2", "back": "solid"});
    let cap = json!({"thickness": "3/4", "front": "2 1/4", "overhang": "2"});
    let head = json!({
        "unit": "in", "name": "bench", "kind": "closed-gable", "span": "52",
        "pitch": {"rise": 5, "run": 12}, "foot": "return",
        "board": {"thickness": "1 1/4", "height": "6"},
        "level": {"cap": cap, "crown": moulding}, "cap": cap, "crown": moulding
    });
    Design::from_json(&head).expect("a design")
}

/// The fixed reference: 1000 arctangents, each waiting for the last.
fn reference() -> f64 {
    (0..1000).fold(black_box(0.5_f64), |x, i| (x + f64::from(i)).atan())
}

#[divan::bench(name = "reference: 1000 arctangents")]
fn reference_loop(bencher: Bencher<'_, '_>) {
    bencher.bench_local(reference);
}

#[divan::bench(name = "solve a gable with drops")]
fn solve_gable(bencher: Bencher<'_, '_>) {
    let (design, rules) = (gable_with_drops(), Rules::default());
    bencher.bench_local(|| solve(black_box(&design), &rules));
}

#[divan::bench(name = "solve a flat head")]
fn solve_flat(bencher: Bencher<'_, '_>) {
    let (design, rules) = (flat(), Rules::default());
    bencher.bench_local(|| solve(black_box(&design), &rules));
}

#[divan::bench(name = "solve a closed gable with returns")]
fn solve_closed(bencher: Bencher<'_, '_>) {
    let (design, rules) = (closed_gable(), Rules::default());
    bencher.bench_local(|| solve(black_box(&design), &rules));
}

#[divan::bench(name = "read and solve a gable with drops")]
fn read_and_solve(bencher: Bencher<'_, '_>) {
    let (text, rules) = (gable_with_drops().to_json().to_string(), Rules::default());
    bencher.bench_local(|| {
        Design::from_json_text(black_box(&text)).and_then(|design| solve(&design, &rules))
    });
}

/// Median of many runs, seconds.
fn median(mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..2000)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or(f64::NAN)
}

fn main() {
    divan::main();
    let rules = Rules::default();
    let loop_time = median(|| {
        black_box(reference());
    });
    let heads = [
        ("a gable with drops", gable_with_drops()),
        ("a closed gable with returns", closed_gable()),
    ];
    for (name, design) in heads {
        let solving = median(|| {
            let _ = black_box(solve(black_box(&design), &rules));
        });
        println!(
            "solve {name}: {:.2} µs, reference loop {:.2} µs, ratio {:.2}",
            solving * 1e6,
            loop_time * 1e6,
            solving / loop_time
        );
    }
}
