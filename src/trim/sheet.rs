//! What solving a head gives: the cut sheet as plain values.
//!
//! Lengths are inches, angles radians, both unrounded `f64`; wording and
//! rounding belong to whoever shows them.

use super::section::Outline;
use super::space::{Point, Vector};

/// A place on a section: `u` out from what the moulding is fixed to, `v`
/// across it (up for a cap, so a crown has `v` ≤ 0), inches from the
/// reference edge (0, 0).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionPoint {
    /// Along the leg's outward normal **n**.
    pub u: f64,
    /// Along **b** = n × d.
    pub v: f64,
}

/// A solved head.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The head's name.
    pub head: String,
    /// What a person must know, worst first.
    pub findings: Vec<Finding>,
    /// The runs in the order of the design.
    pub runs: Vec<SolvedRun>,
    /// Flat boards to be cut to an outline.
    pub boards: Vec<Board>,
    /// Mouldings bent in one piece; they have no run.
    pub bends: Vec<Bend>,
    /// Saw moves in the two orders of work.
    pub saw_moves: SawMoves,
}

/// A moulding bent in one piece along a circle, with kerfs in its back.
#[derive(Debug, Clone, PartialEq)]
pub struct Bend {
    /// Name of the moulding.
    pub run: String,
    /// Outline of its section, in the order given, not closed.
    pub section: Vec<SectionPoint>,
    /// Of the reference edge, inches.
    pub radius: f64,
    /// The whole arc, radians.
    pub arc: f64,
    /// Developed length of the reference edge, inches.
    pub developed: f64,
    /// Developed length of the lowest edge, inches.
    pub inner: f64,
    /// Developed length of the highest edge, inches.
    pub outer: f64,
    /// How many kerfs, a whole number.
    pub kerfs: f64,
    /// What one kerf turns when closed, radians.
    pub kerf_turn: f64,
}

/// One moulding followed along a path, cut into pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct SolvedRun {
    /// Unique in the head.
    pub name: String,
    /// Outline of the section, in the order given, not closed.
    pub section: Vec<SectionPoint>,
    /// The true curves that the corners stand for, where they are known.
    pub curves: Option<Outline>,
    /// Angle between a sprung crown's flat back and the wall; `None` if solid.
    pub spring: Option<f64>,
    /// The pieces along **d**, from the left.
    pub pieces: Vec<Piece>,
}

impl SolvedRun {
    /// Least and greatest `per_u`·u + `per_v`·v over the section, exact for
    /// curves; inches.
    #[must_use]
    pub fn reach(&self, per_u: f64, per_v: f64) -> (f64, f64) {
        reach(&self.section, self.curves.as_ref(), per_u, per_v)
    }
}

/// Least and greatest `per_u`·u + `per_v`·v over the curves if there are
/// some, else over the corners.
pub(in crate::trim) fn reach(
    corners: &[SectionPoint],
    curves: Option<&Outline>,
    per_u: f64,
    per_v: f64,
) -> (f64, f64) {
    if let Some(curves) = curves {
        return curves.reach(per_u, per_v);
    }
    let none = (f64::INFINITY, f64::NEG_INFINITY);
    corners.iter().fold(none, |(low, high), p| {
        let value = p.along(per_u, per_v);
        (low.min(value), high.max(value))
    })
}

/// The straight stretch of a path that one piece follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Where the reference edge starts.
    pub start: Point,
    /// Where it ends.
    pub end: Point,
    /// Direction from start to end, unit.
    pub d: Vector,
    /// Outward normal of what the leg is fixed to, unit, square to `d`.
    pub n: Vector,
    /// n × d, so that d × b = n.
    pub b: Vector,
}

/// One cut part of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Run name, hyphen, place along **d** from 1.
    pub label: String,
    /// Where it sits.
    pub leg: Leg,
    /// Length of the edge (0, 0): the leg's length.
    pub reference: f64,
    /// Length between the two cuts along the arris the tape hooks on.
    pub tape: f64,
    /// What the stick must give.
    pub overall: f64,
    /// Least length over the section; ≤ 0 means the piece does not exist.
    pub shortest: f64,
    /// The cut at the leg's start.
    pub left: Cut,
    /// The cut at the leg's end.
    pub right: Cut,
}

/// One end of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// Unit normal of the cut plane in the head's space, p·d > 0.
    pub plane: Vector,
    /// What the measured edge is at this end.
    pub point: PointKind,
    /// What the end meets.
    pub joint: Joint,
    /// Label of the piece it closes on.
    pub mate: Option<String>,
    /// The arris the tape hooks on.
    pub hook: SectionPoint,
    /// How the stock lies and how the saw is set.
    pub setting: Setting,
    /// The cut at (u, v) lies `per_u`·u + `per_v`·v further along **d**
    /// than the reference point.
    pub per_u: f64,
    /// See `per_u`.
    pub per_v: f64,
}

/// Which point of the end the measured edge is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointKind {
    /// Neither long nor short.
    Square,
    /// The rest of the section reaches past the measured edge.
    Short,
    /// The rest of the section falls short of the measured edge.
    Long,
    /// Part reaches past, part falls short.
    Mixed,
}

/// What an end meets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joint {
    /// The end of the run.
    End,
    /// A corner that the moulding wraps round, the wall's normal changing.
    PlanOutside,
    /// A corner that the moulding turns into, the wall's normal changing.
    PlanInside,
    /// A corner in one face, turning away from **b**.
    RiseOutside,
    /// A corner in one face, turning towards **b**.
    RiseInside,
}

/// How the stock is held at the saw, and how the saw is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// How the stock lies.
    pub hold: Hold,
    /// Radians from square; positive when the handle goes to the operator's
    /// right.
    pub swing: f64,
    /// Radians from upright; positive when the blade's top leans left.
    pub tilt: f64,
    /// Where the stock stands square to the fence against a block, the long
    /// part towards the operator: the block's side of the stock. `None`: the
    /// stock lies along the fence.
    pub block: Option<Block>,
}

/// On which side of the stock a block stands, for the operator. What is said
/// of the fence in the words of a hold is then true of the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Block {
    /// To the operator's left.
    Left,
    /// To the operator's right.
    Right,
}

/// How the stock lies on the saw. The saw's frame: X right along the fence,
/// Y towards the fence, Z up, operator at −Y.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hold {
    /// Seat against the fence, front edge down.
    OnEdge,
    /// Lying on the seat, back edge to the fence.
    Upright,
    /// Back on the bed, upper edge to the fence.
    Flat,
    /// Upside down, wall side to the fence, top on the bed.
    Inverted,
    /// Sprung crown on its back, the edge that meets the cap to the fence.
    SprungFlat,
    /// The same turned end for end, lower edge to the fence.
    SprungFlatTurned,
    /// Back on the bed, turned end for end, lower edge to the fence.
    FlatTurned,
    /// Sprung crown upside down, standing in its spring angle between fence
    /// and bed: wall edge to the fence, cap edge on the bed.
    SprungNested,
}

impl Hold {
    /// Whether only sprung crown lies so.
    #[must_use]
    pub const fn is_sprung(self) -> bool {
        matches!(
            self,
            Self::SprungFlat | Self::SprungFlatTurned | Self::SprungNested
        )
    }
}

/// Something that a person must know about a head.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How bad it is.
    pub severity: Severity,
    /// Stable code, such as `short-piece`.
    pub code: &'static str,
    /// Label of the piece it is about.
    pub piece: Option<String>,
    /// In plain words.
    pub text: String,
}

/// How bad a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// It cannot be made.
    Error,
    /// It can be made with care.
    Warning,
    /// Good to know.
    Note,
}

/// A flat board cut to an outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Board {
    /// What it is.
    pub label: String,
    /// Corners, anticlockwise seen from the front, inches from the board's
    /// lower left corner.
    pub outline: Vec<(f64, f64)>,
    /// Where that corner stands in the head's space, on the board's face.
    pub origin: Point,
    /// Where the outline's x runs in the head's space, unit.
    pub along: Vector,
    /// Where the outline's y runs; the face looks along `along` × `up`.
    pub up: Vector,
    /// Inches.
    pub thickness: f64,
    /// Edges that are not square to the face.
    pub bevels: Vec<Bevel>,
}

impl Board {
    /// A place of the outline in the head's space, on the board's face.
    #[must_use]
    pub fn place(&self, (x, y): (f64, f64)) -> Point {
        self.origin + self.along * x + self.up * y
    }

    /// Where the face looks.
    #[must_use]
    pub fn normal(&self) -> Vector {
        self.along.cross(self.up)
    }
}

/// An edge of a board that is cut leaning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bevel {
    /// Which edge: from the outline's corner of this number, counted from 0,
    /// to the next.
    pub edge: usize,
    /// Radians from square to the face; positive where the face is longer
    /// than the back.
    pub angle: f64,
}

/// Changes of (swing, tilt), the saw starting square.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SawMoves {
    /// Piece after piece, left end before right.
    pub walk: usize,
    /// All cuts with one setting together: different settings, square not
    /// counted.
    pub gang: usize,
}
