//! Typed text into an opening, and an opening back into typed text.

use crate::measure::{Length, Unit};
use crate::web::{Check, Errors, Fields};

use super::model::{Mark, OpeningFacts, OpeningKind};

/// Which lengths a field takes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Span {
    least: Length,
    most: Length,
    words: &'static str,
}

/// More than nothing, at most 100 ft: a side or a diagonal.
pub(super) const SIDE: Span = Span {
    least: Length::from_nanometres(1),
    most: Length::DESIGN_MAX,
    words: "Write a length above 0 and up to 100 ft, such as 36 5/16 or 922 mm.",
};
/// From nothing to 100 ft: a height above something.
pub(super) const HEIGHT: Span = Span {
    least: Length::ZERO,
    most: Length::DESIGN_MAX,
    words: "Write a length from 0 to 100 ft, such as 17 1/2 or 445 mm.",
};
/// From nothing to 12 in: a depth, or how far something is off.
pub(super) const DEPTH: Span = Span {
    least: Length::ZERO,
    most: Length::from_nanometres(12 * 25_400_000),
    words: "Write a length from 0 to 12 in, such as 5/8 or 16 mm.",
};

/// A length of the trade within a span; empty text is no length.
pub(super) fn length(check: &mut Check<'_>, field: &str, span: Span, unit: Unit) -> Option<Length> {
    check.optional(field, |text| {
        let length = Length::parse(text, unit).map_err(|error| error.to_string())?;
        if (span.least..=span.most).contains(&length) {
            Ok(length)
        } else {
            Err(span.words.to_owned())
        }
    })
}

/// Reads the opening form; a length without a unit is in `unit`.
///
/// # Errors
/// What is wrong, field by field.
pub fn opening(fields: &Fields, unit: Unit) -> Result<OpeningFacts, Errors> {
    let mut check = Check::of(fields);
    let mark = check.parse("mark", Mark::parse);
    let kind = check.one_of("kind", OpeningKind::from_code);
    let storey = check.whole("storey", 0..=20);
    if storey.is_none() && !check.failed("storey") {
        check.fail(
            "storey",
            "Write the storey: 0 for the cellar, 1 for the ground floor.",
        );
    }
    let sill_height = length(&mut check, "sill_height", HEIGHT, unit);
    let wall = check.optional_line("wall", 120);
    let siding = check.optional_line("siding", 120);
    let siding_depth = length(&mut check, "siding_depth", DEPTH, unit);
    let clear_above = length(&mut check, "clear_above", HEIGHT, unit);
    let note = check.lines("note", 4000);
    if kind == Some(OpeningKind::Other) && note.is_empty() && !check.failed("note") {
        check.fail("note", "Write what kind of opening it is.");
    }
    let facts = mark
        .zip(kind)
        .zip(storey)
        .map(|((mark, kind), storey)| OpeningFacts {
            mark,
            kind,
            storey,
            sill_height,
            wall,
            siding,
            siding_depth,
            clear_above,
            note,
        });
    check.finish_some(facts)
}

/// The opening form filled from what is kept.
#[must_use]
pub fn opening_fields(facts: &OpeningFacts, unit: Unit) -> Fields {
    let text = |length: Option<Length>| length.map(|length| length.exact(unit));
    Fields::default()
        .with("mark", &facts.mark)
        .with("kind", facts.kind.code())
        .with("storey", facts.storey)
        .with_some("sill_height", text(facts.sill_height))
        .with("wall", &facts.wall)
        .with("siding", &facts.siding)
        .with_some("siding_depth", text(facts.siding_depth))
        .with_some("clear_above", text(facts.clear_above))
        .with("note", &facts.note)
}
