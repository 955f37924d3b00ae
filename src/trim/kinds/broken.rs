//! Rakes that stop short of the middle, ended plumb or returned.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{BrokenGable, End, UpperEnd};
use crate::trim::sheet::{Finding, Severity};
use crate::trim::space::{Point, Vector};

use super::parts::{self, CapSize, Profile};
use super::{Plan, RunPlan, gable, path::Path};

/// The left rake and what is needed to run along it.
struct Rake {
    wing: f64,
    thickness: f64,
    /// Its upper end.
    upper: Point,
    /// Its direction, upwards.
    d: Vector,
    upper_end: UpperEnd,
}

impl Rake {
    /// How a run ends at the bottom and at the top.
    fn ends(&self) -> (End, End) {
        let lower = if self.wing > 0.0 {
            End::Square
        } else {
            End::Plumb
        };
        let upper = match self.upper_end {
            UpperEnd::Plumb => End::Plumb,
            UpperEnd::Return => End::Square,
        };
        (lower, upper)
    }

    fn cap(&self, cap: &CapSize) -> Path {
        let start = if self.wing > 0.0 {
            Point::new(-cap.overhang, 0.0, 0.0)
        } else {
            Point::new(0.0, 0.0, 0.0) - self.d * (cap.overhang / self.d.x)
        };
        let past = match self.upper_end {
            UpperEnd::Plumb => 0.0,
            UpperEnd::Return => cap.overhang,
        };
        let path = Path::from(start);
        let path = if self.wing > 0.0 {
            path.to(Point::new(self.wing, 0.0, 0.0), Vector::Z)
        } else {
            path
        };
        path.to(self.upper + self.d * past, Vector::Z)
    }

    fn crown(&self) -> Path {
        let corner = Point::new(0.0, 0.0, 0.0);
        let path = if self.wing > 0.0 {
            gable::lower_left(corner, Vector::X, self.thickness, None)
                .to(Point::new(self.wing, 0.0, 0.0), Vector::Z)
        } else {
            Path::from(corner)
        };
        let path = path.to(self.upper, Vector::Z);
        match self.upper_end {
            UpperEnd::Plumb => path,
            UpperEnd::Return => path.to(self.upper - Vector::Z * self.thickness, self.d),
        }
    }
}

pub(super) fn plan(broken: &BrokenGable, unit: Unit, say: Rounding) -> Plan {
    let body = &broken.body;
    let (span, gap) = (body.span.inches(), broken.gap.inches());
    let (wing, pitch) = (broken.wing.inches(), broken.pitch.radians());
    let upper_x = span / 2.0 - gap / 2.0;
    let rake = Rake {
        wing,
        thickness: body.board.thickness.inches(),
        upper: Point::new(upper_x, (upper_x - wing) * pitch.tan(), 0.0),
        d: Vector::new(pitch.cos(), pitch.sin(), 0.0),
        upper_end: broken.upper_end,
    };
    let (cap, crown) = parts::cap_and_crown(body, unit);
    let mut plan = Plan {
        boards: vec![parts::backboard(body, board_top(&rake, span))],
        findings: parts::cover("cap", cap.as_ref(), crown.as_ref(), true, say),
        ..Plan::default()
    };
    if crown.is_some() && wing <= 0.0 {
        plan.findings.push(gable::raked_return());
    }
    if broken.upper_end == UpperEnd::Return {
        let finding = gap_left(&rake, gap, cap.as_ref(), crown.as_ref(), say);
        plan.findings.push(finding);
    }
    let cap = cap.map(|cap| ("cap", rake.cap(&cap), cap.profile));
    let crown = crown.map(|crown| ("crown", rake.crown(), crown));
    let runs: Vec<_> = cap.into_iter().chain(crown).collect();
    for (word, path, profile) in &runs {
        let (lower, upper) = rake.ends();
        plan.runs
            .push(side("left", word, path.clone(), profile, (lower, upper)));
    }
    for (word, path, profile) in &runs {
        let (lower, upper) = rake.ends();
        plan.runs.push(side(
            "right",
            word,
            path.mirrored(span),
            profile,
            (upper, lower),
        ));
    }
    plan
}

fn side(side: &str, word: &str, path: Path, profile: &Profile, ends: (End, End)) -> RunPlan {
    path.run(&format!("{side}-{word}"), profile, ends.0, ends.1)
}

/// From right to left: the rakes, and level across between their upper ends.
fn board_top(rake: &Rake, span: f64) -> Vec<(f64, f64)> {
    let (x, y) = (rake.upper.x, rake.upper.y);
    let mut top = vec![(span, 0.0)];
    if rake.wing > 0.0 {
        top.push((span - rake.wing, 0.0));
    }
    top.extend([(span - x, y), (x, y)]);
    if rake.wing > 0.0 {
        top.push((rake.wing, 0.0));
    }
    top.push((0.0, 0.0));
    top
}

/// What two upper returns leave of the clear gap.
fn gap_left(
    rake: &Rake,
    gap: f64,
    cap: Option<&CapSize>,
    crown: Option<&Profile>,
    say: Rounding,
) -> Finding {
    let (cos, sin) = (rake.d.x, rake.d.y);
    let cap = cap.map_or(0.0, |cap| cap.overhang * cos);
    let crown = crown.map_or(0.0, |crown| crown.largest(cos, -sin));
    let left = gap - 2.0 * cap.max(crown);
    let (severity, code, text) = if left <= 1e-9 {
        (
            Severity::Error,
            "gap-closed",
            format!(
                "The two upper returns need {}, and the gap is {}: they run into each other. \
                 Widen the gap or end the rakes plumb.",
                say.words(gap - left),
                say.words(gap)
            ),
        )
    } else {
        (
            Severity::Note,
            "gap-left",
            format!(
                "Between the two upper returns a clear gap of {} is left.",
                say.words(left)
            ),
        )
    };
    Finding {
        severity,
        code,
        piece: None,
        text,
    }
}
