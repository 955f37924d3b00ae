//! Pieces of a run: lengths, point kinds, cuts.

use crate::trim::design::Wrong;
use crate::trim::kinds::RunPlan;
use crate::trim::section::ARRIS_TURN;
use crate::trim::sheet::{
    Cut, Finding, Joint, Leg, Piece, PointKind, SectionPoint, Severity, reach,
};
use crate::trim::space::Vector;

use super::corner::{corner, end_plane, legs};
use super::saw::{best, clean};

/// Offsets nearer than this, inches, count as equal.
const SAME_POINT: f64 = 1e-9;

/// One end of a piece before it is put on the saw.
#[derive(Clone, Copy)]
struct EndCut {
    plane: Vector,
    joint: Joint,
}

/// Which way is past the end along **d**.
#[derive(Clone, Copy)]
enum Past {
    /// The left end: less.
    Less,
    /// The right end: more.
    More,
}

/// The pieces of a run along **d**; open corners are put to `findings`.
pub(super) fn pieces(run: &RunPlan, findings: &mut Vec<Finding>) -> Result<Vec<Piece>, Wrong> {
    let legs = legs(run)?;
    let cuts = cuts(run, &legs, findings)?;
    let hook = hook(run);
    let label = |i: usize| format!("{}-{}", run.name, i + 1);
    let ends = cuts.iter().zip(cuts.iter().skip(1));
    let pieces = legs.iter().zip(ends).enumerate();
    Ok(pieces
        .map(|(i, (leg, (left, right)))| {
            let left_mate = (i > 0).then(|| label(i - 1));
            let right_mate = (i + 1 < legs.len()).then(|| label(i + 1));
            Piece {
                label: label(i),
                ..piece(run, leg, hook, (*left, left_mate), (*right, right_mate))
            }
        })
        .collect())
}

/// The cut planes at the vertices, one more than there are legs.
fn cuts(run: &RunPlan, legs: &[Leg], findings: &mut Vec<Finding>) -> Result<Vec<EndCut>, Wrong> {
    let mut cuts = Vec::with_capacity(legs.len() + 1);
    let end = |plane| EndCut {
        plane,
        joint: Joint::End,
    };
    if let Some(first) = legs.first() {
        cuts.push(end(end_plane(&run.name, first, run.start, "start")?));
    }
    for (i, (one, two)) in legs.iter().zip(legs.iter().skip(1)).enumerate() {
        let corner = corner(one, two).ok_or_else(|| {
            let at = format!("run `{}`, vertex {}", run.name, i + 1);
            Wrong::new(
                at,
                "the path turns back on itself; a turn under 180° is allowed",
            )
        })?;
        if !corner.closes {
            findings.push(open(&run.name, i + 1));
        }
        cuts.push(EndCut {
            plane: corner.plane,
            joint: corner.joint,
        });
    }
    if let Some(last) = legs.last() {
        cuts.push(end(end_plane(&run.name, last, run.end, "end")?));
    }
    Ok(cuts)
}

fn open(run: &str, left: usize) -> Finding {
    Finding {
        severity: Severity::Error,
        code: "corner-open",
        piece: Some(format!("{run}-{left}")),
        text: format!(
            "The corner between {run}-{left} and {run}-{} does not close: no saw setting brings \
             the two sections together. Put a level transition piece between them, cut one of \
             them to a raked section, or return the moulding square to the rake.",
            left + 1
        ),
    }
}

fn piece(
    run: &RunPlan,
    leg: &Leg,
    hook: SectionPoint,
    (left, left_mate): (EndCut, Option<String>),
    (right, right_mate): (EndCut, Option<String>),
) -> Piece {
    let reference = (leg.end - leg.start).length();
    let (at_left, at_right) = (slope(leg, left.plane), slope(leg, right.plane));
    let reach = |(per_u, per_v)| reach(&run.section, run.curves.as_ref(), per_u, per_v);
    let (left_reach, right_reach) = (reach(at_left), reach(at_right));
    let least = reach((at_right.0 - at_left.0, at_right.1 - at_left.1)).0;
    let (hook_left, hook_right) = (offset(at_left, hook), offset(at_right, hook));
    let cut = |end: EndCut, per: (f64, f64), mate, point| Cut {
        plane: end.plane,
        point,
        joint: end.joint,
        mate,
        hook,
        setting: best(&run.holds, run.spring.unwrap_or(0.0), leg, end.plane),
        per_u: per.0,
        per_v: per.1,
    };
    let left_point = kind(left_reach, hook_left, Past::Less);
    let right_point = kind(right_reach, hook_right, Past::More);
    Piece {
        label: String::new(),
        leg: *leg,
        reference,
        tape: reference + hook_right - hook_left,
        overall: reference + right_reach.1 - left_reach.0,
        shortest: reference + least,
        left: cut(left, at_left, left_mate, left_point),
        right: cut(right, at_right, right_mate, right_point),
    }
}

/// How much further along **d** the cut lies for each of u and v.
fn slope(leg: &Leg, plane: Vector) -> (f64, f64) {
    let along = plane.dot(leg.d);
    (
        clean(-plane.dot(leg.n) / along),
        clean(-plane.dot(leg.b) / along),
    )
}

fn offset((per_u, per_v): (f64, f64), p: SectionPoint) -> f64 {
    per_u * p.u + per_v * p.v
}

/// What the hooked arris is at an end whose offsets span `reach`.
fn kind(reach: (f64, f64), hook: f64, past: Past) -> PointKind {
    let (before, beyond) = match past {
        Past::More => (hook - reach.0, reach.1 - hook),
        Past::Less => (reach.1 - hook, hook - reach.0),
    };
    match (beyond > SAME_POINT, before > SAME_POINT) {
        (true, true) => PointKind::Mixed,
        (true, false) => PointKind::Short,
        (false, true) => PointKind::Long,
        (false, false) => PointKind::Square,
    }
}

/// The arris that the tape hooks on: (0, 0) if it is a corner of the section,
/// else the corner nearest the wall, the lower one if two.
fn hook(run: &RunPlan) -> SectionPoint {
    let origin = SectionPoint { u: 0.0, v: 0.0 };
    // On a curve there is nothing to hook on: only its arrises count.
    let arrises: Vec<SectionPoint> = match &run.curves {
        Some(curves) => curves.arrises(ARRIS_TURN).iter().map(|a| a.at).collect(),
        None => Vec::new(),
    };
    let section = if arrises.is_empty() {
        &run.section
    } else {
        &arrises
    };
    let near = |p: &SectionPoint| p.u.abs() < SAME_POINT && p.v.abs() < SAME_POINT;
    if section.iter().any(near) {
        return origin;
    }
    let nearer = |a: SectionPoint, b: SectionPoint| {
        let same = (a.u - b.u).abs() < SAME_POINT;
        if b.u < a.u && !same || same && b.v < a.v {
            b
        } else {
            a
        }
    };
    section.iter().copied().reduce(nearer).unwrap_or(origin)
}
