//! Kinds of head. Each only makes runs (paths, sections, ends) and boards;
//! the one solver in [`mod@super::solve`] does the rest.
//!
//! Frame: x = 0 at the board's left end, y = 0 its top edge at the wing,
//! z = 0 its face, the wall at z = −(board thickness). Inches.

mod arched;
mod assembly;
mod bands;
mod bay;
mod broken;
mod closed;
mod flat;
mod gable;
mod key;
mod legs;
mod lower;
pub(in crate::trim) mod lower_end;
mod overlap;
mod parts;
mod path;
mod runs;

use crate::measure::Unit;

use super::design::{Design, End, Kind, Legs, Wrong};
use super::section::Outline;
use super::sheet::{Bend, Board, Finding, Hold, Joint, SectionPoint};
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
    /// What its start and its end close on, where that is a piece of another
    /// run.
    pub meets: [Option<Mate>; 2],
}

/// A piece of another run that an end closes on.
#[derive(Debug, Clone, PartialEq)]
pub struct Mate {
    /// Its label.
    pub label: String,
    /// What the corner between the two is.
    pub joint: Joint,
}

/// Turns a design into runs and boards.
///
/// # Errors
/// If the design's measures cannot make such a head at all.
pub fn plan(design: &Design, rules: &Rules) -> Result<Plan, Wrong> {
    let mut plan = base(design, rules)?;
    finish(&mut plan, design, rules);
    Ok(plan)
}

/// What lies along the lines that are measured at the bench: board, cap and
/// crown.
///
/// # Errors
/// As [`plan`].
pub(super) fn base(design: &Design, rules: &Rules) -> Result<Plan, Wrong> {
    of_kind(&design.kind, design.unit, rules)
}

/// What follows from that: smaller mouldings, the key, the legs.
pub(super) fn finish(plan: &mut Plan, design: &Design, rules: &Rules) {
    complete(plan, &design.kind, design.legs.as_ref(), design.unit, rules);
}

fn complete(plan: &mut Plan, kind: &Kind, legs: Option<&Legs>, unit: Unit, rules: &Rules) {
    if let Some(body) = kind.body() {
        bands::add(plan, kind, body, unit, rules);
        if let Some(key) = &body.key {
            key::add(plan, key, body, rules.rounding);
        }
    }
    if let Some(legs) = legs {
        legs::add(plan, legs, rules.rounding);
    }
}

fn of_kind(kind: &Kind, unit: Unit, rules: &Rules) -> Result<Plan, Wrong> {
    let say = rules.rounding;
    match kind {
        Kind::Flat(body) => Ok(flat::plan(body, unit, say)),
        Kind::Gable(gable) => Ok(gable::plan(gable, unit, say)),
        Kind::ClosedGable(closed) => closed::plan(closed, unit, say),
        Kind::BrokenGable(broken) => Ok(broken::plan(broken, unit, say)),
        Kind::Arched(arched) => Ok(arched::plan(arched, unit, say)),
        Kind::Bay(bay) => bay::plan(bay, unit, say),
        Kind::Assembly(parts) => assembly::plan(parts, unit, rules),
        Kind::Runs(list) => runs::plan(list, unit),
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
