//! An order as typed, checked once; and the plan that answers it.

use std::fmt;

use crate::measure::{Length, Unit};

/// Most pieces in one order.
pub const MOST_PIECES: u64 = 20_000;
/// Most kinds of stick in one order.
pub const MOST_STOCK: usize = 500;
/// Longest length: a million millimetres.
pub const LONGEST: Length = Length::from_nanometres(1_000_000_000_000);
/// Dearest stick, in cents.
pub const DEAREST: i64 = 1_000_000_000;
/// Most bad stretches in one stick.
pub const MOST_DEFECTS: usize = 20;
/// Most strips of one stick.
pub const MOST_STRIPS: i64 = 50;

/// What to cut from what.
#[derive(Clone, Debug)]
pub struct Order {
    /// Unit in which bare numbers were given.
    pub unit: Unit,
    /// Width of the saw cut, ≥ 0.
    pub kerf: Length,
    /// Squared off each end of a stick, ≥ 0.
    pub end_trim: Length,
    /// A left-over at least this long goes back to the rack.
    pub keep_at_least: Option<Length>,
    /// Kinds of stick.
    pub stock: Vec<StockLine>,
    /// Corners (u, v) of the section in inches; empty for square ends only.
    pub section: Vec<[f64; 2]>,
    /// Ways round a piece may be taken.
    pub poses: Poses,
    /// Pieces to cut.
    pub pieces: Vec<PieceLine>,
}

/// A kind of stick, sold or on the rack.
#[derive(Clone, Debug)]
pub struct StockLine {
    /// Name, unique in the order.
    pub id: String,
    /// Whole length, > 0.
    pub length: Length,
    /// Price of one, ≥ 0.
    pub price_cents: i64,
    /// How many there are; none for no limit.
    pub limit: Option<u32>,
    /// Its own end trim, if not the order's.
    pub end_trim: Option<Length>,
    /// Bad stretches (from, to) from its left end, in order and apart; such a
    /// stick is one of its kind.
    pub defects: Vec<(Length, Length)>,
    /// Its mill run; all without one are of the same.
    pub batch: Option<String>,
    /// Strips of equal width that it is ripped into, ≥ 1.
    pub strips: u32,
}

/// Pieces alike.
#[derive(Clone, Debug)]
pub struct PieceLine {
    /// Name.
    pub label: String,
    /// Overall length, > 0.
    pub length: Length,
    /// How many, ≥ 1.
    pub qty: u32,
    /// Length along the reference edge, for mitred ends.
    pub reference: Option<Length>,
    /// Left end; square if none.
    pub left: Option<EndCut>,
    /// Right end; square if none.
    pub right: Option<EndCut>,
    /// The visible run it belongs to: all of one run come from one mill run.
    pub run: Option<String>,
}

/// The cut at (u, v) lies `per_u`·u + `per_v`·v further along the piece than
/// its reference point.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct EndCut {
    /// Slope along u, no unit.
    pub per_u: f64,
    /// Slope along v, no unit.
    pub per_v: f64,
}

/// Ways round a piece may be taken from the stick.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Poses {
    /// One way only: a moulding.
    Fixed,
    /// Also turned end for end: a board alike on both edges.
    Turn,
    /// Any of four ways: a board with two good faces.
    Any,
}

/// A wrong order: where, what, and what is allowed, in one line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderError {
    /// The field, such as `pieces[3].length`; empty for the whole.
    pub at: String,
    /// What is wrong and what is allowed.
    pub what: String,
}

impl OrderError {
    /// An error at a field.
    pub fn new(at: impl Into<String>, what: impl Into<String>) -> Self {
        OrderError {
            at: at.into(),
            what: what.into(),
        }
    }
}

impl fmt::Display for OrderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let line = |s: &str| s.replace(char::is_control, " ");
        if self.at.is_empty() {
            write!(f, "{}", line(&self.what))
        } else {
            write!(f, "{}: {}", line(&self.at), line(&self.what))
        }
    }
}

impl std::error::Error for OrderError {}

/// How an order ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// The cost is proven least.
    Optimal,
    /// A plan, perhaps not the cheapest.
    Feasible,
    /// Proven: no plan.
    Infeasible,
    /// No plan was found, and none is proven impossible.
    Unknown,
}

impl Status {
    /// Whether there is a plan.
    #[must_use]
    pub const fn has_plan(self) -> bool {
        matches!(self, Self::Optimal | Self::Feasible)
    }
}

/// Something to tell the reader.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// `error`, `warning` or `note`.
    pub severity: &'static str,
    /// A stable word.
    pub code: &'static str,
    /// The piece it is about, if one.
    pub piece: Option<String>,
    /// A sentence.
    pub text: String,
}

/// One piece on a stick; `from` and `to` from the stick's left end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Index into [`Order::pieces`].
    pub piece: usize,
    /// Where its overall length begins.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Turned end for end.
    pub turned: bool,
    /// Other face up.
    pub flipped: bool,
    /// Which strip of a ripped stick, from 0.
    pub strip: u32,
}

/// A stick and how it is cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stick {
    /// Index into [`Order::stock`].
    pub stock: usize,
    /// From the left.
    pub cuts: Vec<Cut>,
    /// What is left of each strip beyond its last cut (its kerf taken off) and
    /// beyond its last bad stretch; the far end is not squared.
    pub left_overs: Vec<Length>,
}

impl Stick {
    /// The longest left-over.
    #[must_use]
    pub fn left_over(&self) -> Length {
        self.left_overs
            .iter()
            .copied()
            .max()
            .unwrap_or(Length::ZERO)
    }
}

/// What taking mitred ends into account saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Nesting {
    /// Cents saved against ends kept apart by their overall lengths.
    pub saved_cents: i64,
    /// Length of stock saved.
    pub saved: Length,
}

/// The answer to an order.
#[derive(Clone, Debug)]
pub struct OrderPlan {
    /// How it ended.
    pub status: Status,
    /// Cost, waste, sticks: which are proven least, in that order.
    pub proven: [bool; 3],
    /// Cost of the sticks taken.
    pub cost_cents: i64,
    /// No order costs less.
    pub bound_cents: i64,
    /// Sticks, alike ones together.
    pub sticks: Vec<Stick>,
    /// Stock taken (each strip of a ripped stick by itself) less the pieces. A
    /// nested piece counts by its mean length over the section, so that this
    /// is never below nothing; a square one by its overall length.
    pub waste: Length,
    /// Left-overs that go back to the rack.
    pub kept: Length,
    /// What nesting saved; none if ends count as square.
    pub nesting: Option<Nesting>,
    /// Errors, warnings and notes.
    pub findings: Vec<Finding>,
}
