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

impl Section {
    /// The corners where the outline turns by more than `least` radians, in
    /// the order of the outline.
    #[must_use]
    pub fn arrises(&self, least: f64) -> Vec<Arris> {
        let curves = self.outline.curves();
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
