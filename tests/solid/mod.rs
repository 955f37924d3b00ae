//! The pieces of a mitred run, built as solids from the cut sheet alone, touch
//! without gap or overlap.
//!
//! The judge is an independent general-purpose solid kernel in double
//! precision (manifold3d) and a placement of the stock written from the words
//! of the holds, in the Python beside this file. The sheet is what the
//! program prints for anyone: no plane or offset of the engine is used.
//! `HEADWRIGHT_TEST_SEED` sets the first seed.

use std::io::Write as _;
use std::process::Command;

use crate::tools;

/// Heads of each sort that must hold: six hundred over all.
const HEADS: u32 = 50;
/// Heads of each sort whose spoilt sheets must be refused.
const SPOILT: u32 = 8;

fn first_seed() -> String {
    std::env::var("HEADWRIGHT_TEST_SEED").unwrap_or_else(|_| "1".to_owned())
}

/// Runs the check over `count` random heads and fails with all that it said.
fn check(sort: &str, count: u32, mode: &[&str]) {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/solid/check.py");
    let done = Command::new(tools::python())
        // Leaves no compiled files among the sources.
        .arg("-B")
        .args([script, env!("CARGO_BIN_EXE_headwright"), sort])
        .arg(count.to_string())
        .arg(first_seed())
        .args(mode)
        .output()
        .expect("Python starts");
    let said = String::from_utf8_lossy(&done.stdout);
    // Straight to the console, which the test program does not hold back: a
    // run shows its seeds and its worst errors also when all is well.
    let _shown = std::io::stderr().write_all(&done.stdout);
    assert!(
        done.status.success(),
        "{said}{}",
        String::from_utf8_lossy(&done.stderr)
    );
}

fn holds(sort: &str) {
    check(sort, HEADS, &[]);
}

fn spoilt_sheets_are_refused(sort: &str) {
    check(sort, SPOILT, &["--spoil"]);
}

macro_rules! sorts {
    ($($name:ident: $sort:literal),* $(,)?) => {$(
        mod $name {
            #[test]
            fn pieces_touch_without_gap_or_overlap() {
                super::holds($sort);
            }

            #[test]
            fn a_sheet_wrong_in_one_place_is_refused() {
                super::spoilt_sheets_are_refused($sort);
            }
        }
    )*};
}

sorts! {
    gables_with_drops: "gables with drops",
    plain_gables: "plain gables",
    sprung_crown_round_plan_corners: "sprung crown round plan corners",
    bays: "bays",
    entablatures: "entablatures",
    closed_gables: "closed gables",
    broken_gables: "broken gables",
    arched_heads: "arched heads",
    bay_heads: "bay heads",
    raked_returns: "raked returns",
    heads_on_a_saw_of_random_reach: "heads on a saw of random reach",
    rakes_that_sit_on_a_cornice: "rakes that sit on a cornice",
}
