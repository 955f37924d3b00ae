//! Builds the polyline of a run, leg by leg.

use crate::trim::design::End;
use crate::trim::space::{Point, Vector};

use super::{RunPlan, parts::Profile, usual_holds};

/// Legs shorter than this are left out, inches: a nanometre is 4e-8.
const NO_LEG: f64 = 1e-9;

/// A polyline being built, with the normal of each leg.
#[derive(Debug, Clone)]
pub(super) struct Path {
    points: Vec<Point>,
    normals: Vec<Vector>,
}

impl Path {
    pub(super) fn from(start: Point) -> Self {
        let mut points = Vec::with_capacity(16);
        points.push(start);
        Self {
            points,
            normals: Vec::with_capacity(16),
        }
    }

    /// Goes on to `next` over a face with the outward `normal`. A leg of no
    /// length is left out, and one that goes straight on over the same face
    /// makes the last one longer: a drop flush with the board's end has no
    /// corner there.
    pub(super) fn to(mut self, next: Point, normal: Vector) -> Self {
        let Some(&last) = self.points.last() else {
            return self;
        };
        let Some(d) = (next - last)
            .unit()
            .filter(|_| (next - last).length() > NO_LEG)
        else {
            return self;
        };
        if self.goes_straight_on(d, normal)
            && let Some(end) = self.points.last_mut()
        {
            *end = next;
            return self;
        }
        self.points.push(next);
        self.normals.push(normal);
        self
    }

    fn goes_straight_on(&self, d: Vector, normal: Vector) -> bool {
        let (Some(&n), [.., a, b]) = (self.normals.last(), self.points.as_slice()) else {
            return false;
        };
        (normal - n).length() < 1e-12 && (*b - *a).unit().is_some_and(|e| (e - d).length() < 1e-12)
    }

    /// The mirror image in the middle of a head of `span`, running from its
    /// own left.
    pub(super) fn mirrored(&self, span: f64) -> Self {
        let point = |p: &Point| Point::new(span - p.x, p.y, p.z);
        let normal = |n: &Vector| Vector::new(-n.x, n.y, n.z);
        Self {
            points: self.points.iter().rev().map(point).collect(),
            normals: self.normals.iter().rev().map(normal).collect(),
        }
    }

    /// This path up to the middle, and its mirror image after it.
    pub(super) fn and_mirror(mut self, span: f64) -> Self {
        let other = self.mirrored(span);
        self.points.extend(other.points.into_iter().skip(1));
        self.normals.extend(other.normals);
        self
    }

    /// Where it starts and where it ends.
    pub(super) fn ends(&self) -> [Point; 2] {
        let none = Point::new(0.0, 0.0, 0.0);
        [
            self.points.first().copied().unwrap_or(none),
            self.points.last().copied().unwrap_or(none),
        ]
    }

    /// Goes on along another path that starts where this one ends.
    pub(super) fn then(self, other: &Self) -> Self {
        let legs = other.points.iter().skip(1).zip(&other.normals);
        legs.fold(self, |path, (point, normal)| path.to(*point, *normal))
    }

    /// The run of `profile` along this path.
    pub(super) fn run(self, name: &str, profile: &Profile, start: End, end: End) -> RunPlan {
        RunPlan {
            name: name.to_owned(),
            section: profile.section.clone(),
            curves: profile.curves.clone(),
            spring: profile.spring,
            holds: usual_holds(name),
            path: self.points,
            normals: self.normals,
            start,
            end,
            meets: [None, None],
        }
    }
}
