//! How long drawing a head's whole sheet takes, beside a fixed loop that
//! measures the machine: compare the ratio, not the microseconds.
//!
//! The aim is under 300 µs for a gable with drops: two elevations, the plan,
//! boards, sections and the picture of every cut. A façade of 14 heads at one
//! scale has 5 ms.

use std::time::Instant;

use divan::{Bencher, black_box};
use headwright::trim::draw::{
    CutLook, End, Look, SvgOptions, board, cut_picture, elevation, plan, section, strip, svg,
};
use headwright::trim::{Design, Rules, Sheet, solve};
use serde_json::json;

/// A gable with drops: 18 pieces, 36 cuts.
fn gable_with_drops() -> Sheet {
    let head = json!({
        "unit": "in", "name": "bench", "kind": "gable", "span": "41 1/2", "wing": "7 1/4",
        "pitch": {"rise": 7, "run": 12},
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"},
        "drops": {"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": "7", "point_degrees": 45}
    });
    let design = Design::from_json(&head).expect("a design");
    solve(&design, &Rules::default()).expect("a sheet")
}

/// The fixed reference: 1000 arctangents, each waiting for the last.
fn reference() -> f64 {
    (0..1000).fold(black_box(0.5_f64), |x, i| (x + f64::from(i)).atan())
}

/// As a page has them written.
const PAGE: SvgOptions = SvgOptions {
    sized: false,
    dressed: true,
};

/// Bytes of all cut pictures.
fn cuts(sheet: &Sheet) -> usize {
    let mut bytes = 0;
    for run in &sheet.runs {
        for piece in &run.pieces {
            for end in [End::Left, End::Right] {
                let scene = cut_picture(run, piece, end, &CutLook::PHONE);
                bytes += svg(&scene, &PAGE).len();
            }
        }
    }
    bytes
}

/// Bytes of all drawings of a sheet.
fn whole_sheet(sheet: &Sheet) -> usize {
    let write = |scene| svg(&scene, &PAGE).len();
    let heads = [Look::SHEET, Look::PHONE]
        .iter()
        .map(|look| write(elevation(sheet, look)));
    let boards = sheet.boards.iter().map(|b| write(board(b, &Look::PHONE)));
    let sections = sheet.runs.iter().map(|r| write(section(r, &Look::PHONE)));
    let corners = plan(sheet, &Look::PHONE).map_or(0, write);
    heads.chain(boards).chain(sections).sum::<usize>() + corners + cuts(sheet)
}

/// Bytes of the strip of a façade of 14 heads at one scale.
fn facade(sheet: &Sheet) -> usize {
    let heads = [(sheet, "W1"); 14];
    svg(&strip(&heads, &Look::SHEET), &SvgOptions::default()).len()
}

#[divan::bench(name = "draw a façade of 14 heads")]
fn draw_facade(bencher: Bencher<'_, '_>) {
    let sheet = gable_with_drops();
    bencher.bench_local(|| facade(black_box(&sheet)));
}

#[divan::bench(name = "reference: 1000 arctangents")]
fn reference_loop(bencher: Bencher<'_, '_>) {
    bencher.bench_local(reference);
}

#[divan::bench(name = "draw every cut of a gable with drops")]
fn draw_cuts(bencher: Bencher<'_, '_>) {
    let sheet = gable_with_drops();
    bencher.bench_local(|| cuts(black_box(&sheet)));
}

#[divan::bench(name = "draw the whole sheet of a gable with drops")]
fn draw_sheet(bencher: Bencher<'_, '_>) {
    let sheet = gable_with_drops();
    bencher.bench_local(|| whole_sheet(black_box(&sheet)));
}

/// Median of many runs, seconds.
fn median(mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..400)
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
    let sheet = gable_with_drops();
    let drawing = median(|| {
        black_box(whole_sheet(black_box(&sheet)));
    });
    let loop_time = median(|| {
        black_box(reference());
    });
    let strip = median(|| {
        black_box(facade(black_box(&sheet)));
    });
    println!(
        "draw a gable with drops: {:.0} µs, reference loop {:.2} µs, ratio {:.1}",
        drawing * 1e6,
        loop_time * 1e6,
        drawing / loop_time
    );
    println!(
        "draw a façade of 14 heads: {:.0} µs, reference loop {:.2} µs, ratio {:.1}",
        strip * 1e6,
        loop_time * 1e6,
        strip / loop_time
    );
}
