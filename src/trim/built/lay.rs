//! A line laid anew from measured lengths and turns.

use crate::trim::space::{Point, Vector};

use super::AsBuilt;
use super::lines::Line;

/// A turn in space: where it takes X, Y and Z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Turn([Vector; 3]);

impl Turn {
    pub(super) const NONE: Self = Self([Vector::X, Vector::Y, Vector::Z]);

    /// About a unit axis by `angle` radians, right-handed (Rodrigues).
    pub(super) fn about(axis: Vector, angle: f64) -> Self {
        let (sin, cos) = angle.sin_cos();
        let turned = |v: Vector| v * cos + axis.cross(v) * sin + axis * (axis.dot(v) * (1.0 - cos));
        Self([turned(Vector::X), turned(Vector::Y), turned(Vector::Z)])
    }

    pub(super) fn of(&self, v: Vector) -> Vector {
        let [x, y, z] = self.0;
        x * v.x + y * v.y + z * v.z
    }

    /// First `inner`, then this.
    fn after(&self, inner: &Self) -> Self {
        Self(inner.0.map(|v| self.of(v)))
    }
}

/// A line as measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laid {
    /// Its points.
    pub points: Vec<Point>,
    /// How each leg has turned from the drawing.
    pub turns: Vec<Turn>,
}

/// Lays the legs one after another, from the line's start, or back from its
/// end where that is what stands fast.
pub(super) fn lay(line: &Line, lengths: &[f64], built: &AsBuilt) -> Laid {
    let legs = line.directions();
    let corners = corner_turns(line, &legs, built);
    let mut turns = Vec::with_capacity(legs.len());
    let mut turn = base(line, &legs, built);
    turns.push(turn);
    if line.from_end {
        for corner in corners.iter().rev() {
            turn = turn.after(&Turn::about(corner.0, -corner.1));
            turns.push(turn);
        }
        turns.reverse();
    } else {
        for corner in &corners {
            turn = turn.after(&Turn::about(corner.0, corner.1));
            turns.push(turn);
        }
    }
    let steps: Vec<Vector> = legs
        .iter()
        .zip(&turns)
        .zip(lengths)
        .map(|((d, turn), length)| turn.of(*d) * *length)
        .collect();
    Laid {
        points: walked(line, &steps),
        turns,
    }
}

fn walked(line: &Line, steps: &[Vector]) -> Vec<Point> {
    let origin = Point::new(0.0, 0.0, 0.0);
    let mut points = Vec::with_capacity(steps.len() + 1);
    if line.from_end {
        let mut here = line.points.last().copied().unwrap_or(origin);
        points.push(here);
        for step in steps.iter().rev() {
            here = here - *step;
            points.push(here);
        }
        points.reverse();
    } else {
        let mut here = line.points.first().copied().unwrap_or(origin);
        points.push(here);
        for step in steps {
            here = here + *step;
            points.push(here);
        }
    }
    points
}

/// Axis and extra turn of each corner, radians.
fn corner_turns(line: &Line, legs: &[Vector], built: &AsBuilt) -> Vec<(Vector, f64)> {
    let mut turns: Vec<(Vector, f64)> = legs
        .windows(2)
        .zip(&line.corners)
        .map(|(pair, spot)| {
            let (axis, drawn) = drawn_turn(pair);
            let measured = built.degrees.get(spot);
            let extra = measured.map_or(0.0, |mitre| 2.0 * mitre.to_radians() - drawn);
            (axis, extra)
        })
        .collect();
    // Where the two slopes are known and the corner between them is not, it
    // follows from them.
    if let ([(_, extra)], [spot], Some(base), Some(far)) = (
        turns.as_mut_slice(),
        line.corners.as_slice(),
        &line.base,
        &line.far,
    ) && !built.degrees.contains_key(spot)
        && built.degrees.contains_key(far)
    {
        let drawn = legs
            .windows(2)
            .next()
            .map_or(0.0, |pair| drawn_turn(pair).1);
        let slope = |spot| {
            let measured: Option<&f64> = built.degrees.get(spot);
            measured.map_or(drawn / 2.0, |degrees| degrees.to_radians())
        };
        *extra = slope(base) + slope(far) - drawn;
    }
    turns
}

/// Axis and angle of the turn between two legs; none where they go straight
/// on.
pub(super) fn drawn_turn(pair: &[Vector]) -> (Vector, f64) {
    let [a, b] = pair else {
        return (Vector::Z, 0.0);
    };
    let cross = a.cross(*b);
    let angle = cross.length().atan2(a.dot(*b));
    (cross.unit().unwrap_or(Vector::Z), angle)
}

/// The turn of the leg that the line is laid from: its measured slope.
fn base(line: &Line, legs: &[Vector], built: &AsBuilt) -> Turn {
    let leg = if line.from_end {
        legs.last()
    } else {
        legs.first()
    };
    let measured = line.base.as_ref().and_then(|spot| built.degrees.get(spot));
    let (Some(leg), Some(measured)) = (leg, measured) else {
        return Turn::NONE;
    };
    let drawn = leg.y.atan2(leg.x);
    // A rake falling to the right has its slope measured downwards.
    let wanted = measured.to_radians().copysign(drawn);
    Turn::about(Vector::Z, wanted - drawn)
}
