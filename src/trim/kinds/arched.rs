//! A segment of a circle: straight pieces, mitred, or bent in one piece.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{Arched, Build, End};
use crate::trim::sheet::{Bend, Finding, Severity};
use crate::trim::space::{Point, Vector};

use super::parts::{self, Profile};
use super::{Plan, path::Path};

/// The circle of the board's top edge.
struct Circle {
    span: f64,
    rise: f64,
    radius: f64,
    half: f64,
}

impl Circle {
    /// The point at the angle `a` from the middle, clockwise.
    fn point(&self, a: f64) -> Point {
        let (x, y) = (
            self.span / 2.0 + self.radius * a.sin(),
            self.radius * a.cos(),
        );
        Point::new(x, self.rise - self.radius + y, 0.0)
    }

    /// The corners of `n` chords, from left to right.
    fn corners(&self, n: u32) -> impl DoubleEndedIterator<Item = Point> {
        (0..=n).map(move |k| {
            let share = f64::from(k) / f64::from(n);
            self.point(self.half * (2.0 * share - 1.0))
        })
    }
}

/// Chords that stand for the arc in a bent board's outline.
const OUTLINE_CHORDS: u32 = 48;

pub(super) fn plan(arched: &Arched, unit: Unit, say: Rounding) -> Plan {
    let body = &arched.body;
    let (span, rise) = (body.span.inches(), arched.rise.inches());
    let circle = Circle {
        span,
        rise,
        radius: (span * span / 4.0 + rise * rise) / (2.0 * rise),
        half: 2.0 * (2.0 * rise / span).atan(),
    };
    let (cap, crown) = parts::cap_and_crown(body, unit);
    let mut plan = Plan {
        findings: parts::cover("cap", cap.as_ref(), crown.as_ref(), false, say),
        ..Plan::default()
    };
    let chords = match arched.build {
        Build::Segments(n) => n,
        Build::Bent { .. } => OUTLINE_CHORDS,
    };
    let top = circle.corners(chords).rev().map(|p| (p.x, p.y));
    plan.boards.push(parts::backboard(body, top));
    let profiles = [("cap", cap.map(|cap| cap.profile)), ("crown", crown)];
    for (name, profile) in profiles {
        let Some(profile) = profile else { continue };
        match arched.build {
            Build::Segments(n) => {
                let mut corners = circle.corners(n);
                let path = Path::from(corners.next().unwrap_or(circle.point(-circle.half)));
                let path = corners.fold(path, |path, p| path.to(p, Vector::Z));
                let (cos, sin) = (circle.half.cos(), circle.half.sin());
                let radial = |rise: f64| End::Plane([cos, rise, 0.0]);
                plan.runs
                    .push(path.run(name, &profile, radial(sin), radial(-sin)));
            }
            Build::Bent { kerf, depth } => {
                let bend = bend(name, &circle, &profile, kerf.inches(), depth.inches());
                plan.findings.extend(too_tight(&bend, &circle, say));
                plan.bends.push(bend);
            }
        }
    }
    plan
}

fn bend(name: &str, circle: &Circle, profile: &Profile, kerf: f64, depth: f64) -> Bend {
    let arc = 2.0 * circle.half;
    let developed = |v: f64| arc * (circle.radius + v);
    Bend {
        run: name.to_owned(),
        section: profile.section.clone(),
        radius: circle.radius,
        arc,
        developed: developed(0.0),
        inner: developed(-profile.largest(0.0, -1.0)),
        outer: developed(profile.largest(0.0, 1.0)),
        // A hair less, so that an exact whole number stays what it is.
        kerfs: (arc * depth / kerf - 1e-9).ceil().max(0.0),
        kerf_turn: kerf / depth,
    }
}

fn too_tight(bend: &Bend, circle: &Circle, say: Rounding) -> Option<Finding> {
    (bend.inner <= 0.0).then(|| Finding {
        severity: Severity::Error,
        code: "bend-too-tight",
        piece: Some(bend.run.clone()),
        text: format!(
            "The {} reaches past the middle of its circle of radius {}: it cannot be bent to it.",
            bend.run,
            say.words(circle.radius)
        ),
    })
}
