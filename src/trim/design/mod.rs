//! A head as it is typed and stored: the design, before anything is solved.
//!
//! Lengths are exact ([`Length`]); the coordinates of a general run are
//! numbers in the design's unit, since rounding a path's corner would open
//! its joints. [`Design`] reads and writes the JSON of the public contract.

pub(in crate::trim) mod fields;
mod parts;
pub(in crate::trim) mod read;
mod read_parts;
mod read_runs;
mod read_section;
mod write;
mod write_parts;

use crate::measure::{Length, SpringAngle, Unit};

use super::built::AsBuilt;
use super::section;
use super::sheet::Hold;
pub use super::wrong::Wrong;
pub use parts::{
    Apron, Band, Bay, BayEnds, Block, Key, LegSort, Legs, Meets, Part, PlanCorner, Sill,
};

/// The most pieces that one head may have.
pub const MAX_PIECES: usize = 500;

/// A head's design.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// The unit of lengths typed without one, and of a run's coordinates.
    pub unit: Unit,
    /// What people call the head; may be empty.
    pub name: String,
    /// What sort of head, and its measures.
    pub kind: Kind,
    /// Casings or pilasters below it.
    pub legs: Option<Legs>,
    /// Limits of the saw it will be cut on.
    pub saw: Option<Saw>,
    /// What was measured on the head that was really made.
    pub as_built: Option<AsBuilt>,
}

/// The kinds of head.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A level head.
    Flat(Body),
    /// Wings and two rakes; with wing 0 a plain peak.
    Gable(Gable),
    /// A full pediment: a level cornice and a gable on it.
    ClosedGable(ClosedGable),
    /// The rakes stop short of the middle.
    BrokenGable(BrokenGable),
    /// A segment of a circle.
    Arched(Arched),
    /// A level head whose front turns in plan.
    Bay(Bay),
    /// Several assemblies in one head.
    Assembly(Vec<Part>),
    /// Any mouldings on any polylines.
    Runs(Vec<Run>),
}

impl Kind {
    /// The contract's word for it.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Flat(_) => "flat",
            Self::Gable(_) => "gable",
            Self::ClosedGable(_) => "closed-gable",
            Self::BrokenGable(_) => "broken-gable",
            Self::Arched(_) => "arched",
            Self::Bay(_) => "bay",
            Self::Assembly(_) => "assembly",
            Self::Runs(_) => "runs",
        }
    }

    /// What every kind has that stands on a board of its own.
    #[must_use]
    pub const fn body(&self) -> Option<&Body> {
        match self {
            Self::Flat(body) => Some(body),
            Self::Gable(gable) => Some(&gable.body),
            Self::ClosedGable(closed) => Some(&closed.body),
            Self::BrokenGable(broken) => Some(&broken.body),
            Self::Arched(arched) => Some(&arched.body),
            Self::Bay(bay) => Some(&bay.body),
            Self::Assembly(_) | Self::Runs(_) => None,
        }
    }
}

/// What every kind has that stands on a board of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Length of the board, end to end.
    pub span: Length,
    /// The flat body, fixed to the wall.
    pub board: Backboard,
    /// What lies on the board's top edge.
    pub cap: Option<Cap>,
    /// The moulding under the cap.
    pub crown: Option<Crown>,
    /// A smaller moulding that follows the crown below it.
    pub bed: Option<Band>,
    /// A smaller level moulding low on the board.
    pub neck: Option<Band>,
    /// The block at the centre.
    pub key: Option<Key>,
}

/// The flat body of a head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Backboard {
    /// From wall to face.
    pub thickness: Length,
    /// At the wing, below its top edge.
    pub height: Length,
}

/// The board or moulding lying on the board's top edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cap {
    /// Square to the edge it lies on.
    pub thickness: Length,
    /// How far it stands out from the board's *face*; its back is flush with
    /// the board's back.
    pub front: Length,
    /// How far it runs past the board's end, measured level; may be 0.
    pub overhang: Length,
}

/// The moulding under the cap.
#[derive(Debug, Clone, PartialEq)]
pub struct Crown {
    /// Its outline.
    pub outline: Outline,
    /// Spring angle if it is sprung, `None` if its back is solid.
    pub sprung: Option<SpringAngle>,
}

/// A crown's outline.
#[derive(Debug, Clone, PartialEq)]
pub enum Outline {
    /// Only its size is known; a triangle stands for it.
    Size {
        /// Out from the face.
        projection: Length,
        /// Down from the board's top edge.
        height: Length,
    },
    /// It is drawn.
    Section(Section),
}

/// A drawn section.
#[derive(Debug, Clone, PartialEq)]
pub enum Section {
    /// Corners (u, v) in the design's unit.
    Corners(Vec<[f64; 2]>),
    /// True curves.
    Curves(Box<Curves>),
}

/// A section of true curves, copied into the design: a later change of the
/// shelf does not change a drawn head.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    /// The outline, inches.
    pub outline: section::Outline,
    /// The entry of the shelf that it was copied from.
    pub shelf: Option<Shelf>,
}

/// An entry of the shelf of sections.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shelf {
    /// Which, a number of the program's own.
    pub id: i64,
    /// Its name when it was copied.
    pub name: String,
    /// Its version when it was copied.
    pub version: i64,
}

/// How steep a rake is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pitch {
    /// So much up for so much along.
    Slope {
        /// Up.
        rise: f64,
        /// Along.
        run: f64,
    },
    /// Degrees from level.
    Degrees(f64),
}

impl Pitch {
    /// Radians from level.
    #[must_use]
    pub fn radians(self) -> f64 {
        match self {
            Self::Slope { rise, run } => rise.atan2(run),
            Self::Degrees(degrees) => degrees.to_radians(),
        }
    }
}

/// Wings and two rakes.
#[derive(Debug, Clone, PartialEq)]
pub struct Gable {
    /// Board, cap and crown.
    pub body: Body,
    /// Level part of the top edge at each side; 0 for a plain peak.
    pub wing: Length,
    /// Of both rakes.
    pub pitch: Pitch,
    /// Pendant blocks, one on each wing.
    pub drops: Option<Drops>,
    /// How the rakes end at the bottom where there are no wings.
    pub lower_end: LowerEnd,
}

/// A pendant block on each wing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drops {
    /// Along the wall.
    pub width: Length,
    /// Out from the board's face.
    pub thickness: Length,
    /// From the board's end to the drop; may be 0.
    pub inset: Length,
    /// With its point.
    pub length: Length,
    /// Swing of the two cuts that make the point; 0 for a square end.
    pub point_degrees: f64,
}

/// A full pediment.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosedGable {
    /// Board, raking cap and raking crown.
    pub body: Body,
    /// Of both rakes.
    pub pitch: Pitch,
    /// The level cornice's cap.
    pub level_cap: Option<Cap>,
    /// The level cornice's crown.
    pub level_crown: Option<Crown>,
    /// How the rakes end at the bottom.
    pub foot: Foot,
}

/// How a closed gable's rakes end at the bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Foot {
    /// Cut level, sitting on the level cornice.
    LevelCut,
    /// Returned to the wall.
    Return,
}

/// Rakes that stop short of the middle.
#[derive(Debug, Clone, PartialEq)]
pub struct BrokenGable {
    /// Board, cap and crown.
    pub body: Body,
    /// Level part of the top edge at each side; 0 for none.
    pub wing: Length,
    /// Of both rakes.
    pub pitch: Pitch,
    /// Clear gap between the rakes' upper ends.
    pub gap: Length,
    /// How the rakes end at the top.
    pub upper_end: UpperEnd,
    /// How they end at the bottom where there are no wings.
    pub lower_end: LowerEnd,
}

/// How the rakes of a head without wings end at the bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LowerEnd {
    /// Cut plumb, no return.
    Plumb,
    /// The crown goes on past the board's end and returns square to the rake.
    Return,
    /// The crown returns level to the wall; the return has a raked section.
    RakedReturn,
}

/// How a broken gable's rakes end at the top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UpperEnd {
    /// Cut plumb.
    Plumb,
    /// Returned square to the rake.
    Return,
}

/// A segment of a circle.
#[derive(Debug, Clone, PartialEq)]
pub struct Arched {
    /// Board, cap and crown.
    pub body: Body,
    /// Of the board's top edge, from the ends to the middle.
    pub rise: Length,
    /// How it is made.
    pub build: Build,
}

/// How an arched moulding is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Build {
    /// So many straight pieces, mitred.
    Segments(u32),
    /// Bent in one piece, with kerfs in its back.
    Bent {
        /// Width of a kerf.
        kerf: Length,
        /// Depth of a kerf.
        depth: Length,
    },
}

/// One moulding on one polyline; coordinates in the design's unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Unique in the head.
    pub name: String,
    /// Its outline.
    pub section: Section,
    /// Ways to hold it, the best first; empty for those its name stands for.
    pub holds: Vec<Hold>,
    /// Between a sprung moulding's flat back and the wall.
    pub spring: Option<SpringAngle>,
    /// Vertices (x, y, z).
    pub path: Vec<[f64; 3]>,
    /// Outward normal of what each leg is fixed to.
    pub normals: Vec<[f64; 3]>,
    /// How it starts.
    pub start: End,
    /// How it ends.
    pub end: End,
    /// Labels of the pieces of other runs that its start and end close on.
    pub meets: [Option<String>; 2],
}

/// How a run starts or ends.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum End {
    /// Square to its leg.
    #[default]
    Square,
    /// In an upright plane square to its leg's level direction.
    Plumb,
    /// In a level plane.
    Level,
    /// In the plane with this normal.
    Plane([f64; 3]),
}

/// Limits of a saw; what is missing does not limit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Saw {
    /// Most swing with the handle to the operator's left, degrees.
    pub swing_left: Option<f64>,
    /// Most swing with the handle to the operator's right, degrees.
    pub swing_right: Option<f64>,
    /// Most tilt with the blade's top to the left, degrees.
    pub tilt_left: Option<f64>,
    /// Most tilt with the blade's top to the right, degrees.
    pub tilt_right: Option<f64>,
    /// Tallest stock that stands at the fence.
    pub max_height: Option<Length>,
    /// Widest stock that lies on the bed.
    pub max_depth: Option<Length>,
    /// What the blade eats.
    pub kerf: Option<Length>,
    /// How sprung crown is held; `None`: as its run says.
    pub sprung: Option<SprungWay>,
}

/// How sprung crown is held at a saw.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SprungWay {
    /// On its back: compound cuts.
    Flat,
    /// Standing in its spring angle between fence and bed: plain swing at
    /// plan corners.
    Nested,
}

impl SprungWay {
    /// The contract's word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Nested => "nested",
        }
    }

    /// From its word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Flat, Self::Nested]
            .into_iter()
            .find(|way| way.word() == word)
    }
}
