//! A section from points measured on an old moulding.

use crate::trim::sheet::SectionPoint;

use super::curve::Curve;
use super::outline::{NotAnOutline, Outline};
use super::plane::Shift;

/// A measured point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Its place, inches.
    pub at: SectionPoint,
    /// The outline runs smoothly through it; false for an arris.
    pub smooth: bool,
}

/// Draws an outline through measured points, closed back to the first.
/// Between two arrises: nothing measured, a straight line; one smooth point,
/// the circular arc through the three; more, a smooth curve through all
/// (cubics, their handles a third of the way along the neighbours' direction,
/// weighted by distance).
///
/// # Errors
/// If no point is an arris, or as [`Outline::new`].
pub fn outline(points: &[Measured]) -> Result<Outline, NotAnOutline> {
    let Some(first) = points.iter().position(|p| !p.smooth) else {
        return Err(NotAnOutline(
            "has no arris; at least one measured point must be a corner".to_owned(),
        ));
    };
    let mut curves = Vec::with_capacity(points.len());
    let mut stretch: Vec<SectionPoint> = Vec::new();
    let round = points.iter().cycle().skip(first).take(points.len() + 1);
    for point in round {
        stretch.push(point.at);
        if !point.smooth && stretch.len() > 1 {
            join(&stretch, &mut curves);
            stretch = vec![point.at];
        }
    }
    Outline::new(curves)
}

/// Joins an arris, smooth points and an arris.
fn join(points: &[SectionPoint], out: &mut Vec<Curve>) {
    match *points {
        [from, to] => out.push(Curve::Line { from, to }),
        [from, through, to] => out.push(arc_through(from, through, to)),
        _ => out.extend(smooth(points)),
    }
}

/// The circular arc through three points, a line where they stand in line.
#[must_use]
pub fn arc_through(from: SectionPoint, through: SectionPoint, to: SectionPoint) -> Curve {
    // The chord is seen from the point under half a turn less half the
    // sweep; the bulge is the tangent of a quarter of the sweep.
    let (a, b) = (from - through, to - through);
    let seen = a.cross(b).atan2(a.dot(b));
    let quarter = (std::f64::consts::PI - seen.abs()) / 2.0;
    let bulge = quarter.tan();
    if bulge < 1e-9 {
        return Curve::Line { from, to };
    }
    Curve::Arc {
        from,
        to,
        // The point right of the chord: the arc runs anticlockwise.
        bulge: if seen < 0.0 { bulge } else { -bulge },
    }
}

/// Cubics through points, each inner point's direction that of the circle
/// through it and its neighbours.
fn smooth(points: &[SectionPoint]) -> Vec<Curve> {
    let tangents: Vec<Option<Shift>> = (0..points.len()).map(|i| tangent(points, i)).collect();
    let pairs = points.windows(2).zip(tangents.windows(2));
    pairs
        .filter_map(|(pair, directions)| {
            let (&[from, to], &[leaving, reaching]) = (pair, directions) else {
                return None;
            };
            let third = from.distance(to) / 3.0;
            let straight = (to - from) * (1.0 / 3.0);
            Some(Curve::Cubic {
                from,
                first: from + leaving.map_or(straight, |d| d * third),
                second: to + -reaching.map_or(straight, |d| d * third),
                to,
            })
        })
        .collect()
}

/// Direction at point `i`; `None` at the two ends, which lie free.
fn tangent(points: &[SectionPoint], i: usize) -> Option<Shift> {
    let (before, here) = (*points.get(i.checked_sub(1)?)?, *points.get(i)?);
    let after = *points.get(i + 1)?;
    let (a, b) = (here - before, after - here);
    // Each neighbour's direction counts by how near it is.
    (a.unit()? * b.length() + b.unit()? * a.length()).unit()
}
