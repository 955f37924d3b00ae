//! Lumber orders, class by class: solved to proof within 1 s and 10 s on one
//! thread, and the median time, unsolved counted at the limit.
//!
//!     cargo bench --bench orders -- [INSTANCES] [SEED] [--class NAME] [--json DIR]
//!
//! Half of the trim orders come from a seed drawn at the start and printed.
//! With `--json DIR` every order is also written to a file there, for
//! `benches/orders_yardstick.py`.

use std::path::Path;
use std::time::Instant;

#[expect(dead_code, reason = "shared with the tests, which use the rest")]
#[path = "../tests/cutting/generate.rs"]
mod generate;

use generate::{Instance, TRIM_KINDS, TRIM_SIZES};

const LIMIT: f64 = 10.0;

fn main() {
    let args: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| a != "--bench")
        .collect();
    let after = |word: &str| {
        let at = args.iter().position(|a| a == word)?;
        args.get(at + 1).cloned()
    };
    let (dir, only) = (after("--json"), after("--class"));
    let numbers: Vec<u64> = args.iter().filter_map(|a| a.parse().ok()).collect();
    let count = numbers.first().copied().unwrap_or(8);
    let drawn = u64::from(std::process::id()) ^ now();
    let seed = numbers.get(1).copied().unwrap_or(drawn % 1_000_000);
    println!("seed {seed}");
    for class in ["trim", "U", "T", "S1", "S2", "S3"] {
        if only.as_ref().is_some_and(|only| only != class) {
            continue;
        }
        let mut times: Vec<f64> = Vec::new();
        let mut whole = 0;
        for i in 0..count {
            // Every other order is the same in each run.
            let instance = make(class, i, if i % 2 == 0 { 100 + i } else { seed + i });
            let text = instance.json();
            if let Some(dir) = &dir {
                let path = Path::new(dir).join(format!("{class}-{i}.json"));
                if let Err(e) = std::fs::write(&path, &text) {
                    println!("{} not written: {e}", path.display());
                }
            }
            let (time, proven) = run(&text);
            times.push(if proven[0] { time } else { LIMIT });
            whole += u32::from(proven[2]);
            if !proven[0] {
                println!("  unsolved: {}", instance.name);
            }
        }
        times.sort_by(f64::total_cmp);
        let within = |s: f64| times.iter().filter(|t| **t < s).count();
        println!(
            "{class:5} {} orders: {} within 0.1 s, {} within 1 s, {} within 10 s, all goals {whole}, median {:.1} ms",
            times.len(),
            within(0.1),
            within(1.0),
            within(LIMIT),
            times.get(times.len() / 2).map_or(0.0, |t| t * 1000.0)
        );
    }
}

fn now() -> u64 {
    std::time::UNIX_EPOCH.elapsed().map_or(0, |t| t.as_secs())
}

fn make(class: &str, i: u64, seed: u64) -> Instance {
    let at = |list: &[usize]| list[i as usize % list.len()];
    let step = i as usize / 4;
    match class {
        "U" => generate::falkenauer_u(at(&[120, 250, 500, 1000]), seed),
        "T" => generate::falkenauer_t(at(&[60, 120, 249, 501]), seed),
        "S1" => {
            let capacity = [100, 120, 150][step % 3];
            let low = [1, 20, 30][(step / 3) % 3];
            generate::scholl_1(at(&[50, 100, 200, 500]), capacity, low, seed)
        }
        "S2" => {
            let spread = [0.2, 0.5, 0.9][(step / 4) % 3];
            generate::scholl_2(
                at(&[50, 100, 200, 500]),
                [3, 5, 7, 9][step % 4],
                spread,
                seed,
            )
        }
        "S3" => generate::scholl_3(seed),
        _ => {
            let (n, m) = TRIM_SIZES[i as usize % TRIM_SIZES.len()];
            generate::trim(TRIM_KINDS[i as usize % TRIM_KINDS.len()], n, m, seed)
        }
    }
}

/// Seconds, and the goals proven.
fn run(text: &str) -> (f64, [bool; 3]) {
    let start = Instant::now();
    let Ok(order) = headwright::cutting::read(text) else {
        return (LIMIT, [false; 3]);
    };
    let stop = || start.elapsed().as_secs_f64() >= LIMIT;
    let plan = headwright::cutting::plan(&order, true, &stop, &mut |_| ());
    (start.elapsed().as_secs_f64(), plan.proven)
}
