//! Kinds of head. Each only makes runs (paths, sections, ends) and boards;
//! the one solver in [`mod@super::solve`] does the rest.
//!
//! Frame: x = 0 at the board's left end, y = 0 its top edge at the wing,
//! z = 0 its face, the wall at z = −(board thickness). Inches.

mod arched;
mod broken;
mod closed;
mod flat;
mod gable;
mod parts;
mod path;
mod runs;

use super::design::{Design, End, Kind, Wrong};
use super::section::Outline;
use super::sheet::{Bend, Board, Finding, Hold, SectionPoint};
use super::solve::Rules;
use super::space::{Point, Vector};

/// A head turned into runs and boards.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plan {
    /// The mouldings.
    pub runs: Vec<RunPlan>,
    /// The boards.
    pub boards: Vec<Board>,
    /// Mouldings bent in one piece.
    pub bends: Vec<Bend>,
    /// What the kind itself has to say.
    pub findings: Vec<Finding>,
}

/// One moulding on one polyline, inches.
#[derive(Debug, Clone, PartialEq)]
pub struct RunPlan {
    /// Unique in the head.
    pub name: String,
    /// Corners of the outline.
    pub section: Vec<SectionPoint>,
    /// The true curves that the corners stand for.
    pub curves: Option<Outline>,
    /// Spring angle, radians; `None` if solid.
    pub spring: Option<f64>,
    /// Ways to hold it, the best first.
    pub holds: Vec<Hold>,
    /// Vertices.
    pub path: Vec<Point>,
    /// Outward normal of each leg, not yet made square to it.
    pub normals: Vec<Vector>,
    /// How it starts.
    pub start: End,
    /// How it ends.
    pub end: End,
}

/// Turns a design into runs and boards.
///
/// # Errors
/// If the design's measures cannot make such a head at all.
pub fn plan(design: &Design, rules: &Rules) -> Result<Plan, Wrong> {
    let unit = design.unit;
    let say = rules.rounding;
    match &design.kind {
        Kind::Flat(body) => Ok(flat::plan(body, unit, say)),
        Kind::Gable(gable) => Ok(gable::plan(gable, unit, say)),
        Kind::ClosedGable(closed) => closed::plan(closed, unit, say),
        Kind::BrokenGable(broken) => Ok(broken::plan(broken, unit, say)),
        Kind::Arched(arched) => Ok(arched::plan(arched, unit, say)),
        Kind::Runs(list) => Ok(runs::plan(list, unit)),
    }
}

/// The holds that a run's name stands for, the best first.
#[must_use]
pub fn usual_holds(name: &str) -> Vec<Hold> {
    if name.ends_with("cap") {
        vec![Hold::OnEdge, Hold::Upright]
    } else {
        vec![Hold::Inverted, Hold::Flat]
    }
}
