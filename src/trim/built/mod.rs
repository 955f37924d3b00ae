//! As-built: a head solved again from what the bench really measured.
//!
//! A kind's runs lie along one or more *lines*, such as the board's top edge.
//! Measured edges and corners lay a line anew, and every run that lies along
//! it goes with it: a return stays at the board's end, a drop at its inset, an
//! overhang keeps its length. So no kind is a special case, and a kind without
//! lines of its own is measured run by run, leg by leg.

mod json;
mod lay;
mod lines;
mod ride;
mod say;
mod spot;

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::measure::Length;

use super::design::{Build, Design, Kind, Wrong};
use super::kinds::Plan;
use super::sheet::Finding;
use super::solve::Rules;
use super::space::Point;

pub(in crate::trim) use json::read;
pub use spot::{Is, Spot};

use lay::Laid;
use lines::{Line, Rides};

/// What was measured on the head that was really made. What is missing is as
/// drawn.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AsBuilt {
    /// Edges, more than 0.
    pub lengths: BTreeMap<Spot, Length>,
    /// Corners as mitres (half the turn) and slopes from level, degrees,
    /// between 0 and 80.
    pub degrees: BTreeMap<Spot, f64>,
}

/// One thing that can be measured on a head.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Which.
    pub spot: Spot,
    /// As drawn: inches for an edge, degrees for a corner or a slope.
    pub drawn: f64,
    /// Where it lies as drawn: an edge's two ends, or a corner's place twice.
    pub at: [Point; 2],
}

/// Everything that can be measured on this head, along the wall; what the
/// bench measured already does not matter.
///
/// # Errors
/// As [`super::solve()`]: the design's measures cannot make such a head.
pub fn asks(design: &Design, rules: &Rules) -> Result<Vec<Ask>, Wrong> {
    let mut drawn = design.clone();
    drawn.as_built = None;
    if let Some(asks) = bent(&drawn) {
        return Ok(asks);
    }
    let plan = super::kinds::base(&drawn, rules)?;
    let lines = lines::of(&drawn, &plan);
    Ok(lines.iter().flatten().flat_map(Line::asks).collect())
}

/// A moulding bent in one piece has no legs: its arch is measured by span and
/// rise.
fn bent(design: &Design) -> Option<Vec<Ask>> {
    let Kind::Arched(arched) = &design.kind else {
        return None;
    };
    let Build::Bent { .. } = arched.build else {
        return None;
    };
    let (span, rise) = (arched.body.span.inches(), arched.rise.inches());
    let at = |x, y| Point::new(x, y, 0.0);
    Some(vec![
        Ask {
            spot: Spot::Span,
            drawn: span,
            at: [at(0.0, 0.0), at(span, 0.0)],
        },
        Ask {
            spot: Spot::Rise,
            drawn: rise,
            at: [at(span / 2.0, 0.0), at(span / 2.0, rise)],
        },
    ])
}

/// The design with those measures put in that replace a measure of its own.
pub(super) fn replaced(design: &Design) -> Cow<'_, Design> {
    let (Some(built), Kind::Arched(_)) = (&design.as_built, &design.kind) else {
        return Cow::Borrowed(design);
    };
    let (span, rise) = (
        built.lengths.get(&Spot::Span),
        built.lengths.get(&Spot::Rise),
    );
    let mut design = design.clone();
    if let Kind::Arched(arched) = &mut design.kind {
        arched.body.span = span.copied().unwrap_or(arched.body.span);
        arched.rise = rise.copied().unwrap_or(arched.rise);
    }
    Cow::Owned(design)
}

/// Lays the plan's runs along the lines as they were measured.
///
/// # Errors
/// If something was measured that this head does not have.
pub(super) fn fit(design: &Design, mut plan: Plan, rules: &Rules) -> Result<Plan, Wrong> {
    let Some(built) = &design.as_built else {
        return Ok(plan);
    };
    let groups = lines::of(design, &plan);
    refuse_unknown(built, &groups)?;
    for group in &groups {
        let lengths = twins(group, built, rules, &mut plan.findings);
        for (line, lengths) in group.iter().zip(&lengths) {
            say::far(line, built, rules, &mut plan.findings);
            let laid = lay::lay(line, lengths, built);
            say::open(line, &laid, rules, &mut plan.findings);
            carry(line, &laid, &mut plan);
        }
    }
    Ok(plan)
}

fn refuse_unknown(built: &AsBuilt, groups: &[Vec<Line>]) -> Result<(), Wrong> {
    let has = |spot: &Spot| {
        matches!(spot, Spot::Span | Spot::Rise)
            || groups.iter().flatten().any(|line| line.has(spot))
    };
    let mut measured = built.lengths.keys().chain(built.degrees.keys());
    match measured.find(|spot| !has(spot)) {
        None => Ok(()),
        Some(spot) => Err(Wrong::new(
            format!("as_built.{}", spot.path()),
            format!("this head has no {}; leave it out", spot.label()),
        )),
    }
}

fn carry(line: &Line, laid: &Laid, plan: &mut Plan) {
    match line.rides {
        Rides::Own(nth) => {
            if let Some(run) = plan.runs.get_mut(nth) {
                ride::own(run, laid);
            }
        }
        Rides::Named(names) => {
            for run in &mut plan.runs {
                if names.is_empty() || names.contains(&run.name.as_str()) {
                    ride::along(run, line, laid);
                }
            }
        }
    }
}

/// The edges' lengths as they will be cut. Edges that mirror each other and
/// are drawn alike are twins: both to the longer one where they differ by no
/// more than the rule's allowance.
fn twins(
    group: &[Line],
    built: &AsBuilt,
    rules: &Rules,
    findings: &mut Vec<Finding>,
) -> Vec<Vec<f64>> {
    let drawn: Vec<f64> = group.iter().flat_map(Line::lengths).collect();
    let spots: Vec<&Spot> = group.iter().flat_map(|line| &line.edges).collect();
    let measured = |spot: &Spot| built.lengths.get(spot).map(|length| length.inches());
    let mut cut: Vec<f64> = spots
        .iter()
        .zip(&drawn)
        .map(|(spot, drawn)| measured(spot).unwrap_or(*drawn))
        .collect();
    let count = cut.len();
    for left in 0..count / 2 {
        let right = count - 1 - left;
        let [Some(a), Some(b)] = [cut.get(left).copied(), cut.get(right).copied()] else {
            continue;
        };
        let [Some(p), Some(q)] = [spots.get(left), spots.get(right)] else {
            continue;
        };
        let alike = drawn
            .get(left)
            .zip(drawn.get(right))
            .is_some_and(|(x, y)| (x - y).abs() < 1e-6);
        if !alike || (measured(p).is_none() && measured(q).is_none()) {
            continue;
        }
        if (a - b).abs() <= rules.twins + 1e-9 {
            let longer = a.max(b);
            for place in [left, right] {
                if let Some(length) = cut.get_mut(place) {
                    *length = longer;
                }
            }
        } else {
            findings.push(say::twins((p, a), (q, b), rules));
        }
    }
    let mut all = cut.into_iter();
    group
        .iter()
        .map(|line| all.by_ref().take(line.edges.len()).collect())
        .collect()
}
