//! Legs, corners and the planes they are cut in.

use crate::trim::design::{End, Wrong};
use crate::trim::kinds::RunPlan;
use crate::trim::sheet::{Joint, Leg};
use crate::trim::space::Vector;

/// How near a joint must be to closing, and a normal to square.
const CLOSES: f64 = 1e-6;
/// The shortest leg, inches; a nanometre is 4e-8.
const SHORTEST_LEG: f64 = 1e-6;
/// The longest leg, inches: 100 ft.
const LONGEST_LEG: f64 = 1200.0;

/// A corner between two legs.
pub(super) struct Corner {
    /// Unit normal of the cut plane, on the side of both directions.
    pub plane: Vector,
    pub joint: Joint,
    /// Whether the two sections meet point for point.
    pub closes: bool,
}

/// The legs of a run, each with its frame.
pub(super) fn legs(run: &RunPlan) -> Result<Vec<Leg>, Wrong> {
    let vertices = run.path.iter().zip(run.path.iter().skip(1));
    let both = vertices.zip(&run.normals).enumerate();
    let legs = both.map(|(i, ((&start, &end), &normal))| {
        let wrong = |what: String| Wrong::new(format!("run `{}`, leg {}", run.name, i + 1), what);
        let along = end - start;
        let length = along.length();
        if length < SHORTEST_LEG {
            return Err(wrong(
                "has no length; every leg must be longer than 0".into(),
            ));
        }
        if length > LONGEST_LEG {
            return Err(wrong(format!(
                "is {length:.1} in; at most 100 ft is allowed"
            )));
        }
        let (Some(d), Some(given)) = (along.unit(), normal.unit()) else {
            return Err(wrong("has no direction; finite numbers are needed".into()));
        };
        if given.dot(d).abs() > CLOSES {
            let off = given.dot(d).clamp(-1.0, 1.0).asin().to_degrees();
            return Err(wrong(format!(
                "the normal is {:.4}° off square to the leg; it must be within 1e-6 of square",
                off.abs()
            )));
        }
        let Some(n) = (given - d * given.dot(d)).unit() else {
            return Err(wrong(
                "has no normal; a direction square to the leg is needed".into(),
            ));
        };
        Ok(Leg {
            start,
            end,
            d,
            n,
            b: n.cross(d),
        })
    });
    legs.collect()
}

/// The corner from leg `one` to leg `two`; `None` if the path turns back on
/// itself.
pub(super) fn corner(one: &Leg, two: &Leg) -> Option<Corner> {
    let sum = one.d + two.d;
    // |d1 + d2| is twice the cosine of half the turn; the same smallness as
    // for closing keeps mitres off a knife edge.
    let plane = sum.unit().filter(|_| sum.length() > CLOSES)?;
    let apart = |image: Vector, of: Vector| (image.mirrored(plane) - of).length();
    Some(Corner {
        plane,
        joint: joint(one, two),
        closes: apart(one.n, two.n) <= CLOSES && apart(one.b, two.b) <= CLOSES,
    })
}

fn joint(one: &Leg, two: &Leg) -> Joint {
    if (two.n - one.n).length() > CLOSES {
        if two.d.dot(one.n) > 0.0 {
            Joint::PlanInside
        } else {
            Joint::PlanOutside
        }
    } else if two.d.dot(one.b) > 0.0 {
        Joint::RiseInside
    } else {
        Joint::RiseOutside
    }
}

/// The plane in which `leg` ends, on the side of its direction.
pub(super) fn end_plane(run: &str, leg: &Leg, end: End, which: &str) -> Result<Vector, Wrong> {
    let wrong = |what: &str| Wrong::new(format!("run `{run}`, {which}"), what);
    let normal = match end {
        End::Square => return Ok(leg.d),
        End::Plumb => Vector::new(leg.d.x, 0.0, leg.d.z),
        End::Level => Vector::Y,
        End::Plane([x, y, z]) => Vector::new(x, y, z),
    };
    let parallel = "the plane is parallel to its leg; it must cut across it";
    // An upright leg's level direction has no length.
    let Some(plane) = normal.unit().filter(|_| normal.length() > CLOSES) else {
        return Err(wrong(parallel));
    };
    match plane.dot(leg.d) {
        across if across > CLOSES => Ok(plane),
        across if across < -CLOSES => Ok(-plane),
        _ => Err(wrong(parallel)),
    }
}
