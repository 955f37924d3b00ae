//! A level head whose front turns in plan.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{Bay, BayEnds, End, Wrong};
use crate::trim::sheet::{Bevel, Board, Finding, Severity};
use crate::trim::space::{Point, Vector};

use super::parts;
use super::{Plan, path::Path};

/// One face: where it starts, where it runs, where it looks.
struct Face {
    start: Point,
    length: f64,
    d: Vector,
    n: Vector,
}

impl Face {
    fn end(&self) -> Point {
        self.start + self.d * self.length
    }
}

/// The faces from the left. The longest, the first of them if there are
/// several, looks straight out at z = 0; the first starts at x = 0.
fn faces(bay: &Bay) -> Vec<Face> {
    let longest = bay.faces.iter().copied().max().unwrap_or_default();
    let front = bay.faces.iter().position(|f| *f == longest).unwrap_or(0);
    let turns = bay.corners.iter().map(|corner| {
        let turn = std::f64::consts::PI - corner.degrees.to_radians();
        if corner.outside { -turn } else { turn }
    });
    let mut bearings = vec![0.0];
    for turn in turns {
        let last = bearings.last().copied().unwrap_or(0.0);
        bearings.push(last + turn);
    }
    let straight = bearings.get(front).copied().unwrap_or(0.0);
    let mut at = Point::new(0.0, 0.0, 0.0);
    let mut faces = Vec::with_capacity(bay.faces.len());
    for (length, bearing) in bay.faces.iter().zip(bearings) {
        let (sin, cos) = clean(bearing - straight).sin_cos();
        let face = Face {
            start: at,
            length: length.inches(),
            d: Vector::new(cos, 0.0, sin),
            n: Vector::new(-sin, 0.0, cos),
        };
        at = face.end();
        faces.push(face);
    }
    let back = faces.get(front).map_or(0.0, |face| face.start.z);
    for face in &mut faces {
        face.start.z -= back;
    }
    faces
}

/// The angle that sums of turns leave of nothing, as nothing.
fn clean(angle: f64) -> f64 {
    if angle.abs() < 1e-12 { 0.0 } else { angle }
}

/// How a bay's runs end.
pub(super) fn ends(bay: &Bay) -> (End, End) {
    match bay.ends {
        BayEnds::Return => (End::Square, End::Square),
        BayEnds::Wall => (End::Plane([0.0, 0.0, 1.0]), End::Plane([0.0, 0.0, 1.0])),
    }
}

/// Along every face, with returns to the boards' backs at the ends.
pub(super) fn wrapped(bay: &Bay) -> Path {
    let faces = faces(bay);
    let thickness = bay.body.board.thickness.inches();
    let returns = bay.ends == BayEnds::Return;
    let (Some(first), Some(last)) = (faces.first(), faces.last()) else {
        return Path::from(Point::new(0.0, 0.0, 0.0));
    };
    let path = if returns {
        Path::from(first.start - first.n * thickness).to(first.start, -first.d)
    } else {
        Path::from(first.start)
    };
    let path = faces
        .iter()
        .fold(path, |path, face| path.to(face.end(), face.n));
    if returns {
        path.to(last.end() - last.n * thickness, last.d)
    } else {
        path
    }
}

/// Along every face, past the ends by the overhang.
fn cap_path(bay: &Bay, faces: &[Face], overhang: f64) -> Path {
    let past = match bay.ends {
        BayEnds::Return => overhang,
        BayEnds::Wall => 0.0,
    };
    let (Some(first), Some(last)) = (faces.first(), faces.last()) else {
        return Path::from(Point::new(0.0, 0.0, 0.0));
    };
    let mut path = Path::from(first.start - first.d * past);
    for (i, face) in faces.iter().enumerate() {
        let on = if i + 1 == faces.len() { past } else { 0.0 };
        path = path.to(face.end() + last.d * on, face.n);
    }
    path
}

pub(super) fn plan(bay: &Bay, unit: Unit, say: Rounding) -> Result<Plan, Wrong> {
    let faces = faces(bay);
    for end in [faces.first(), faces.last()].into_iter().flatten() {
        if bay.ends == BayEnds::Wall && end.d.z.abs() < 0.02 {
            let what = "is `wall`, but an end face runs along the wall and never meets it; turn \
                        it out of the wall, or end it with a return";
            return Err(Wrong::new("ends", what));
        }
    }
    let (cap, crown) = parts::cap_and_crown(&bay.body, unit);
    let returns = bay.ends == BayEnds::Return;
    let mut plan = Plan {
        findings: parts::cover("cap", cap.as_ref(), crown.as_ref(), returns, say),
        ..Plan::default()
    };
    boards(bay, &faces, say, &mut plan);
    let (start, end) = ends(bay);
    plan.runs.extend(
        cap.map(|cap| cap_path(bay, &faces, cap.overhang).run("cap", &cap.profile, start, end)),
    );
    plan.runs
        .extend(crown.map(|crown| wrapped(bay).run("crown", &crown, start, end)));
    Ok(plan)
}

/// One board a face, bevelled where it meets the next.
fn boards(bay: &Bay, faces: &[Face], say: Rounding, plan: &mut Plan) {
    let board = bay.body.board;
    let (thickness, height) = (board.thickness.inches(), board.height.inches());
    for (i, face) in faces.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|j| faces.get(j));
        let bevels = [
            (1, -lean(bay, face, faces.get(i + 1))),
            (3, lean(bay, face, before)),
        ];
        let label = if faces.len() == 1 {
            "board".to_owned()
        } else {
            format!("board-{}", i + 1)
        };
        let back = bevels
            .iter()
            .fold(face.length, |left, bevel| left - thickness * bevel.1.tan());
        if back <= 1e-9 {
            plan.findings.push(vanishes(&label, face.length, say));
        }
        let leaning = bevels.into_iter().filter(|bevel| bevel.1.abs() > 1e-9);
        plan.boards.push(Board {
            label,
            outline: vec![
                (0.0, 0.0),
                (face.length, 0.0),
                (face.length, height),
                (0.0, height),
            ],
            origin: face.start - Vector::Y * height,
            along: face.d,
            up: Vector::Y,
            thickness,
            bevels: leaning.map(|(edge, angle)| Bevel { edge, angle }).collect(),
        });
    }
}

/// How the cut against `other`, or at a free end, leans along the face as it
/// goes back from it, radians.
fn lean(bay: &Bay, face: &Face, other: Option<&Face>) -> f64 {
    let plane = match (other, bay.ends) {
        (Some(other), _) => face.d + other.d,
        (None, BayEnds::Return) => face.d,
        (None, BayEnds::Wall) => Vector::Z,
    };
    (plane.dot(face.n) / plane.dot(face.d)).atan()
}

fn vanishes(label: &str, length: f64, say: Rounding) -> Finding {
    Finding {
        severity: Severity::Error,
        code: "board-vanishes",
        piece: Some(label.to_owned()),
        text: format!(
            "The bevels of its two ends meet within the board: its face is {}, and nothing is \
             left of its back. A longer face or a thinner board is needed.",
            say.words(length)
        ),
    }
}
