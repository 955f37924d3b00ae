//! The lines that a kind is measured along.

use crate::trim::design::{Arched, BrokenGable, Build, ClosedGable, Design, Gable, Kind};
use crate::trim::kinds::Plan;
use crate::trim::space::{Point, Vector};

use super::lay::drawn_turn;
use super::{Ask, Is, Spot};

/// A polyline of the head, its edges and corners named.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// As drawn.
    pub points: Vec<Point>,
    /// One for each leg.
    pub edges: Vec<Spot>,
    /// One for each inner corner.
    pub corners: Vec<Spot>,
    /// The slope of the leg that the line is laid from, if it can be measured.
    pub base: Option<Spot>,
    /// The slope of the other end's leg.
    pub far: Option<Spot>,
    /// Laid back from its end, which stands fast.
    pub from_end: bool,
    /// Which runs lie along it.
    pub rides: Rides,
}

/// Which runs lie along a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rides {
    /// Those of these names; all of them if there is none.
    Named(&'static [&'static str]),
    /// The run in this place is the line itself.
    Own(usize),
}

impl Line {
    fn new(points: Vec<Point>, edges: Vec<Spot>, corners: Vec<Spot>) -> Self {
        Self {
            points,
            edges,
            corners,
            base: None,
            far: None,
            from_end: false,
            rides: Rides::Named(&[]),
        }
    }

    /// The length of each leg as drawn, inches.
    pub(super) fn lengths(&self) -> Vec<f64> {
        let pairs = self.points.windows(2);
        pairs.map(|pair| leg(pair).length()).collect()
    }

    /// The direction of each leg as drawn.
    pub(super) fn directions(&self) -> Vec<Vector> {
        let pairs = self.points.windows(2);
        pairs
            .map(|pair| leg(pair).unit().unwrap_or(Vector::X))
            .collect()
    }

    pub(super) fn has(&self, spot: &Spot) -> bool {
        let own = self.edges.iter().chain(&self.corners);
        own.chain(self.base.iter())
            .chain(self.far.iter())
            .any(|s| s == spot)
    }

    /// What can be measured on it.
    pub(super) fn asks(&self) -> Vec<Ask> {
        let directions = self.directions();
        let mut asks = Vec::new();
        let edges = self.points.windows(2).zip(&self.edges);
        for (nth, (pair, spot)) in edges.enumerate() {
            let [from, to] = pair else { continue };
            asks.push(Ask {
                spot: spot.clone(),
                drawn: (*to - *from).length(),
                at: [*from, *to],
            });
            let corner = directions.get(nth..nth + 2).zip(self.corners.get(nth));
            if let Some((pair, spot)) = corner {
                asks.push(Ask {
                    spot: spot.clone(),
                    drawn: drawn_turn(pair).1.to_degrees() / 2.0,
                    at: [*to, *to],
                });
            }
        }
        let ends = [(&self.base, self.from_end), (&self.far, !self.from_end)];
        for (spot, at_end) in ends {
            asks.extend(spot.as_ref().and_then(|spot| self.slope(spot, at_end)));
        }
        asks
    }

    fn slope(&self, spot: &Spot, at_end: bool) -> Option<Ask> {
        let directions = self.directions();
        let (d, place) = if at_end {
            (directions.last()?, *self.points.last()?)
        } else {
            (directions.first()?, *self.points.first()?)
        };
        Some(Ask {
            spot: spot.clone(),
            drawn: d.y.abs().atan2(d.x).to_degrees(),
            at: [place, place],
        })
    }
}

fn leg(pair: &[Point]) -> Vector {
    match pair {
        [a, b] => *b - *a,
        _ => Vector::X,
    }
}

/// The lines of a head in groups; within a group the edges that mirror each
/// other may be twins.
pub(super) fn of(design: &Design, plan: &Plan) -> Vec<Vec<Line>> {
    match &design.kind {
        Kind::Flat(body) => {
            let points = vec![level(0.0), level(body.span.inches())];
            vec![vec![Line::new(points, vec![Spot::Top], Vec::new())]]
        }
        Kind::Gable(gable) => vec![vec![of_gable(gable)]],
        Kind::ClosedGable(closed) => of_closed(closed),
        Kind::BrokenGable(broken) => vec![of_broken(broken)],
        Kind::Arched(arched) => of_arched(arched),
        _ => of_runs(plan),
    }
}

const fn level(x: f64) -> Point {
    Point::new(x, 0.0, 0.0)
}

fn of_gable(gable: &Gable) -> Line {
    let (span, wing) = (gable.body.span.inches(), gable.wing.inches());
    let middle = span / 2.0;
    let peak = Point::new(middle, (middle - wing) * gable.pitch.radians().tan(), 0.0);
    if wing > 0.0 {
        Line::new(
            vec![
                level(0.0),
                level(wing),
                peak,
                level(span - wing),
                level(span),
            ],
            vec![
                Spot::LeftWing,
                Spot::LeftRake,
                Spot::RightRake,
                Spot::RightWing,
            ],
            vec![Spot::LeftFoot, Spot::Peak, Spot::RightFoot],
        )
    } else {
        rakes(level(0.0), peak, level(span))
    }
}

/// Two rakes without feet.
fn rakes(left: Point, peak: Point, right: Point) -> Line {
    Line {
        base: Some(Spot::LeftSlope),
        far: Some(Spot::RightSlope),
        ..Line::new(
            vec![left, peak, right],
            vec![Spot::LeftRake, Spot::RightRake],
            vec![Spot::Peak],
        )
    }
}

fn of_closed(closed: &ClosedGable) -> Vec<Vec<Line>> {
    let span = closed.body.span.inches();
    let pitch = closed.pitch.radians();
    let cap = closed.body.cap.as_ref();
    let raking = cap.map_or(0.0, |cap| cap.thickness.inches() / pitch.sin());
    let (on, past) = closed.level_cap.as_ref().map_or((0.0, 0.0), |cap| {
        (cap.thickness.inches(), cap.overhang.inches())
    });
    let x = (raking - past).max(0.0);
    let peak = Point::new(span / 2.0, on + (span / 2.0 - x) * pitch.tan(), 0.0);
    let at = |x| Point::new(x, on, 0.0);
    let edge = Line {
        rides: Rides::Named(&["level-cap", "level-crown"]),
        ..Line::new(vec![level(0.0), level(span)], vec![Spot::Level], Vec::new())
    };
    let raking = Line {
        rides: Rides::Named(&["cap", "crown"]),
        ..rakes(at(x), peak, at(span - x))
    };
    vec![vec![edge], vec![raking]]
}

fn of_broken(broken: &BrokenGable) -> Vec<Line> {
    let (span, wing) = (broken.body.span.inches(), broken.wing.inches());
    let x = (span - broken.gap.inches()) / 2.0;
    let upper = (x, (x - wing) * broken.pitch.radians().tan());
    let top = |x| Point::new(x, upper.1, 0.0);
    let (mut left, mut right) = if wing > 0.0 {
        (
            Line::new(
                vec![level(0.0), level(wing), top(x)],
                vec![Spot::LeftWing, Spot::LeftRake],
                vec![Spot::LeftFoot],
            ),
            Line::new(
                vec![top(span - x), level(span - wing), level(span)],
                vec![Spot::RightRake, Spot::RightWing],
                vec![Spot::RightFoot],
            ),
        )
    } else {
        let one = |points, edge, slope| Line {
            base: Some(slope),
            ..Line::new(points, vec![edge], Vec::new())
        };
        (
            one(vec![level(0.0), top(x)], Spot::LeftRake, Spot::LeftSlope),
            one(
                vec![top(span - x), level(span)],
                Spot::RightRake,
                Spot::RightSlope,
            ),
        )
    };
    left.rides = Rides::Named(&["left-cap", "left-crown"]);
    right.rides = Rides::Named(&["right-cap", "right-crown"]);
    right.from_end = true;
    vec![left, right]
}

fn of_arched(arched: &Arched) -> Vec<Vec<Line>> {
    let Build::Segments(n) = arched.build else {
        return Vec::new();
    };
    let (span, rise) = (arched.body.span.inches(), arched.rise.inches());
    let radius = (span * span / 4.0 + rise * rise) / (2.0 * rise);
    let half = 2.0 * (2.0 * rise / span).atan();
    let corner = |k: u32| {
        let a = half * (2.0 * f64::from(k) / f64::from(n) - 1.0);
        let (x, y) = (span / 2.0 + radius * a.sin(), radius * a.cos());
        Point::new(x, rise - radius + y, 0.0)
    };
    let count = usize::try_from(n).unwrap_or(0);
    vec![vec![Line::new(
        (0..=n).map(corner).collect(),
        (1..=count).map(Spot::Segment).collect(),
        (1..count).map(Spot::Joint).collect(),
    )]]
}

/// Every run is a line of its own.
fn of_runs(plan: &Plan) -> Vec<Vec<Line>> {
    let own = |(nth, run): (usize, &crate::trim::kinds::RunPlan)| {
        let legs = run.normals.len();
        let name = |spot: fn(String, usize) -> Spot| {
            let run = run.name.clone();
            move |n| spot(run.clone(), n)
        };
        vec![Line {
            rides: Rides::Own(nth),
            ..Line::new(
                run.path.clone(),
                (1..=legs).map(name(Spot::Leg)).collect(),
                (1..legs).map(name(Spot::Corner)).collect(),
            )
        }]
    };
    plan.runs.iter().enumerate().map(own).collect()
}

/// The sort of number of a spot, for whoever reads one.
pub(super) const fn is_length(spot: &Spot) -> bool {
    matches!(spot.is(), Is::Length)
}
