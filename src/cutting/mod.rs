//! Cutting stock: which sticks to take for the pieces of a job, and how to cut
//! them. Pure: no input or output, no clock, no chance that is not seeded.
//!
//! Goals in their order: cost, then waste (stock taken less pieces), then the
//! number of sticks. Kerf, end trims, limits and offcuts are honoured, lengths
//! are exact, and `optimal` is said only with a proof.

mod batches;
pub mod lumber;
mod mitre;
mod nest;
mod order;
mod plan;
mod read;
pub mod solve;
pub mod takeoff;
mod write;

pub use order::{
    Cut, EndCut, Finding, LONGEST, MOST_DEFECTS, MOST_PIECES, MOST_STOCK, Nesting, Order,
    OrderError, OrderPlan, PieceLine, Poses, Status, Stick, StockLine,
};
pub use plan::{Progress, Square};
pub use read::{from_json, read};
pub use write::{buy, gap_text, json, table};

/// The JSON Schema of an order and its answer, each also by itself under
/// `$defs`.
pub const SCHEMA: &str = include_str!("schema/order.json");

/// Plans an order. `nesting` false lets mitred ends count as square, by their
/// overall lengths. `stop` is asked often and ends the search with the best so
/// far; `tell` hears of each better order.
pub fn plan(
    order: &Order,
    nesting: bool,
    stop: &dyn Fn() -> bool,
    tell: &mut dyn FnMut(Progress),
) -> OrderPlan {
    let stop = solve::Stop::new(stop);
    batches::plan(order, nesting, &stop, tell)
}

/// The same, whatever mill runs the sticks are of.
fn one(
    order: &Order,
    nesting: bool,
    stop: &solve::Stop,
    tell: &mut dyn FnMut(Progress),
) -> OrderPlan {
    if nesting && nest::has_mitres(order) {
        return nest::nested(order, stop, tell);
    }
    plan::square(order, solve::Effort::Unbounded, stop, tell)
}

/// The ends (left, right) of a cut's piece as it lies on the stick.
#[must_use]
pub fn ends_as_cut(order: &Order, cut: &Cut) -> (EndCut, EndCut) {
    let Some(p) = order.pieces.get(cut.piece) else {
        return (EndCut::default(), EndCut::default());
    };
    let (l, r) = mitre::taken(p.left.into(), p.right.into(), (cut.turned, cut.flipped));
    let end = |e: mitre::End| EndCut {
        per_u: e.per_u,
        per_v: e.per_v,
    };
    (end(l), end(r))
}
