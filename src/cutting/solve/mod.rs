//! The exact solver: which sticks to take and how to cut them.
//!
//! The search runs over the *number of sticks of each kind*, cheapest first.
//! Inequalities from pricing sweeps rule out most vectors; the first vector
//! into which the pieces can be packed is optimal. Then the same is done for
//! the length taken at that cost, and for the number of sticks at both.

#![expect(
    clippy::needless_range_loop,
    reason = "one index runs over several tables of a matrix"
)]

pub mod chain;
pub mod counts;
pub mod cover;
pub mod dive;
pub mod fill;
pub mod knapsack;
pub mod pack;
pub mod patterns;
pub mod problem;
pub mod relax;
pub mod search;
pub mod sequence;
pub mod simplex;
pub mod stretches;

pub use problem::{Pattern, Problem, Stock, Stop, Worth};
pub use search::{Answer, Effort, Outcome, solve};
