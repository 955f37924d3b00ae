//! Curves for formats that do not have them: arcs for DXF, ellipses and
//! cubics for SVG.

use crate::trim::section::measured::arc_through;
use crate::trim::section::{Curve, Shift};
use crate::trim::sheet::SectionPoint;

/// A curve as lines and arcs within `tolerance` inches of it. Lines and arcs
/// stay what they are.
pub(super) fn arcs(curve: &Curve, tolerance: f64, out: &mut Vec<Curve>) {
    match curve {
        Curve::Line { .. } | Curve::Arc { .. } => out.push(*curve),
        _ => halve(curve, tolerance, 10, out),
    }
}

fn halve(curve: &Curve, tolerance: f64, depth: u32, out: &mut Vec<Curve>) {
    let arc = arc_through(curve.from(), curve.at(0.5), curve.to());
    let off = |t: f64| match arc.circle() {
        Some((centre, radius)) => (centre.distance(curve.at(t)) - radius).abs(),
        None => off_line(curve, t),
    };
    let worst = [0.125, 0.25, 0.375, 0.625, 0.75, 0.875].map(off);
    // An arc beyond a half turn would be a fit to a loop.
    let plain = arc.sweep().abs() < std::f64::consts::PI;
    if depth == 0 || (plain && worst.iter().all(|d| *d <= tolerance)) {
        out.push(arc);
        return;
    }
    let (a, b) = curve.split(0.5);
    halve(&a, tolerance, depth - 1, out);
    halve(&b, tolerance, depth - 1, out);
}

fn off_line(curve: &Curve, t: f64) -> f64 {
    let chord = curve.to() - curve.from();
    let p = curve.at(t) - curve.from();
    chord
        .unit()
        .map_or_else(|| p.length(), |d| d.cross(p).abs())
}

/// An ellipse's arc: half axes, the first one's angle, and whether it is
/// walked anticlockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ellipse {
    pub(super) major: f64,
    pub(super) minor: f64,
    pub(super) angle: f64,
    pub(super) anticlockwise: bool,
}

/// The ellipse that a conic of weight below 1 is part of.
pub(super) fn ellipse(
    from: SectionPoint,
    control: SectionPoint,
    to: SectionPoint,
    weight: f64,
) -> Ellipse {
    // It is the image of a circle's arc whose half sweep has the weight as
    // its cosine; e1 and e2 are the images of the circle's axes.
    let sin = (1.0 - weight * weight).sqrt();
    let e1 = (control - from.towards(to, 0.5)) * (weight / (sin * sin));
    let e2 = (to - from) * (0.5 / sin);
    let (uu, vv, uv) = (
        e1.u * e1.u + e2.u * e2.u,
        e1.v * e1.v + e2.v * e2.v,
        e1.u * e1.v + e2.u * e2.v,
    );
    let mean = (uu + vv) / 2.0;
    let spread = ((uu - vv) / 2.0).hypot(uv);
    Ellipse {
        major: (mean + spread).sqrt(),
        minor: (mean - spread).max(0.0).sqrt(),
        angle: 0.5 * (2.0 * uv).atan2(uu - vv),
        anticlockwise: e1.cross(e2) > 0.0,
    }
}

/// Handles of cubics that follow a conic: sixteen parts, each so flat that
/// its cubic is off by less than rounding on any drawing.
pub(super) fn cubics(curve: &Curve) -> Vec<[SectionPoint; 3]> {
    let mut parts = vec![*curve];
    for _ in 0..4 {
        parts = parts
            .iter()
            .flat_map(|c| {
                let (a, b) = c.split(0.5);
                [a, b]
            })
            .collect();
    }
    parts
        .iter()
        .map(|part| {
            let weight = match part {
                Curve::Conic { weight, .. } => *weight,
                _ => 1.0,
            };
            let share = 4.0 * weight / (3.0 * (1.0 + weight));
            let control = match part {
                Curve::Conic { control, .. } => *control,
                other => other.at(0.5),
            };
            let toward = |p: SectionPoint| -> Shift { (control - p) * share };
            let (from, to) = (part.from(), part.to());
            [from + toward(from), to + toward(to), to]
        })
        .collect()
}
