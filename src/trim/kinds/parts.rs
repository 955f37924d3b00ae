//! Measures that several kinds share: sections of cap and crown, and what is
//! said when the cap does not cover the crown.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{Backboard, Body, Cap, Crown, Outline, Section};
use crate::trim::section::Outline as Curved;
use crate::trim::sheet::{Board, Finding, SectionPoint, Severity};
use crate::trim::space::{Point, Vector};

/// A section ready to be run, inches.
#[derive(Debug, Clone)]
pub(super) struct Profile {
    pub section: Vec<SectionPoint>,
    /// The true curves that the corners stand for.
    pub curves: Option<Curved>,
    pub spring: Option<f64>,
}

impl Profile {
    /// The largest `per_u`·u + `per_v`·v over the section, exact for curves.
    pub(super) fn largest(&self, per_u: f64, per_v: f64) -> f64 {
        if let Some(curves) = &self.curves {
            return curves.reach(per_u, per_v).1;
        }
        let all = self.section.iter().map(|p| p.along(per_u, per_v));
        all.fold(f64::NEG_INFINITY, f64::max)
    }

    /// How far it stands out from the face.
    pub(super) fn projection(&self) -> f64 {
        self.largest(1.0, 0.0)
    }
}

/// A cap with its measures in inches.
#[derive(Debug, Clone)]
pub(super) struct CapSize {
    pub thickness: f64,
    pub front: f64,
    pub overhang: f64,
    pub profile: Profile,
}

pub(super) fn cap(cap: &Cap, board: &Backboard) -> CapSize {
    let (thickness, front) = (cap.thickness.inches(), cap.front.inches());
    let back = -board.thickness.inches();
    let corner = |u, v| SectionPoint { u, v };
    // The reference edge is a point of the outline: it is where the board's
    // top front arris meets the seat, and where the cap is measured.
    let section = vec![
        corner(back, 0.0),
        corner(0.0, 0.0),
        corner(front, 0.0),
        corner(front, thickness),
        corner(back, thickness),
    ];
    CapSize {
        thickness,
        front,
        overhang: cap.overhang.inches(),
        profile: Profile {
            section,
            curves: None,
            spring: None,
        },
    }
}

/// Corners of a drawn section, inches, and its curves where it has them.
pub(super) fn drawn(section: &Section, unit: Unit) -> (Vec<SectionPoint>, Option<Curved>) {
    let inch = unit.inches();
    let corner = |p: &[f64; 2]| SectionPoint {
        u: p[0] * inch,
        v: p[1] * inch,
    };
    match section {
        Section::Corners(corners) => (corners.iter().map(corner).collect(), None),
        Section::Curves(curves) => (curves.outline.drawn(), Some(curves.outline.clone())),
    }
}

pub(super) fn crown(crown: &Crown, unit: Unit) -> Profile {
    let corner = |u, v| SectionPoint { u, v };
    let (section, curves) = match &crown.outline {
        Outline::Size { projection, height } => (
            vec![
                corner(0.0, 0.0),
                corner(projection.inches(), 0.0),
                corner(0.0, -height.inches()),
            ],
            None,
        ),
        Outline::Section(section) => drawn(section, unit),
    };
    Profile {
        section,
        curves,
        spring: crown.sprung.map(|angle| angle.radians()),
    }
}

/// Cap and crown of a body.
pub(super) fn cap_and_crown(body: &Body, unit: Unit) -> (Option<CapSize>, Option<Profile>) {
    (
        body.cap.as_ref().map(|c| cap(c, &body.board)),
        body.crown.as_ref().map(|c| crown(c, unit)),
    )
}

/// A board whose face stands at z = 0, from its outline in the head's frame.
pub(super) fn board(label: &str, top: &[(f64, f64)], thickness: f64) -> Board {
    let least = |f: fn(&(f64, f64)) -> f64| top.iter().map(f).fold(f64::INFINITY, f64::min);
    let (x, y) = (least(|p| p.0), least(|p| p.1));
    Board {
        label: label.to_owned(),
        outline: top.iter().map(|p| (p.0 - x, p.1 - y)).collect(),
        origin: Point::new(x, y, 0.0),
        along: Vector::X,
        up: Vector::Y,
        thickness,
        bevels: Vec::new(),
    }
}

/// The backboard: level at the bottom, and along its top the points of `top`
/// from right to left.
pub(super) fn backboard(body: &Body, top: impl IntoIterator<Item = (f64, f64)>) -> Board {
    let bottom = -body.board.height.inches();
    let mut outline = vec![(0.0, bottom), (body.span.inches(), bottom)];
    outline.extend(top);
    board("board", &outline, body.board.thickness.inches())
}

/// What is said where the cap does not reach past the crown. `ends` tells
/// whether the cap's overhang stands over a return of the crown.
pub(super) fn cover(
    what: &str,
    cap: Option<&CapSize>,
    crown: Option<&Profile>,
    ends: bool,
    say: Rounding,
) -> Vec<Finding> {
    let (Some(cap), Some(crown)) = (cap, crown) else {
        return Vec::new();
    };
    let projection = crown.projection();
    let finding = |which: &str, has: f64| Finding {
        severity: Severity::Warning,
        code: "cap-misses-crown",
        piece: None,
        text: format!(
            "The {what}'s {which} is {}, but the crown stands out {}: the cap would not cover \
             it. Common practice: the crown's projection plus about {}.",
            say.words(has),
            say.words(projection),
            say.words(0.5)
        ),
    };
    let mut found = Vec::new();
    if cap.front < projection {
        found.push(finding("front", cap.front));
    }
    if ends && cap.overhang < projection {
        found.push(finding("overhang", cap.overhang));
    }
    found
}
