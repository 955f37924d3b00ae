//! Cutting stock: which sticks to take for the pieces of a job, and how to cut
//! them. Pure: no input or output, no clock, no chance that is not seeded.
//!
//! Goals in their order: cost, then waste (stock taken less pieces), then the
//! number of sticks. Kerf, end trims, limits and offcuts are honoured, lengths
//! are exact, and `optimal` is said only with a proof.

pub mod lumber;
mod mitre;
mod nest;
mod order;
mod plan;
mod read;
pub mod solve;
mod write;

pub use order::{
    Cut, EndCut, Finding, LONGEST, MOST_PIECES, MOST_STOCK, Nesting, Order, OrderError, OrderPlan,
    PieceLine, Poses, Status, Stick, StockLine,
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
    if nesting && nest::has_mitres(order) {
        return nest::nested(order, &stop, tell);
    }
    plan::square(order, solve::Effort::Unbounded, &stop, tell)
}
