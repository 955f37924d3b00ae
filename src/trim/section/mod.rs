//! Moulding sections, kept exactly as the curves they are: lines, circular
//! arcs, conics and cubics.
//!
//! Coordinates are the engine's: `u` out from what the moulding is fixed to,
//! `v` up, inches, (0, 0) the reference edge; a crown has `v` ≤ 0.
//! Constructions of classical mouldings are in [`parts`], readers of drawn
//! outlines in [`svg_path`] and [`dxf`].

mod crossing;
mod curve;
mod measure;
mod outline;
mod plane;
mod reshape;
mod rip;
mod strike;

pub mod dxf;
pub mod json;
pub mod measured;
pub mod parts;
pub mod svg_file;
pub mod svg_path;

pub use curve::Curve;
pub use outline::{Extents, MAX_CURVES, MAX_REACH, NotAnOutline, Outline};
pub use plane::{Affine, Shift, place, shift};
pub use rip::{Cut, Ripped, rip};

use crate::measure::SpringAngle;

use super::sheet::SectionPoint;

/// A moulding's section.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// The closed outline.
    pub outline: Outline,
    /// What its back is.
    pub back: Back,
}

/// What lies against the wall.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Back {
    /// The section fills the corner: its back is against the wall itself.
    #[default]
    Solid,
    /// A flat back that leans from the wall by this angle; behind it is air.
    Sprung(SpringAngle),
}

/// A corner of a section: where the outline turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arris {
    /// Its place.
    pub at: SectionPoint,
    /// Index of the curve that leaves it.
    pub curve: usize,
    /// How far the outline turns there, radians, positive anticlockwise.
    pub turn: f64,
}

/// Straight lines drawn for a curve stay this close to it, inches: what a
/// sharp pencil cannot show.
pub const DRAWN_TOLERANCE: f64 = 0.0005;

/// The most corners drawn for one outline of curves.
pub const DRAWN_CORNERS: usize = 400;

/// An outline turns by more than this, radians, at an arris that shows and
/// that a tape can hook on: 15°.
pub const ARRIS_TURN: f64 = 0.26;

impl Outline {
    /// Corners to draw it by.
    #[must_use]
    pub fn drawn(&self) -> Vec<SectionPoint> {
        self.corners(DRAWN_TOLERANCE, DRAWN_CORNERS)
    }

    /// The corners where the outline turns by more than `least` radians, in
    /// the order of the outline.
    #[must_use]
    pub fn arrises(&self, least: f64) -> Vec<Arris> {
        let curves = self.curves();
        let before = curves.iter().cycle().skip(curves.len().saturating_sub(1));
        let corner = |(i, (a, b)): (usize, (&Curve, &Curve))| {
            let (reaching, leaving) = (a.reaching()?, b.leaving()?);
            let turn = reaching.cross(leaving).atan2(reaching.dot(leaving));
            (turn.abs() > least).then_some(Arris {
                at: b.from(),
                curve: i,
                turn,
            })
        };
        before.zip(curves).enumerate().filter_map(corner).collect()
    }
}

impl Section {
    /// The corners where the outline turns by more than `least` radians, in
    /// the order of the outline.
    #[must_use]
    pub fn arrises(&self, least: f64) -> Vec<Arris> {
        self.outline.arrises(least)
    }
}

/// The angle between the wall and the longest straight face that looks back
/// and up: the flat back of a sprung moulding. `None` if there is none that
/// leans by 5° to 85°.
#[must_use]
pub fn flat_back(outline: &Outline) -> Option<SpringAngle> {
    let turn = if outline.anticlockwise() { 1.0 } else { -1.0 };
    let lean = |curve: &Curve| {
        let Curve::Line { from, to } = *curve else {
            return None;
        };
        // Outward of an anticlockwise outline is right of its direction.
        let (du, dv) = ((to.u - from.u) * turn, (to.v - from.v) * turn);
        let angle = du.abs().atan2(dv.abs()).to_degrees();
        (dv < 0.0 && du < 0.0 && (5.0..=85.0).contains(&angle))
            .then(|| (from.distance(to), SpringAngle::from_degrees(angle)))
    };
    let backs = outline.curves().iter().filter_map(lean);
    let longest = backs.reduce(|a, b| if b.0 > a.0 { b } else { a });
    longest.map(|(_, angle)| angle)
}

/// An outline moved so that its back stands at u = 0 and its top at v = 0, as
/// a crown hangs from its reference edge; mirrored first if it is drawn with
/// its face to the left.
#[must_use]
pub fn settled(outline: &Outline, faces_left: bool) -> Outline {
    let facing = if faces_left {
        outline.mapped(&Affine::scaled(-1.0, 1.0))
    } else {
        outline.clone()
    };
    let extents = facing.extents();
    facing.mapped(&Affine::moved(shift(-extents.u_low, -extents.v_high)))
}
