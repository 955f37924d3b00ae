//! Whether two sections would stand in the same place.

use crate::trim::sheet::SectionPoint;

/// What crosses by less than this, inches, only touches.
const TOUCHES: f64 = 1e-6;

/// `section` moved up by `up` and stretched upwards `times`.
pub(super) fn placed(section: &[SectionPoint], up: f64, times: f64) -> Vec<SectionPoint> {
    let place = |p: &SectionPoint| SectionPoint {
        u: p.u,
        v: p.v * times + up,
    };
    section.iter().map(place).collect()
}

/// Whether two outlines have wood in common; touching is none.
pub(super) fn overlap(one: &[SectionPoint], two: &[SectionPoint]) -> bool {
    let crossing = edges(one).any(|a| edges(two).any(|b| cross(a, b)));
    crossing || reaches_into(one, two) || reaches_into(two, one)
}

/// Whether a place within `one` lies within `two`.
fn reaches_into(one: &[SectionPoint], two: &[SectionPoint]) -> bool {
    let corners = one.iter().copied();
    let middles = edges(one).map(|(a, b)| between(a, b));
    // A place inside each ear: two like outlines one on the other have no
    // corner inside and no crossing.
    let ears = edges(one)
        .zip(edges(one).skip(1))
        .map(|((a, b), (_, c))| SectionPoint {
            u: (a.u + b.u + c.u) / 3.0,
            v: (a.v + b.v + c.v) / 3.0,
        });
    let ears = ears.filter(|p| inside(*p, one));
    corners.chain(middles).chain(ears).any(|p| inside(p, two))
}

fn between(a: SectionPoint, b: SectionPoint) -> SectionPoint {
    SectionPoint {
        u: f64::midpoint(a.u, b.u),
        v: f64::midpoint(a.v, b.v),
    }
}

type Edge = (SectionPoint, SectionPoint);

fn edges(outline: &[SectionPoint]) -> impl Iterator<Item = Edge> + '_ {
    let next = outline.iter().cycle().skip(1);
    outline.iter().copied().zip(next.copied())
}

/// Twice the area left of a→b towards p.
fn side((a, b): Edge, p: SectionPoint) -> f64 {
    (b.u - a.u) * (p.v - a.v) - (b.v - a.v) * (p.u - a.u)
}

fn cross(a: Edge, b: Edge) -> bool {
    let apart = |one: f64, two: f64| {
        one.abs() > TOUCHES && two.abs() > TOUCHES && (one > 0.0) != (two > 0.0)
    };
    apart(side(a, b.0), side(a, b.1)) && apart(side(b, a.0), side(b, a.1))
}

/// Whether a place lies within an outline, further than a touch from its
/// edges.
fn inside(p: SectionPoint, outline: &[SectionPoint]) -> bool {
    let mut within = false;
    for (a, b) in edges(outline) {
        let length = (b.u - a.u).hypot(b.v - a.v);
        if length > 0.0 {
            let along = ((p.u - a.u) * (b.u - a.u) + (p.v - a.v) * (b.v - a.v)) / length;
            let off = side((a, b), p).abs() / length;
            if off <= TOUCHES && (-TOUCHES..=length + TOUCHES).contains(&along) {
                return false;
            }
        }
        if (a.v > p.v) != (b.v > p.v) && p.u < a.u + (p.v - a.v) / (b.v - a.v) * (b.u - a.u) {
            within = !within;
        }
    }
    within
}
