//! A full pediment: a level cornice with returns, and a gable on it.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{ClosedGable, End, Foot, Wrong};
use crate::trim::space::{Point, Vector};

use super::parts::{self, Profile};
use super::{Plan, flat, path::Path};

/// The left half of the raking line.
struct Rake {
    span: f64,
    thickness: f64,
    /// Where it starts, on the level cap.
    start: Point,
    peak: Point,
    d: Vector,
}

pub(super) fn plan(closed: &ClosedGable, unit: Unit, say: Rounding) -> Result<Plan, Wrong> {
    let body = &closed.body;
    let (span, thickness) = (body.span.inches(), body.board.thickness.inches());
    let pitch = closed.pitch.radians();
    let (cap, crown) = parts::cap_and_crown(body, unit);
    let level_cap = closed.level_cap.map(|cap| parts::cap(&cap, &body.board));
    let level_crown = closed.level_crown.as_ref().map(|c| parts::crown(c, unit));
    let raking = cap.as_ref().map_or(0.0, |cap| cap.thickness / pitch.sin());
    let (on, past) = level_cap
        .as_ref()
        .map_or((0.0, 0.0), |cap| (cap.thickness, cap.overhang));
    let x = (raking - past).max(0.0);
    if x >= span / 2.0 {
        let what = format!(
            "is too flat: the raking cap would meet the level cap {} from the end, past the \
             middle; a steeper pitch or a thinner cap is needed",
            say.words(x)
        );
        return Err(Wrong::new("pitch", what));
    }
    let rake = Rake {
        span,
        thickness,
        start: Point::new(x, on, 0.0),
        peak: Point::new(span / 2.0, on + (span / 2.0 - x) * pitch.tan(), 0.0),
        d: Vector::new(pitch.cos(), pitch.sin(), 0.0),
    };
    let mut plan = Plan::default();
    plan.boards
        .push(parts::backboard(body, [(span, 0.0), (0.0, 0.0)]));
    plan.boards.push(tympanum(&rake));
    plan.findings.extend(parts::cover(
        "level cap",
        level_cap.as_ref(),
        level_crown.as_ref(),
        true,
        say,
    ));
    let returned = closed.foot == Foot::Return;
    plan.findings.extend(parts::cover(
        "cap",
        cap.as_ref(),
        crown.as_ref(),
        returned,
        say,
    ));
    plan.runs
        .extend(level_cap.map(|cap| flat::level_cap("level-cap", span, &cap)));
    plan.runs
        .extend(level_crown.map(|crown| flat::level_crown("level-crown", span, thickness, &crown)));
    let lift = if returned {
        lift(crown.as_ref(), pitch)?
    } else {
        0.0
    };
    if rake.start.x + lift * rake.d.x >= span / 2.0 {
        let what = "is too flat for this crown: its return would stand past the middle";
        return Err(Wrong::new("pitch", what));
    }
    plan.runs.extend(cap.map(|cap| {
        let from = if returned {
            lift - cap.overhang.min(lift)
        } else {
            0.0
        };
        let end = if returned { End::Square } else { End::Level };
        rake.along(from).run("cap", &cap.profile, end, end)
    }));
    plan.runs.extend(crown.map(|crown| {
        if returned {
            rake.returned(lift)
                .run("crown", &crown, End::Square, End::Square)
        } else {
            rake.along(0.0).run("crown", &crown, End::Level, End::Level)
        }
    }));
    Ok(plan)
}

/// How far up the rake the crown's return must start so that nothing of it
/// reaches below the level cap.
fn lift(crown: Option<&Profile>, pitch: f64) -> Result<f64, Wrong> {
    let lift = crown.map_or(0.0, |crown| crown.largest(1.0, -1.0 / pitch.tan()));
    if lift.is_finite() {
        Ok(lift)
    } else {
        Err(Wrong::new("pitch", "is too flat for a return at the foot"))
    }
}

impl Rake {
    fn along(&self, from: f64) -> Path {
        Path::from(self.start + self.d * from)
            .to(self.peak, Vector::Z)
            .and_mirror(self.span)
    }

    fn returned(&self, lift: f64) -> Path {
        let corner = self.start + self.d * lift;
        Path::from(corner - Vector::Z * self.thickness)
            .to(corner, -self.d)
            .to(self.peak, Vector::Z)
            .and_mirror(self.span)
    }
}

/// The board between the level cap and the rakes.
fn tympanum(rake: &Rake) -> crate::trim::sheet::Board {
    let (start, peak) = (rake.start, rake.peak);
    let outline = [
        (start.x, start.y),
        (rake.span - start.x, start.y),
        (peak.x, peak.y),
    ];
    parts::board("tympanum", &outline, rake.thickness)
}
