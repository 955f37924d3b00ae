//! What can be measured on a head, by name.

/// Whether a spot is a length or an angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Is {
    /// A length along an edge.
    Length,
    /// Half the turn at a corner, degrees.
    Mitre,
    /// From level, degrees.
    Slope,
}

/// One edge, corner or slope of a head.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// A flat head's top edge.
    Top,
    /// A closed gable's level edge.
    Level,
    /// The level part at the left.
    LeftWing,
    /// Where the left wing meets its rake.
    LeftFoot,
    /// How steep the left rake is, where it has no foot.
    LeftSlope,
    /// The left rake's edge.
    LeftRake,
    /// Where the rakes meet.
    Peak,
    /// The right rake's edge.
    RightRake,
    /// How steep the right rake is, where it has no foot.
    RightSlope,
    /// Where the right wing meets its rake.
    RightFoot,
    /// The level part at the right.
    RightWing,
    /// A bent arch from end to end.
    Span,
    /// A bent arch from its ends to its middle.
    Rise,
    /// A straight piece of an arch, from 1 at the left.
    Segment(usize),
    /// Where an arch's straight pieces meet, from 1 at the left.
    Joint(usize),
    /// A leg of the run of this name, from 1 along it.
    Leg(String, usize),
    /// A corner of the run of this name, from 1 along it.
    Corner(String, usize),
}

/// The spots with a field of their own in the contract's `as_built`.
const NAMED: [(Spot, &str, &str); 13] = [
    (Spot::Top, "top", "top edge"),
    (Spot::Level, "level", "level edge"),
    (Spot::LeftWing, "left_wing", "left wing"),
    (Spot::LeftFoot, "left_foot_degrees", "left foot"),
    (Spot::LeftSlope, "left_slope_degrees", "left slope"),
    (Spot::LeftRake, "left_rake", "left rake"),
    (Spot::Peak, "peak_degrees", "peak"),
    (Spot::RightRake, "right_rake", "right rake"),
    (Spot::RightSlope, "right_slope_degrees", "right slope"),
    (Spot::RightFoot, "right_foot_degrees", "right foot"),
    (Spot::RightWing, "right_wing", "right wing"),
    (Spot::Span, "span", "span"),
    (Spot::Rise, "rise", "rise"),
];

impl Spot {
    /// The spot of a field of `as_built`.
    pub(super) fn named(field: &str) -> Option<Self> {
        let found = NAMED.iter().find(|(_, name, _)| *name == field);
        found.map(|(spot, ..)| spot.clone())
    }

    fn row(&self) -> Option<&'static (Self, &'static str, &'static str)> {
        NAMED.iter().find(|(spot, ..)| spot == self)
    }

    /// What sort of number it is.
    #[must_use]
    pub const fn is(&self) -> Is {
        match self {
            Self::LeftFoot | Self::RightFoot | Self::Peak | Self::Joint(_) | Self::Corner(..) => {
                Is::Mitre
            }
            Self::LeftSlope | Self::RightSlope => Is::Slope,
            _ => Is::Length,
        }
    }

    /// Where it stands in `as_built`: `left_rake`, `segments[2]`,
    /// `runs.crown.legs[0]`; places in lists count from 0 as in JSON.
    #[must_use]
    pub fn path(&self) -> String {
        if let Some((_, name, _)) = self.row() {
            return (*name).to_owned();
        }
        let place = |n: &usize| n.saturating_sub(1);
        match self {
            Self::Segment(n) => format!("segments[{}]", place(n)),
            Self::Joint(n) => format!("joints_degrees[{}]", place(n)),
            Self::Leg(run, n) => format!("runs.{run}.legs[{}]", place(n)),
            Self::Corner(run, n) => format!("runs.{run}.corners_degrees[{}]", place(n)),
            _ => String::new(),
        }
    }

    /// In the words of the trade: `left rake`, `leg 2 of crown`.
    #[must_use]
    pub fn label(&self) -> String {
        if let Some((.., label)) = self.row() {
            return (*label).to_owned();
        }
        match self {
            Self::Segment(n) => format!("piece {n} of the arch"),
            Self::Joint(n) => format!("joint {n} of the arch"),
            Self::Leg(run, n) => format!("leg {n} of {run}"),
            Self::Corner(run, n) => format!("corner {n} of {run}"),
            _ => String::new(),
        }
    }
}
