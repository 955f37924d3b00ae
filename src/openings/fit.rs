//! Where a drawn head will not fit the opening it is to go over.
//!
//! What is compared with what is common practice, no source.

use crate::measure::{Length, Unit};
use crate::trim::sheet::Finding;

use super::findings::{Found, MIND};
use super::lengths::{less, longest, scaled, sum};
use super::model::Surveyed;

/// Room above the cap for the flashing to be slipped in and nailed.
pub const FLASHING_ROOM: Length = Length::from_nanometres(12_700_000);

/// How far a drawn head reaches, in plain numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct HeadExtent {
    /// Length of the board.
    pub span: Length,
    /// Height of the board at the wing.
    pub board_height: Length,
    /// How far the board's top edge climbs above the wing; zero if level.
    pub rise: Length,
    /// Upright thickness of the cap over the highest point; zero without one.
    pub cap: Length,
    /// Thickness of the board.
    pub board_thickness: Length,
    /// Width of the side casing that the board covers, each side; zero when
    /// not known.
    pub casing: Length,
}

impl HeadExtent {
    /// From the opening's top to the top of the cap at its highest.
    #[must_use]
    pub fn needs_above(&self) -> Length {
        sum(&[self.board_height, self.rise, self.cap])
    }
}

/// Where the head will not fit, worst first, worded in `unit`.
///
/// A length that was not measured gives a note and nothing more: a head may be
/// drawn before the wall is measured.
#[must_use]
pub fn fit(opening: &Surveyed, head: &HeadExtent, unit: Unit) -> Vec<Finding> {
    let mut found = Found::new(unit);
    room_above(opening, head, &mut found);
    width_covered(opening, head, &mut found);
    proud_of_siding(opening, head, &mut found);
    level_over_span(opening, head, &mut found);
    found.worst_first()
}

fn room_above(opening: &Surveyed, head: &HeadExtent, found: &mut Found) {
    let need = head.needs_above();
    let Some(clear) = opening.clear_above else {
        let text = format!(
            "The clear height above was not measured; the head needs {}.",
            found.say(need)
        );
        found.note("clear-unknown", text);
        return;
    };
    let left = less(clear, need);
    if left < Length::ZERO {
        let text = format!(
            "The head needs {} above the opening and {} is clear: it is {} too tall.",
            found.say(need),
            found.say(clear),
            found.say(less(need, clear))
        );
        found.error("no-room-above", text);
    } else if left < FLASHING_ROOM {
        let text = format!(
            "Only {} is left above the cap; the flashing wants about {}.",
            found.say(left),
            found.say(FLASHING_ROOM)
        );
        found.warning("tight-above", text);
    }
}

fn width_covered(opening: &Surveyed, head: &HeadExtent, found: &mut Found) {
    let Some(widest) = opening.counts().and_then(|m| longest(&m.widths)) else {
        found.note(
            "width-unknown",
            "The opening's width was not measured.".into(),
        );
        return;
    };
    let need = sum(&[widest, head.casing, head.casing]);
    if head.span >= need {
        return;
    }
    let what = if head.casing > Length::ZERO {
        format!(
            "the opening and its two casings of {} take {}",
            found.say(head.casing),
            found.say(need)
        )
    } else {
        format!("the opening is {} wide", found.say(need))
    };
    let text = format!(
        "The board is {} long and {what}: it is {} short.",
        found.say(head.span),
        found.say(less(need, head.span))
    );
    found.error("span-narrow", text);
}

fn proud_of_siding(opening: &Surveyed, head: &HeadExtent, found: &mut Found) {
    let Some(depth) = opening.siding_depth else {
        found.note(
            "siding-unknown",
            "The depth of the siding was not measured.".into(),
        );
        return;
    };
    if depth < head.board_thickness {
        return;
    }
    let how = if depth == head.board_thickness {
        "its face lies flush with the siding".to_owned()
    } else {
        format!(
            "its face lies {} behind the siding",
            found.say(less(depth, head.board_thickness))
        )
    };
    let text = format!(
        "The board is {} thick and the siding {} deep: {how}. Pack it out or use a thicker board, \
         so that the head stands proud.",
        found.say(head.board_thickness),
        found.say(depth)
    );
    found.warning("not-proud", text);
}

fn level_over_span(opening: &Surveyed, head: &HeadExtent, found: &mut Found) {
    let Some(measured) = opening.counts() else {
        return;
    };
    let (Some(level), Some(width)) = (measured.level, longest(&measured.widths)) else {
        return;
    };
    let over = scaled(level, head.span, width);
    if over <= MIND.inches() {
        return;
    }
    let text = format!(
        "The opening is {} out of level in {}; over the head's {} that makes about {}. Decide \
         whether the head follows the opening or the level.",
        found.say(level),
        found.say(width),
        found.say(head.span),
        found.about(over)
    );
    found.warning("span-out-of-level", text);
}
