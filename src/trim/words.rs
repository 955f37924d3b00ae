//! The trade's words for holds, saw settings, points and lengths, in one
//! place, so that page, table and picture agree.

use super::sheet::{Block, Board, Hold, Joint, PointKind, Setting};
use crate::measure::Rounding;

/// How the stock lies on the saw, in full.
///
/// ```
/// use headwright::trim::{sheet::Hold, words::hold_words};
/// assert_eq!(hold_words(Hold::Flat), "on its back: upper edge to the fence");
/// ```
#[must_use]
pub const fn hold_words(hold: Hold) -> &'static str {
    match hold {
        Hold::OnEdge => "on edge: seat to the fence, front edge down",
        Hold::Upright => "on its seat: back edge to the fence",
        Hold::Flat => "on its back: upper edge to the fence",
        Hold::Inverted => "upside down: wall side to the fence, top on the bed",
        Hold::SprungFlat => "sprung, on its back: cap edge to the fence",
        Hold::SprungFlatTurned => {
            "sprung, on its back, turned end for end: lower edge to the fence"
        }
        Hold::FlatTurned => "on its back, turned end for end: lower edge to the fence",
        Hold::SprungNested => {
            "sprung, standing in its spring angle, upside down: wall edge to the fence, \
             cap edge on the bed"
        }
    }
}

/// How the stock lies, in two or three words for a narrow column.
#[must_use]
pub const fn hold_short(hold: Hold) -> &'static str {
    match hold {
        Hold::OnEdge => "on edge",
        Hold::Upright => "on its seat",
        Hold::Flat => "on its back",
        Hold::Inverted => "upside down",
        Hold::SprungFlat => "sprung, on its back",
        Hold::SprungFlatTurned => "sprung, turned",
        Hold::FlatTurned => "on its back, turned",
        Hold::SprungNested => "sprung, in its spring angle",
    }
}

/// Where a block stands, for stock square to the fence.
#[must_use]
pub const fn block_words(block: Block) -> &'static str {
    match block {
        Block::Left => "the block at its left",
        Block::Right => "the block at its right",
    }
}

/// A setting's hold in full, and the block where there is one: then the words
/// speak of the block instead of the fence.
///
/// ```
/// use headwright::trim::{sheet::{Block, Hold, Setting}, words::lay_words};
/// let mut setting = Setting { hold: Hold::Flat, swing: 0.0, tilt: 0.0, block: None };
/// assert_eq!(lay_words(&setting), "on its back: upper edge to the fence");
/// setting.block = Some(Block::Left);
/// assert_eq!(
///     lay_words(&setting),
///     "square to the fence, the block at its left, clamped; on its back: upper edge to the block"
/// );
/// ```
#[must_use]
pub fn lay_words(setting: &Setting) -> String {
    let hold = hold_words(setting.hold);
    match setting.block {
        None => hold.to_owned(),
        Some(block) => format!(
            "square to the fence, {}, clamped; {}",
            block_words(block),
            hold.replace("the fence", "the block")
        ),
    }
}

/// As [`hold_short`], with the block.
#[must_use]
pub fn lay_short(setting: &Setting) -> String {
    let hold = hold_short(setting.hold);
    match setting.block {
        None => hold.to_owned(),
        Some(block) => format!("{hold}, {}", block_words(block)),
    }
}

/// An angle in degrees to a tenth, without sign. `radians` may have any sign.
#[must_use]
pub fn degrees_text(radians: f64) -> String {
    let tenths = tenths(radians).unsigned_abs();
    format!("{}.{}°", tenths / 10, tenths % 10)
}

/// The saw turned about the vertical: `square`, `swing right 15.1°` or
/// `swing left 15.1°`. Positive radians are to the operator's right.
#[must_use]
pub fn swing_words(radians: f64) -> String {
    turned(radians, "square", "swing right ", "swing left ")
}

/// The blade leaned: `upright`, `tilt left 33.9°` or `tilt right 33.9°`.
/// Positive radians lean the blade's top to the left.
#[must_use]
pub fn tilt_words(radians: f64) -> String {
    turned(radians, "upright", "tilt left ", "tilt right ")
}

/// Whether an angle shows as nothing at a tenth of a degree.
#[must_use]
pub fn shows_as_zero(radians: f64) -> bool {
    tenths(radians) == 0
}

fn turned(radians: f64, none: &str, positive: &str, negative: &str) -> String {
    match tenths(radians) {
        0 => none.to_owned(),
        1.. => format!("{positive}{}", degrees_text(radians)),
        _ => format!("{negative}{}", degrees_text(radians)),
    }
}

/// Tenths of a degree, half away from zero; 0 for what is not a number.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a float to integer cast saturates; NaN becomes 0"
)]
fn tenths(radians: f64) -> i64 {
    (radians.to_degrees() * 10.0).round() as i64
}

/// What the measured edge is at an end.
#[must_use]
pub const fn point_words(point: PointKind) -> &'static str {
    match point {
        PointKind::Square => "square",
        PointKind::Short => "short point",
        PointKind::Long => "long point",
        PointKind::Mixed => "neither point: part reaches past, part falls short",
    }
}

/// What an end meets.
#[must_use]
pub const fn joint_words(joint: Joint) -> &'static str {
    match joint {
        Joint::End => "end of the run",
        Joint::PlanOutside => "outside corner in plan",
        Joint::PlanInside => "inside corner in plan",
        Joint::RiseOutside => "outside corner on the face",
        Joint::RiseInside => "inside corner on the face",
    }
}

/// Each edge of a board that is not square to its face, in words: corners are
/// counted from 1, in the order of the outline.
pub fn bevel_words(board: &Board) -> impl Iterator<Item = String> {
    let count = board.outline.len().max(1);
    board.bevels.iter().map(move |bevel| {
        let longer = if bevel.angle > 0.0 {
            "the face is the longer side"
        } else {
            "the back is the longer side"
        };
        format!(
            "edge from corner {} to {} bevelled {}, {longer}",
            bevel.edge + 1,
            (bevel.edge + 1) % count + 1,
            degrees_text(bevel.angle)
        )
    })
}

/// A length in sixteenths of an inch, with *strong* or *scant* where
/// [`Rounding`] says so.
///
/// ```
/// use headwright::trim::words::sixteenths;
/// assert_eq!(sixteenths(9.75), "9 3/4");
/// assert_eq!(sixteenths(17.6), "17 5/8 scant");
/// ```
#[must_use]
pub fn sixteenths(inches: f64) -> String {
    Rounding::Sixteenth.text(inches)
}

/// As [`sixteenths`], in thirty-seconds.
#[must_use]
pub fn thirty_seconds(inches: f64) -> String {
    Rounding::ThirtySecond.text(inches)
}

/// A length given in inches, in millimetres to the half.
#[must_use]
pub fn millimetres(inches: f64) -> String {
    Rounding::HalfMillimetre.text(inches)
}
