//! Rakes that stop short of the middle, ended plumb or returned.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{BrokenGable, End, LowerEnd, UpperEnd};
use crate::trim::sheet::{Finding, Severity};
use crate::trim::space::{Point, Vector};

use super::parts::{self, CapSize, Profile};
use super::{Plan, RunPlan, gable, lower_end, path::Path};

/// The left rake and what is needed to run along it.
struct Rake {
    wing: f64,
    thickness: f64,
    /// Its upper end.
    upper: Point,
    /// Its direction, upwards.
    d: Vector,
    upper_end: UpperEnd,
    lower_end: LowerEnd,
    /// How far past the board's end the crown goes on down the rake.
    past: f64,
}

impl Rake {
    /// How cap and crown end at the bottom and at the top.
    fn ends(&self, crown: bool) -> (End, End) {
        let lower = match self.lower_end {
            _ if self.wing > 0.0 => End::Square,
            LowerEnd::Return => End::Square,
            LowerEnd::RakedReturn if crown => lower_end::LEFT_CORNER,
            LowerEnd::Plumb | LowerEnd::RakedReturn => End::Plumb,
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
        } else if self.lower_end == LowerEnd::Return {
            Point::new(0.0, 0.0, 0.0) - self.d * (self.past + cap.overhang)
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
        } else if self.lower_end == LowerEnd::Return {
            let corner = corner - self.d * self.past;
            gable::lower_left(corner, self.d, self.thickness, None)
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
    let (cap, crown) = parts::cap_and_crown(body, unit);
    let past = match (&crown, broken.lower_end) {
        (Some(crown), LowerEnd::Return) => lower_end::past(crown, pitch),
        _ => 0.0,
    };
    let rake = Rake {
        wing,
        thickness: body.board.thickness.inches(),
        upper: Point::new(upper_x, (upper_x - wing) * pitch.tan(), 0.0),
        d: Vector::new(pitch.cos(), pitch.sin(), 0.0),
        upper_end: broken.upper_end,
        lower_end: broken.lower_end,
        past,
    };
    let mut plan = Plan {
        boards: vec![parts::backboard(
            body,
            board_top(&rake, span, crown.as_ref(), body.board.height.inches()),
        )],
        findings: parts::cover("cap", cap.as_ref(), crown.as_ref(), true, say),
        ..Plan::default()
    };
    if let Some(crown) = crown.as_ref().filter(|_| wing <= 0.0) {
        let finding = lower_end::say(broken.lower_end, crown, pitch, say);
        plan.findings.push(finding);
    }
    if broken.upper_end == UpperEnd::Return {
        let finding = gap_left(&rake, gap, cap.as_ref(), crown.as_ref(), say);
        plan.findings.push(finding);
    }
    let cap = cap.map(|cap| ("cap", rake.cap(&cap), cap.profile));
    let crown = crown.map(|crown| ("crown", rake.crown(), crown));
    let runs: Vec<_> = cap.into_iter().chain(crown).collect();
    for (word, path, profile) in &runs {
        let ends = rake.ends(*word == "crown");
        plan.runs
            .push(side("left", word, path.clone(), profile, ends));
    }
    for (word, path, profile) in &runs {
        let (lower, upper) = rake.ends(*word == "crown");
        // Seen in the mirror.
        let lower = match lower {
            End::Plane(_) => lower_end::RIGHT_CORNER,
            other => other,
        };
        plan.runs.push(side(
            "right",
            word,
            path.mirrored(span),
            profile,
            (upper, lower),
        ));
    }
    if let Some((_, path, crown)) = runs.iter().find(|run| run.0 == "crown")
        && wing <= 0.0
        && broken.lower_end == LowerEnd::RakedReturn
    {
        raked_returns(&mut plan, path, span, &rake, crown);
    }
    plan
}

/// Level returns of a raked section at both lower ends.
fn raked_returns(plan: &mut Plan, path: &Path, span: f64, rake: &Rake, crown: &Profile) {
    let profile = lower_end::return_profile(crown, rake.d.y.atan2(rake.d.x));
    let [left, _] = path.ends();
    let [_, right] = path.mirrored(span).ends();
    for run in &mut plan.runs {
        match run.name.as_str() {
            "left-crown" => run.meets[0] = lower_end::mate(true),
            "right-crown" => run.meets[1] = lower_end::mate(false),
            _ => {}
        }
    }
    let legs = plan.runs.iter().find(|run| run.name == "right-crown");
    let last = format!("right-crown-{}", legs.map_or(0, |run| run.normals.len()));
    let thickness = rake.thickness;
    let first = "left-crown-1".to_owned();
    plan.runs.extend([
        lower_end::level_return(true, left, thickness, &profile, first),
        lower_end::level_return(false, right, thickness, &profile, last),
    ]);
}

fn side(side: &str, word: &str, path: Path, profile: &Profile, ends: (End, End)) -> RunPlan {
    path.run(&format!("{side}-{word}"), profile, ends.0, ends.1)
}

/// From right to left: the rakes, and level across between their upper ends.
/// Where the crown returns at the top, the board is cut square to the rake
/// behind the return, down to its lowest arris, so that the return goes in
/// past its end.
fn board_top(rake: &Rake, span: f64, crown: Option<&Profile>, height: f64) -> Vec<(f64, f64)> {
    let (x, y) = (rake.upper.x, rake.upper.y);
    let mut left = vec![(0.0, 0.0)];
    if rake.wing > 0.0 {
        left.push((rake.wing, 0.0));
    }
    left.push((x, y));
    if let (UpperEnd::Return, Some(crown)) = (rake.upper_end, crown) {
        let drop = crown.largest(-rake.d.y, -rake.d.x);
        // Some board must be left below.
        let drop = drop.min((y + height) * 0.9);
        left.push((x + drop * rake.d.y / rake.d.x, y - drop));
    }
    let right = left.iter().map(|p| (span - p.0, p.1));
    right.chain(left.iter().rev().copied()).collect()
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
