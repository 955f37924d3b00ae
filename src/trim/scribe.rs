//! A head over an opening that is out of level, on a wall out of plumb: what
//! the board and the legs need so that the head hangs true.
//!
//! The head is kept level and the taper taken up where it shows least: the
//! board's lower edge is scribed to the casing, each leg is cut to its own
//! height, the board is packed plumb. Common practice, no source; what the
//! eye forgives is the client's to say.

use super::sheet::{Finding, Severity};
use crate::measure::Rounding;

/// Less than this is left as it is, inches: the joint's own play.
pub const LEAVE: f64 = 1.0 / 16.0;
/// More than this asks for a word with the client, inches.
pub const SPEAK: f64 = 0.5;

/// What was measured of an opening and its wall, inches.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Opening {
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// How much its top rises from left to right over its width; negative
    /// when it falls.
    pub rises: f64,
    /// How far the wall's top stands out past its foot over the height;
    /// negative when it stands in.
    pub leans: f64,
    /// Heights at the left and at the right, for the legs.
    pub sides: Option<(f64, f64)>,
}

/// The head that is to hang there, inches.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Hangs {
    /// Length of the board.
    pub span: f64,
    /// Height of the board at its ends.
    pub board: f64,
    /// From the board's lower edge to the head's highest point.
    pub whole: f64,
    /// How far the cap stands out from the wall.
    pub out: f64,
}

/// What the taper comes to, inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taper {
    /// How much more board the low side needs, over the whole span.
    pub along: f64,
    /// Whether the opening's right end is the low one.
    pub low_right: bool,
    /// Height of the board to order, so that it can be scribed.
    pub board: f64,
    /// How far the head's top stands out (or in, negative) of plumb.
    pub lean: f64,
    /// How much the cap's top falls towards the wall; 0 if it does not.
    pub to_wall: f64,
}

impl Taper {
    /// Reckons it.
    ///
    /// The opening's slope goes on over the whole span, and the wall's over
    /// the whole height: straight lines. 0 where a measure is missing.
    #[must_use]
    pub fn of(opening: &Opening, head: &Hangs) -> Self {
        let share = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
        let along = share(opening.rises, opening.width) * head.span;
        let slope = share(opening.leans, opening.height);
        Self {
            along: along.abs(),
            low_right: along < 0.0,
            board: head.board + along.abs(),
            lean: slope * head.whole,
            to_wall: (-slope * head.out).max(0.0),
        }
    }
}

/// What the carpenter is told, worst first; nothing where it is true enough.
#[must_use]
pub fn advice(opening: &Opening, head: &Hangs, say: Rounding) -> Vec<Finding> {
    let taper = Taper::of(opening, head);
    let mut found = Vec::new();
    found.extend(level(&taper, head, say));
    found.extend(legs(opening, say));
    found.extend(plumb(&taper, say));
    found.extend(falls_in(&taper, say));
    found.sort_by_key(|finding: &Finding| finding.severity);
    found
}

fn finding(code: &'static str, by: f64, text: String) -> Finding {
    Finding {
        severity: if by > SPEAK {
            Severity::Warning
        } else {
            Severity::Note
        },
        code,
        piece: None,
        text,
    }
}

fn level(taper: &Taper, head: &Hangs, say: Rounding) -> Option<Finding> {
    if taper.along <= LEAVE {
        return None;
    }
    let (low, high) = if taper.low_right {
        ("right", "left")
    } else {
        ("left", "right")
    };
    let mut text = format!(
        "Hang the head level and take the taper up in the board's lower edge: {} high at the {high} \
         end, {} at the {low} end, scribed to the casing. Order the board at least {} wide.",
        say.words(head.board),
        say.words(taper.board),
        say.words(taper.board)
    );
    if taper.along > SPEAK {
        text.push_str(
            " So wide a wedge shows: show the client, or split it between the head and the casing.",
        );
    }
    Some(finding("level-taper", taper.along, text))
}

fn legs(opening: &Opening, say: Rounding) -> Option<Finding> {
    let (left, right) = opening.sides?;
    let by = (left - right).abs();
    (by > LEAVE).then(|| {
        let text = format!(
            "The sides differ by {}: cut each leg to its own height, the left from {}, the right \
             from {}, never as a pair.",
            say.words(by),
            say.words(left),
            say.words(right)
        );
        finding("legs-differ", by, text)
    })
}

fn plumb(taper: &Taper, say: Rounding) -> Option<Finding> {
    let by = taper.lean.abs();
    (by > LEAVE).then(|| {
        let (way, edge) = if taper.lean > 0.0 {
            ("out", "lower")
        } else {
            ("in", "top")
        };
        let text = format!(
            "The wall leans {way}: over the head's height that is {}. Pack the board plumb behind \
             its {edge} edge, from nothing to {}, and scribe the returns to the wall; or let it \
             lie on the wall if the casings do.",
            say.words(by),
            say.words(by)
        );
        finding("plumb-taper", by, text)
    })
}

fn falls_in(taper: &Taper, say: Rounding) -> Option<Finding> {
    // A cap that falls to the wall holds water, however little it is: named
    // from a 64th on.
    (taper.to_wall > 1.0 / 64.0).then(|| Finding {
        severity: Severity::Warning,
        code: "cap-falls-in",
        piece: None,
        text: format!(
            "Laid on this wall the cap would fall {} towards it and hold water. Pack the board \
             plumb, or give the flashing that much more slope.",
            say.words(taper.to_wall.max(1.0 / 32.0))
        ),
    })
}
