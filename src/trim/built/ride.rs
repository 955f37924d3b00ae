//! How a run goes with the line that it lies along.

use crate::trim::design::End;
use crate::trim::kinds::RunPlan;
use crate::trim::space::{Point, Vector};

use super::lay::{Laid, Turn};
use super::lines::Line;

/// What counts as the same place, inches.
const SAME: f64 = 1e-6;

/// The run is the line itself.
pub(super) fn own(run: &mut RunPlan, laid: &Laid) {
    run.path.clone_from(&laid.points);
    for (normal, turn) in run.normals.iter_mut().zip(&laid.turns) {
        *normal = turn.of(*normal);
    }
    turn_ends(run, laid.turns.first(), laid.turns.last());
}

/// A level or plumb end stays so; a plane turns with its leg.
fn turn_ends(run: &mut RunPlan, first: Option<&Turn>, last: Option<&Turn>) {
    for (end, turn) in [(&mut run.start, first), (&mut run.end, last)] {
        if let (End::Plane([x, y, z]), Some(turn)) = (*end, turn) {
            let p = turn.of(Vector::new(x, y, z));
            *end = End::Plane([p.x, p.y, p.z]);
        }
    }
}

/// The run lies along the line: its corners keep their place by the line's
/// corners, and by the line's ends where it runs past them or turns before.
pub(super) fn along(run: &mut RunPlan, line: &Line, laid: &Laid) {
    let rail = Rail {
        from: &line.points,
        d: line.directions(),
        to: laid,
    };
    let legs: Vec<usize> = run
        .path
        .windows(2)
        .map(|pair| rail.nearest(middle(pair)))
        .collect();
    for (normal, leg) in run.normals.iter_mut().zip(&legs) {
        *normal = rail.turn(*leg).of(*normal);
    }
    let first = legs.first().map(|leg| rail.turn(*leg));
    let last = legs.last().map(|leg| rail.turn(*leg));
    turn_ends(run, first.as_ref(), last.as_ref());
    let moved: Vec<Point> = run
        .path
        .iter()
        .enumerate()
        .map(|(nth, p)| {
            rail.moved(
                *p,
                nth.checked_sub(1).and_then(|n| legs.get(n)),
                legs.get(nth),
            )
        })
        .collect();
    run.path = moved;
}

fn middle(pair: &[Point]) -> Point {
    match pair {
        [a, b] => *a + (*b - *a) * 0.5,
        _ => Point::new(0.0, 0.0, 0.0),
    }
}

struct Rail<'a> {
    from: &'a [Point],
    d: Vec<Vector>,
    to: &'a Laid,
}

impl Rail<'_> {
    fn turn(&self, leg: usize) -> Turn {
        self.to.turns.get(leg).copied().unwrap_or(Turn::NONE)
    }

    /// The leg that a place lies nearest to; the first and the last go on
    /// past the line's ends.
    fn nearest(&self, p: Point) -> usize {
        let legs = self.from.windows(2).zip(&self.d).enumerate();
        let last = self.d.len().saturating_sub(1);
        let away = |(nth, (pair, d)): (usize, (&[Point], &Vector))| {
            let [a, b] = pair else { return f64::INFINITY };
            let along = (p - *a).dot(*d);
            let low = if nth == 0 { f64::NEG_INFINITY } else { 0.0 };
            let high = if nth == last {
                f64::INFINITY
            } else {
                (*b - *a).length()
            };
            (p - (*a + *d * along.clamp(low, high))).length()
        };
        legs.map(|leg| (leg.0, away(leg)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map_or(0, |(nth, _)| nth)
    }

    /// Where a corner of the run goes, between the legs of the line that its
    /// own two legs lie along.
    fn moved(&self, p: Point, before: Option<&usize>, after: Option<&usize>) -> Point {
        let (before, after) = (before.or(after), after.or(before));
        match (before, after) {
            (Some(a), Some(b)) if a != b => self.at_corner(p, *a, *b),
            (Some(a), _) => self.on_leg(p, *a),
            _ => p,
        }
    }

    /// A corner that turns from leg `a` to leg `b`: at the line's own corner,
    /// or at the same distance from both legs.
    fn at_corner(&self, p: Point, a: usize, b: usize) -> Point {
        let corner = a.max(b);
        let (Some(old), Some(new)) = (self.from.get(corner), self.to.points.get(corner)) else {
            return self.on_leg(p, a);
        };
        let off = p - *old;
        if off.length() <= SAME || a.abs_diff(b) != 1 {
            return *new;
        }
        // In the wall's plane: how far off the legs; out of it: as it was.
        let across = |leg: usize| {
            let d = self.d.get(leg).copied().unwrap_or(Vector::X);
            (Vector::Z.cross(d), Vector::Z.cross(self.turn(leg).of(d)))
        };
        let ((n1, m1), (n2, m2)) = (across(a), across(b));
        let (h1, h2) = (off.dot(n1), off.dot(n2));
        let share = 1.0 + m1.dot(m2);
        if share <= 1e-9 {
            return *new;
        }
        let h = (h1 + h2) / 2.0;
        *new + (m1 + m2) * (h / share) + Vector::Z * off.z
    }

    /// A place beside one leg: it keeps its distance from the line's end on
    /// that side, or from the nearer end of an inner leg.
    fn on_leg(&self, p: Point, leg: usize) -> Point {
        let (Some(a), Some(b)) = (self.from.get(leg), self.from.get(leg + 1)) else {
            return p;
        };
        let last = self.d.len().saturating_sub(1);
        let by_end = match (leg, last) {
            (0, 0) => (p - *b).length() < (p - *a).length(),
            (0, _) => false,
            (leg, last) if leg == last => true,
            _ => (p - *b).length() < (p - *a).length(),
        };
        let (old, place) = if by_end { (*b, leg + 1) } else { (*a, leg) };
        match self.to.points.get(place) {
            Some(new) => *new + self.turn(leg).of(p - old),
            None => p,
        }
    }
}
