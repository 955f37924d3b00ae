//! Pieces of a run: lengths, point kinds, cuts.

use crate::trim::design::{Saw, Wrong};
use crate::trim::kinds::{Mate, RunPlan};
use crate::trim::section::ARRIS_TURN;
use crate::trim::sheet::{
    Cut, Finding, Joint, Leg, Piece, PointKind, SectionPoint, Severity, reach,
};
use crate::trim::space::Vector;

use super::corner::{corner, end_plane, legs};
use super::hold::{Chosen, Stock, Wanted, choose};
use super::order::Side;
use super::saw::clean;
use super::{Rules, limits};

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

/// The pieces of a run along **d**, and what the saw cannot do of them the
/// usual way; open corners are put to `findings`.
pub(super) fn pieces(
    run: &RunPlan,
    (saw, rules): (Option<&Saw>, &Rules),
    findings: &mut Vec<Finding>,
) -> Result<(Vec<Piece>, Vec<Finding>), Wrong> {
    let legs = legs(run)?;
    let cuts = cuts(run, &legs, findings)?;
    let hook = hook(run);
    let label = |i: usize| format!("{}-{}", run.name, i + 1);
    let ends = cuts.iter().zip(cuts.iter().skip(1));
    let mut limits = Vec::new();
    let pieces = legs.iter().zip(ends).enumerate();
    let pieces = pieces.map(|(i, (leg, (left, right)))| {
        let [first, last] = &run.meets;
        let other = |mate: &Option<Mate>| mate.as_ref().map(|mate| mate.label.clone());
        let left_mate = match i.checked_sub(1) {
            Some(before) => Some(label(before)),
            None => other(first),
        };
        let right_mate = if i + 1 < legs.len() {
            Some(label(i + 1))
        } else {
            other(last)
        };
        let bench = Bench {
            run,
            leg,
            hook,
            saw,
        };
        let ends = ((*left, left_mate), (*right, right_mate));
        let (piece, chosen) = bench.piece(label(i), ends);
        if let Some(saw) = saw {
            let found = chosen.iter().filter_map(|(wanted, chosen)| {
                let cut = (bench.stock(), *wanted);
                limits::finding(&piece.label, cut, chosen, (saw, rules))
            });
            limits.extend(found);
        }
        piece
    });
    Ok((pieces.collect(), limits))
}

/// The cut planes at the vertices, one more than there are legs.
fn cuts(run: &RunPlan, legs: &[Leg], findings: &mut Vec<Finding>) -> Result<Vec<EndCut>, Wrong> {
    let mut cuts = Vec::with_capacity(legs.len() + 1);
    let [meets_first, meets_last] = &run.meets;
    let end = |plane, meets: &Option<Mate>| EndCut {
        plane,
        joint: meets.as_ref().map_or(Joint::End, |mate| mate.joint),
    };
    if let Some(first) = legs.first() {
        let plane = end_plane(&run.name, first, run.start, "start")?;
        cuts.push(end(plane, meets_first));
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
        let plane = end_plane(&run.name, last, run.end, "end")?;
        cuts.push(end(plane, meets_last));
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

/// What the two ends of a piece share.
struct Bench<'a> {
    run: &'a RunPlan,
    leg: &'a Leg,
    hook: SectionPoint,
    saw: Option<&'a Saw>,
}

/// An end and the label of what it closes on.
type End = (EndCut, Option<String>);

impl<'a> Bench<'a> {
    fn stock(&self) -> Stock<'a> {
        Stock {
            holds: &self.run.holds,
            spring: self.run.spring,
            section: &self.run.section,
        }
    }

    /// The piece, and how each of its ends is put on the saw.
    fn piece(
        &self,
        label: String,
        ((left, left_mate), (right, right_mate)): (End, End),
    ) -> (Piece, [(Wanted<'a>, Chosen); 2]) {
        let leg = self.leg;
        let reference = (leg.end - leg.start).length();
        let (at_left, at_right) = (slope(leg, left.plane), slope(leg, right.plane));
        let run = self.run;
        let reach = |(per_u, per_v)| reach(&run.section, run.curves.as_ref(), per_u, per_v);
        let (left_reach, right_reach) = (reach(at_left), reach(at_right));
        let least = reach((at_right.0 - at_left.0, at_right.1 - at_left.1)).0;
        let hooked = (offset(at_left, self.hook), offset(at_right, self.hook));
        let first = self.held(left.plane, Side::Left, left_reach);
        let second = self.held(right.plane, Side::Right, right_reach);
        let cut = |end: EndCut, mate, per: (f64, f64), point, chosen: &Chosen| Cut {
            plane: end.plane,
            point,
            joint: end.joint,
            mate,
            hook: self.hook,
            setting: chosen.setting,
            per_u: per.0,
            per_v: per.1,
        };
        let left_point = kind(left_reach, hooked.0, Past::Less);
        let right_point = kind(right_reach, hooked.1, Past::More);
        let piece = Piece {
            label,
            leg: *leg,
            reference,
            tape: reference + hooked.1 - hooked.0,
            overall: reference + right_reach.1 - left_reach.0,
            shortest: reference + least,
            left: cut(left, left_mate, at_left, left_point, &first.1),
            right: cut(right, right_mate, at_right, right_point, &second.1),
        };
        (piece, [first, second])
    }

    /// One end on the saw; `offsets` are its least and most along **d**.
    fn held(&self, plane: Vector, side: Side, offsets: (f64, f64)) -> (Wanted<'a>, Chosen) {
        let wanted = Wanted {
            leg: self.leg,
            plane,
            side,
            spread: (offsets.1 - offsets.0).max(0.0),
        };
        (wanted, choose(self.stock(), wanted, self.saw))
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
