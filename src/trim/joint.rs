//! Joint tolerance: how far an error at the saw opens each joint, against the
//! grades of woodwork standards.
//!
//! A cut that is off by δ is its plane turned by δ: about the vertical for
//! the swing, about the blade's line on the bed for the tilt. The mates touch
//! at one edge of the joint's face and gape at the other, by the face's width
//! square to the axis × tan δ for each mate. On a flat mitre with both mates
//! off alike that is the width of the joint's face × 2·tan δ.

use super::sheet::{Cut, Leg, SectionPoint, Sheet};
use super::solve::SawFrame;
use super::source::{Seen, Source};
use super::space::Vector;

/// The errors that are asked about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// Error of swing or tilt in each of the two mates, radians.
    pub angle: f64,
    /// One mate too short by this, inches.
    pub length: f64,
}

impl Default for Errors {
    /// A quarter of a degree and 1/32 in.
    fn default() -> Self {
        Self {
            angle: 0.25_f64.to_radians(),
            length: 1.0 / 32.0,
        }
    }
}

/// How far one joint opens.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// The piece left of the joint.
    pub piece: String,
    /// Its mate.
    pub mate: String,
    /// Gap at the open edge when both swings are off, inches.
    pub by_swing: f64,
    /// Gap at the open edge when both tilts are off, inches.
    pub by_tilt: f64,
    /// Gap all over when one mate is too short, square to the joint's face.
    pub by_length: f64,
    /// Width of the joint's face at the saw, level, inches.
    pub face: f64,
}

impl Opening {
    /// The larger of the two angle errors' gaps.
    #[must_use]
    pub const fn by_angle(&self) -> f64 {
        self.by_swing.max(self.by_tilt)
    }
}

/// How the gap grows over the section: gap = `u`·u + `v`·v, per radian.
#[derive(Debug, Clone, Copy)]
struct Growth {
    u: f64,
    v: f64,
}

impl Growth {
    fn new(cut: &Cut, frame: &SawFrame, along: Vector) -> Self {
        let step = |per: f64, out: Vector| (frame.d * per + out).dot(along);
        Self {
            u: step(cut.per_u, frame.n),
            v: step(cut.per_v, frame.b),
        }
    }

    /// Difference between the open and the touching edge.
    fn range(self, section: &[SectionPoint]) -> f64 {
        let start = (f64::INFINITY, f64::NEG_INFINITY);
        let (low, high) = section.iter().fold(start, |(low, high), p| {
            let x = p.along(self.u, self.v);
            (low.min(x), high.max(x))
        });
        (high - low).max(0.0)
    }
}

/// Growth of the gap by swing and by tilt for one cut; `None` for a plane
/// that lies flat on the bed.
fn growths(cut: &Cut, leg: &Leg, spring: f64) -> Option<(Growth, Growth)> {
    let frame = SawFrame::of(&cut.setting, spring);
    let q = frame.turn(leg, cut.plane);
    let swing = Vector::Z.cross(q);
    let tilt = (Vector::Z - q * q.z).unit()?;
    Some((
        Growth::new(cut, &frame, swing),
        Growth::new(cut, &frame, tilt),
    ))
}

/// Greatest gap of two mates' errors, whichever way each is off.
fn together(one: Growth, two: Growth, section: &[SectionPoint]) -> f64 {
    let sum = |sign: f64| Growth {
        u: one.u + sign * two.u,
        v: one.v + sign * two.v,
    };
    sum(1.0).range(section).max(sum(-1.0).range(section))
}

/// Every joint of a head that two pieces of one run make, in the order of the
/// sheet.
#[must_use]
pub fn openings(sheet: &Sheet, errors: &Errors) -> Vec<Opening> {
    let mut found = Vec::new();
    for run in &sheet.runs {
        let spring = run.spring.unwrap_or(0.0);
        for (one, two) in run.pieces.iter().zip(run.pieces.iter().skip(1)) {
            if one.right.mate.as_deref() != Some(two.label.as_str()) {
                continue;
            }
            let mates =
                growths(&one.right, &one.leg, spring).zip(growths(&two.left, &two.leg, spring));
            let Some(((swing, tilt), (their_swing, their_tilt))) = mates else {
                continue;
            };
            let tan = errors.angle.tan();
            found.push(Opening {
                piece: one.label.clone(),
                mate: two.label.clone(),
                by_swing: tan * together(swing, their_swing, &run.section),
                by_tilt: tan * together(tilt, their_tilt, &run.section),
                by_length: errors.length * one.right.plane.dot(one.leg.d).abs(),
                face: swing.range(&run.section),
            });
        }
    }
    found
}

/// The flat case: a board `width` wide, mitred at `mitre` radians, both mates
/// off by `error` radians; inches.
#[must_use]
pub fn flat_opening(width: f64, mitre: f64, error: f64) -> f64 {
    width / mitre.cos() * 2.0 * error.tan()
}

/// A gap that a standard allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grade {
    /// What it is for.
    pub name: &'static str,
    /// Widest gap, inches.
    pub gap: f64,
    /// Share of the joint's length that may gape so.
    pub share: f64,
    /// For work outdoors.
    pub exterior: bool,
    /// Where it comes from.
    pub source: Source,
}

const AWI: Source = Source::new("AWI Quality Standards 8th ed.", Seen::FromMemory);
const AWS: Source = Source::new(
    "Architectural Woodwork Standards 1st ed. (2009) p. 331",
    Seen::InSource,
);

const fn grade(name: &'static str, gap: f64, share: f64, exterior: bool, source: Source) -> Grade {
    Grade {
        name,
        gap,
        share,
        exterior,
        source,
    }
}

/// The grades for mitres and joints, finest first within each use. Editions
/// differ; the contract's own standard counts.
pub const GRADES: [Grade; 8] = [
    grade("exterior mitre, premium", 0.025, 0.3, true, AWI),
    grade("exterior mitre, custom", 0.050, 0.3, true, AWI),
    grade("exterior mitre, economy", 0.075, 0.3, true, AWI),
    grade("interior mitre, premium", 0.015, 0.2, false, AWI),
    grade("interior mitre, custom", 0.025, 0.2, false, AWI),
    grade("interior mitre, economy", 0.050, 0.2, false, AWI),
    grade("wood to wood, flat", 0.012, 0.3, false, AWS),
    grade("wood to wood, shaped", 0.025, 0.3, false, AWS),
];

/// The finest exterior grade that a gap still meets, `None` past the last.
#[must_use]
pub fn exterior_grade(gap: f64) -> Option<&'static Grade> {
    GRADES
        .iter()
        .find(|grade| grade.exterior && gap <= grade.gap)
}
