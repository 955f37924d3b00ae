//! A level head: board, cap, and a crown that returns to the wall.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{Body, End};
use crate::trim::space::{Point, Vector};

use super::parts::{self, CapSize, Profile};
use super::{Plan, RunPlan, path::Path};

pub(super) fn plan(body: &Body, unit: Unit, say: Rounding) -> Plan {
    let (span, thickness) = (body.span.inches(), body.board.thickness.inches());
    let (cap, crown) = parts::cap_and_crown(body, unit);
    let mut plan = Plan {
        boards: vec![parts::backboard(body, [(span, 0.0), (0.0, 0.0)])],
        findings: parts::cover("cap", cap.as_ref(), crown.as_ref(), true, say),
        ..Plan::default()
    };
    plan.runs
        .extend(cap.map(|cap| level_cap("cap", span, &cap)));
    plan.runs
        .extend(crown.map(|crown| level_crown("crown", span, thickness, &crown)));
    plan
}

/// A cap along the whole board, with its overhang at both ends.
pub(super) fn level_cap(name: &str, span: f64, cap: &CapSize) -> RunPlan {
    Path::from(Point::new(-cap.overhang, 0.0, 0.0))
        .to(Point::new(span + cap.overhang, 0.0, 0.0), Vector::Z)
        .run(name, &cap.profile, End::Square, End::Square)
}

/// Return, front, return.
pub(super) fn level_crown(name: &str, span: f64, thickness: f64, crown: &Profile) -> RunPlan {
    Path::from(Point::new(0.0, 0.0, -thickness))
        .to(Point::new(0.0, 0.0, 0.0), -Vector::X)
        .to(Point::new(span, 0.0, 0.0), Vector::Z)
        .to(Point::new(span, 0.0, -thickness), Vector::X)
        .run(name, crown, End::Square, End::Square)
}
