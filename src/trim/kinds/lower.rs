//! A run carried on parallel to itself, lower down.

use crate::trim::design::End;
use crate::trim::space::{Point, Vector};

use super::RunPlan;

/// A leg this short, inches, is none.
const NO_LEG: f64 = 1e-6;

/// The same run `by` inches lower, square to the edge it follows: its
/// reference edge runs where the first one's section has (0, −`by`). `None`
/// where a leg would vanish.
pub(super) fn lowered(mut run: RunPlan, by: f64) -> Option<RunPlan> {
    let legs: Vec<(Vector, Vector)> = run
        .path
        .iter()
        .zip(run.path.iter().skip(1))
        .zip(&run.normals)
        .map(|((a, b), n)| Some(((*b - *a).unit()?, *n)))
        .collect::<Option<_>>()?;
    let first = legs.first()?;
    let last = legs.last()?;
    let mut planes = vec![end_plane(run.start, first.0)?];
    for (one, two) in legs.iter().zip(legs.iter().skip(1)) {
        planes.push((one.0 + two.0).unit()?);
    }
    planes.push(end_plane(run.end, last.0)?);
    let frames = std::iter::once(first).chain(&legs);
    let moved: Vec<Point> = run
        .path
        .iter()
        .zip(planes.iter().zip(frames))
        .map(|(vertex, (plane, (d, n)))| at_section(*vertex, *plane, (*d, *n), -by))
        .collect();
    let keeps_on = moved
        .iter()
        .zip(moved.iter().skip(1))
        .zip(&legs)
        .all(|((a, b), (d, _))| (*b - *a).dot(*d) > NO_LEG);
    run.path = moved;
    keeps_on.then_some(run)
}

/// Where the section point (0, v) of a leg meets the plane through `vertex`.
fn at_section(vertex: Point, plane: Vector, (d, n): (Vector, Vector), v: f64) -> Point {
    let b = n.cross(d);
    let along = -v * plane.dot(b) / plane.dot(d);
    vertex + b * v + d * along
}

fn end_plane(end: End, d: Vector) -> Option<Vector> {
    match end {
        End::Square => Some(d),
        End::Plumb => Vector::new(d.x, 0.0, d.z).unit(),
        End::Level => Some(Vector::Y),
        End::Plane([x, y, z]) => Vector::new(x, y, z).unit(),
    }
}
