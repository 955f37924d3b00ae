//! Lumber orders: plans checked by an independent checker, proofs recomputed,
//! tiny orders against exhaustive search.

mod bad_input;
mod batches;
mod checker;
mod defects;
mod exhaustive;
#[expect(dead_code, reason = "shared with the bench, which uses all of it")]
mod generate;
mod instances;
mod laws;
mod lumber;
mod mitred;
mod takeoff;

use headwright::cutting::{Order, OrderPlan};

/// Plans without a time limit, but never for ever.
fn planned(order: &Order) -> OrderPlan {
    let start = std::time::Instant::now();
    let stop = || start.elapsed().as_secs() >= 60;
    headwright::cutting::plan(order, true, &stop, &mut |_| ())
}

fn read(text: &str) -> Order {
    headwright::cutting::read(text).unwrap_or_else(|e| panic!("{e}"))
}
