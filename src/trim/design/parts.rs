//! What a head may have beside board, cap and crown: smaller mouldings, a
//! key, legs, a front that turns in plan, parts of its own.

use crate::measure::Length;

use super::{Body, Crown, Kind};

/// A smaller moulding below the crown.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// From the board's top edge down to its own top, square to the edge it
    /// follows.
    pub below: Length,
    /// Its size and back.
    pub moulding: Crown,
}

/// The block at the centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// Along the wall at its top.
    pub width_top: Length,
    /// Along the wall at its bottom.
    pub width_bottom: Length,
    /// From bottom to top.
    pub height: Length,
    /// Of the stock it is cut from.
    pub thickness: Length,
    /// How far its face stands out from the board's face; its thickness if
    /// nothing is said. Less means that it is let into the board.
    pub projection: Option<Length>,
    /// How far its top stands above the board's top edge at the middle;
    /// negative below it.
    pub above: Length,
    /// What mouldings do that meet it.
    pub mouldings: Meets,
}

/// What a moulding does at the key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meets {
    /// It goes round it, in plan corners.
    Break,
    /// It stops against it on both sides.
    Butt,
}

/// What stands at both sides of the opening, and what lies under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Legs {
    /// What they are called.
    pub sort: LegSort,
    /// Along the wall.
    pub width: Length,
    /// Out from the wall.
    pub thickness: Length,
    /// Clear width between the jambs.
    pub opening_width: Length,
    /// Clear height from the floor or the sill to the head of the opening.
    pub opening_height: Length,
    /// How far legs and head stand back from the opening's edges; may be 0.
    pub reveal: Length,
    /// Blocks that they stand on.
    pub plinth: Option<Block>,
    /// Blocks between them and the head.
    pub cap_block: Option<Block>,
    /// Under the opening.
    pub sill: Option<Sill>,
    /// Under the sill.
    pub apron: Option<Apron>,
}

/// What legs are called.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LegSort {
    /// Plain side trim.
    Casing,
    /// Side trim treated as a pillar.
    Pilaster,
}

impl LegSort {
    /// The trade's word, which is the contract's too.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Casing => "casing",
            Self::Pilaster => "pilaster",
        }
    }
}

/// A plinth or a cap block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Along the wall; it stands out past the leg equally at both sides.
    pub width: Length,
    /// Up.
    pub height: Length,
    /// Out from the wall.
    pub thickness: Length,
}

/// What lies under an opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sill {
    /// Of the stock.
    pub thickness: Length,
    /// How far it stands out from the wall.
    pub front: Length,
    /// How deep it goes into the opening, between the horns; may be 0.
    pub into: Length,
    /// How far each horn runs past the leg's outer edge; may be 0.
    pub horn: Length,
    /// How much its top falls outwards, degrees from level; may be 0.
    pub slope_degrees: f64,
}

/// The board under a sill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apron {
    /// Up.
    pub height: Length,
    /// Out from the wall.
    pub thickness: Length,
    /// From the leg's outer edge to its end; may be 0.
    pub inset: Length,
}

/// A level head whose front turns in plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Bay {
    /// Board, cap and mouldings; its span is the sum of the faces.
    pub body: Body,
    /// Lengths of the faces, measured on the boards' faces, from the left.
    pub faces: Vec<Length>,
    /// The corner after each face but the last.
    pub corners: Vec<PlanCorner>,
    /// What happens at the ends.
    pub ends: BayEnds,
}

/// A corner seen from above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanCorner {
    /// Between the two faces, as a bevel gauge reads it in the angle under
    /// 180°.
    pub degrees: f64,
    /// Whether mouldings wrap round it rather than turn into it.
    pub outside: bool,
}

/// What happens at the ends of a bay.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BayEnds {
    /// Mouldings return square to the end faces.
    Return,
    /// The end faces run into a wall that is parallel to the longest face,
    /// and everything is cut to it.
    Wall,
}

/// One assembly of a head made of several.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Unique in the head; its labels begin with it.
    pub name: String,
    /// Where its own origin stands, right and up, in the design's unit.
    pub at: [f64; 2],
    /// What it is.
    pub kind: Kind,
    /// Casings or pilasters below it.
    pub legs: Option<Legs>,
}
