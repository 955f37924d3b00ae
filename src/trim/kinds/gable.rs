//! Wings and two rakes, with or without drops; with wing 0 a plain peak.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{Drops, End, Gable, LowerEnd};
use crate::trim::sheet::{Board, Finding, Severity};
use crate::trim::space::{Point, Vector};

use super::parts::{self, CapSize, Profile};
use super::{Plan, RunPlan, lower_end, path::Path};

/// The board's top edge from left to right, on its face.
struct Top {
    points: Vec<Point>,
    /// Direction of the first leg.
    first: Vector,
    /// Direction of the last leg.
    last: Vector,
}

/// A drop's measures, inches.
#[derive(Clone, Copy)]
pub(super) struct Drop {
    pub inset: f64,
    pub far: f64,
    pub thickness: f64,
}

pub(super) fn plan(gable: &Gable, unit: Unit, say: Rounding) -> Plan {
    let body = &gable.body;
    let (span, wing) = (body.span.inches(), gable.wing.inches());
    let pitch = gable.pitch.radians();
    let (cap, crown) = parts::cap_and_crown(body, unit);
    let mut plan = Plan {
        boards: boards(gable, span, wing, pitch),
        findings: parts::cover("cap", cap.as_ref(), crown.as_ref(), true, say),
        ..Plan::default()
    };
    let drop = gable
        .drops
        .as_ref()
        .and_then(|drops| drop(drops, wing, say, &mut plan.findings));
    if let (Some(cap), Some(crown), Some(drop)) = (&cap, &crown, &drop) {
        plan.findings.extend(drop_cover(cap, crown, drop, say));
    }
    let top = designed_top(span, wing, pitch);
    if wing > 0.0 {
        plan.runs.extend(cap.map(|cap| winged_cap(&top, &cap)));
        let thickness = body.board.thickness.inches();
        plan.runs
            .extend(crown.map(|crown| winged_crown(&top, thickness, drop, &crown)));
    } else {
        peak(&mut plan, gable, &top, cap.as_ref(), crown.as_ref(), say);
    }
    plan
}

fn designed_top(span: f64, wing: f64, pitch: f64) -> Top {
    let middle = span / 2.0;
    let peak = Point::new(middle, (middle - wing) * pitch.tan(), 0.0);
    if wing > 0.0 {
        let at = |x| Point::new(x, 0.0, 0.0);
        Top {
            points: vec![at(0.0), at(wing), peak, at(span - wing), at(span)],
            first: Vector::X,
            last: Vector::X,
        }
    } else {
        let (cos, sin) = (pitch.cos(), pitch.sin());
        Top {
            points: vec![Point::new(0.0, 0.0, 0.0), peak, Point::new(span, 0.0, 0.0)],
            first: Vector::new(cos, sin, 0.0),
            last: Vector::new(cos, -sin, 0.0),
        }
    }
}

fn winged_cap(top: &Top, cap: &CapSize) -> RunPlan {
    along(top, -cap.overhang, cap.overhang).run("cap", &cap.profile, End::Square, End::Square)
}

/// Cap and crown of a plain peak.
fn peak(
    plan: &mut Plan,
    gable: &Gable,
    top: &Top,
    cap: Option<&CapSize>,
    crown: Option<&Profile>,
    say: Rounding,
) {
    let (pitch, lower) = (gable.pitch.radians(), gable.lower_end);
    let thickness = gable.body.board.thickness.inches();
    if let Some(crown) = crown {
        let finding = lower_end::say(lower, crown, pitch, say);
        plan.findings.push(finding);
    }
    let past = match lower {
        LowerEnd::Return => crown.map_or(0.0, |crown| lower_end::past(crown, pitch)),
        LowerEnd::Plumb | LowerEnd::RakedReturn => 0.0,
    };
    plan.runs.extend(cap.map(|cap| match lower {
        LowerEnd::Return => {
            let past = past + cap.overhang;
            along(top, -past, past).run("cap", &cap.profile, End::Square, End::Square)
        }
        LowerEnd::Plumb | LowerEnd::RakedReturn => {
            let past = cap.overhang / pitch.cos();
            along(top, -past, past).run("cap", &cap.profile, End::Plumb, End::Plumb)
        }
    }));
    let Some(crown) = crown else {
        return;
    };
    match lower {
        LowerEnd::Plumb => {
            let run = along(top, 0.0, 0.0).run("crown", crown, End::Plumb, End::Plumb);
            plan.runs.push(run);
        }
        LowerEnd::Return => {
            plan.runs.push(returned(top, past, thickness, crown));
        }
        LowerEnd::RakedReturn => raked_returns(plan, top, thickness, crown, pitch),
    }
}

/// The crown of a plain peak returned square to the rakes, past the board.
fn returned(top: &Top, past: f64, thickness: f64, crown: &Profile) -> RunPlan {
    let rakes = along(top, -past, past);
    let [start, end] = rakes.ends();
    Path::from(start - Vector::Z * thickness)
        .to(start, -top.first)
        .then(&rakes)
        .to(end - Vector::Z * thickness, top.last)
        .run("crown", crown, End::Square, End::Square)
}

/// The crown of a plain peak between two level returns of a raked section.
fn raked_returns(plan: &mut Plan, top: &Top, thickness: f64, crown: &Profile, pitch: f64) {
    let path = along(top, 0.0, 0.0);
    let [start, end] = path.ends();
    let mut rakes = path.run(
        "crown",
        crown,
        lower_end::LEFT_CORNER,
        lower_end::RIGHT_CORNER,
    );
    rakes.meets = [lower_end::mate(true), lower_end::mate(false)];
    let last = format!("crown-{}", rakes.normals.len());
    let profile = lower_end::return_profile(crown, pitch);
    let left = lower_end::level_return(true, start, thickness, &profile, "crown-1".to_owned());
    let right = lower_end::level_return(false, end, thickness, &profile, last);
    plan.runs.extend([left, rakes, right]);
}

/// The top edge, its ends moved by `start` and `end` along their legs.
fn along(top: &Top, start: f64, end: f64) -> Path {
    let mut points = top.points.clone();
    if let Some(p) = points.first_mut() {
        *p = *p + top.first * start;
    }
    if let Some(p) = points.last_mut() {
        *p = *p + top.last * end;
    }
    let mut points = points.into_iter();
    let path = Path::from(points.next().unwrap_or(Point::new(0.0, 0.0, 0.0)));
    points.fold(path, |path, p| path.to(p, Vector::Z))
}

/// From the wall, round the board's left end, round the drop, along the top
/// edge, and the same on the right.
fn winged_crown(top: &Top, thickness: f64, drop: Option<Drop>, crown: &Profile) -> RunPlan {
    let [start, inner @ .., end] = top.points.as_slice() else {
        return along(top, 0.0, 0.0).run("crown", crown, End::Square, End::Square);
    };
    let mut path = lower_left(*start, top.first, thickness, drop);
    for &p in inner {
        path = path.to(p, Vector::Z);
    }
    let (end, d) = (*end, top.last);
    if let Some(drop) = drop {
        let at = |back: f64, out: f64| end - d * back + Vector::Z * out;
        path = path
            .to(at(drop.far, 0.0), Vector::Z)
            .to(at(drop.far, drop.thickness), -d)
            .to(at(drop.inset, drop.thickness), Vector::Z)
            .to(at(drop.inset, 0.0), d);
    }
    path.to(end, Vector::Z)
        .to(end - Vector::Z * thickness, d)
        .run("crown", crown, End::Square, End::Square)
}

/// The crown's start at a board's left end: from the wall, and round a drop.
pub(super) fn lower_left(end: Point, d: Vector, thickness: f64, drop: Option<Drop>) -> Path {
    let path = Path::from(end - Vector::Z * thickness).to(end, -d);
    let Some(drop) = drop else {
        return path;
    };
    let at = |along: f64, out: f64| end + d * along + Vector::Z * out;
    path.to(at(drop.inset, 0.0), Vector::Z)
        .to(at(drop.inset, drop.thickness), -d)
        .to(at(drop.far, drop.thickness), Vector::Z)
        .to(at(drop.far, 0.0), d)
}

/// The drop's measures if the crown can go round it.
fn drop(drops: &Drops, wing: f64, say: Rounding, findings: &mut Vec<Finding>) -> Option<Drop> {
    let drop = Drop {
        inset: drops.inset.inches(),
        far: drops.inset.inches() + drops.width.inches(),
        thickness: drops.thickness.inches(),
    };
    let left = wing - drop.far;
    let (code, text) = if left < -1e-9 {
        (
            "drop-outside-wing",
            format!(
                "The drop ends {} from the board's end, past the wing of {}: a smaller drop or \
                 inset, or a longer wing, is needed. The crown is reckoned without the drops.",
                say.words(drop.far),
                say.words(wing)
            ),
        )
    } else if left < 1e-6 {
        (
            "piece-vanishes",
            "The drop ends at the foot: no wood is left for the transition piece. The crown is \
             reckoned without the drops."
                .to_owned(),
        )
    } else {
        return Some(drop);
    };
    findings.push(Finding {
        severity: Severity::Error,
        code,
        piece: None,
        text,
    });
    None
}

/// Round a drop the crown stands out further.
fn drop_cover(cap: &CapSize, crown: &Profile, drop: &Drop, say: Rounding) -> Option<Finding> {
    let out = crown.projection() + drop.thickness;
    // Where the cap misses the crown on the board itself, that is said
    // already.
    let misses = cap.front < out && cap.front >= crown.projection();
    misses.then(|| Finding {
        severity: Severity::Warning,
        code: "cap-misses-drop",
        piece: None,
        text: format!(
            "Round the drop the crown stands out {} from the board, but the cap's front only {}.",
            say.words(out),
            say.words(cap.front)
        ),
    })
}

/// Why a plain peak's crown has no returns.
pub(super) fn raked_return() -> Finding {
    Finding {
        severity: Severity::Note,
        code: "raked-return",
        piece: None,
        text: "The rakes run out at the board's ends, so the crown has no return there: a level \
               return does not close on a rake with the same section. Cut the ends plumb, draw \
               a raked section for the return, or give the head wings."
            .to_owned(),
    }
}

fn boards(gable: &Gable, span: f64, wing: f64, pitch: f64) -> Vec<Board> {
    let middle = span / 2.0;
    let peak = (middle, (middle - wing) * pitch.tan());
    let mut top = vec![(span, 0.0)];
    if wing > 0.0 {
        top.extend([(span - wing, 0.0), peak, (wing, 0.0)]);
    } else {
        top.push(peak);
    }
    top.push((0.0, 0.0));
    let mut boards = vec![parts::backboard(&gable.body, top)];
    if let Some(drops) = &gable.drops {
        let left = drops.inset.inches();
        let right = span - left - drops.width.inches();
        boards.push(drop_board("drop-1", drops, left));
        boards.push(drop_board("drop-2", drops, right));
    }
    boards
}

/// A drop's own outline: its top at the board's top edge, its point below.
fn drop_board(label: &str, drops: &Drops, x: f64) -> Board {
    let (width, bottom) = (drops.width.inches(), -drops.length.inches());
    let point = width / 2.0 * drops.point_degrees.to_radians().tan();
    let mut outline = vec![(x, bottom + point)];
    if point > 0.0 {
        outline.push((x + width / 2.0, bottom));
    }
    outline.extend([(x + width, bottom + point), (x + width, 0.0), (x, 0.0)]);
    let mut board = parts::board(label, &outline, drops.thickness.inches());
    board.origin.z = drops.thickness.inches();
    board
}
