//! Typed text into a measure, and a measure back into typed text.

use chrono::NaiveDate;

use crate::access::UserId;
use crate::measure::{Length, Unit};
use crate::openings::forms::{DEPTH, SIDE, length};
use crate::openings::model::{High, Lean, Measured, NewSurvey, Pass, Survey};
use crate::web::{Check, Errors, Fields};

/// The fields of the widths, in the order of [`Measured::widths`].
pub const WIDTHS: [&str; 3] = ["width_top", "width_middle", "width_bottom"];
/// The fields of the heights, in the order of [`Measured::heights`].
pub const HEIGHTS: [&str; 3] = ["height_left", "height_middle", "height_right"];
/// The fields of the diagonals, in the order of [`Measured::diagonals`].
pub const DIAGONALS: [&str; 2] = ["rising", "falling"];

/// What the survey form may choose from, and the present day.
#[derive(Debug, Clone)]
pub struct SurveyChoices {
    /// Who may have held the tape.
    pub people: Vec<(UserId, String)>,
    /// Nobody has measured tomorrow.
    pub today: NaiveDate,
}

/// Reads the survey form; a length without a unit is in `unit`.
///
/// # Errors
/// What is wrong, field by field.
pub fn survey(fields: &Fields, choices: &SurveyChoices, unit: Unit) -> Result<NewSurvey, Errors> {
    let mut check = Check::of(fields);
    let pass = check.one_of("pass", Pass::from_code);
    let measured = measured(&mut check, unit);
    let by = check.parse("by", |text| {
        let known = |row: &UserId| choices.people.iter().any(|(id, _)| id == row);
        text.parse()
            .ok()
            .filter(known)
            .ok_or("Choose who measured.")
    });
    let on = check.date("on");
    match on {
        None if !check.failed("on") => check.fail("on", "Choose the day it was measured."),
        Some(day) if day > choices.today => {
            check.fail(
                "on",
                "That day has not come yet. Choose today or an earlier day.",
            );
        }
        _ => {}
    }
    let note = check.lines("note", 4000);
    let new = pass.zip(by).zip(on).map(|((pass, by), on)| NewSurvey {
        pass,
        measured,
        by,
        on,
        note,
    });
    check.finish_some(new)
}

fn measured(check: &mut Check<'_>, unit: Unit) -> Measured {
    let widths = WIDTHS.map(|field| length(check, field, SIDE, unit));
    let heights = HEIGHTS.map(|field| length(check, field, SIDE, unit));
    let diagonals = DIAGONALS.map(|field| length(check, field, SIDE, unit));
    let plumb = length(check, "plumb", DEPTH, unit);
    let lean = check.optional("lean", |code| {
        Lean::from_code(code).ok_or("Choose one of the list.")
    });
    let level = length(check, "level", DEPTH, unit);
    let high = check.optional("high", |code| {
        High::from_code(code).ok_or("Choose one of the list.")
    });
    let none = |values: &[Option<Length>], fields: &[&str], check: &Check<'_>| {
        values.iter().all(Option::is_none) && !fields.iter().any(|field| check.failed(field))
    };
    if none(&widths, &WIDTHS, check) {
        check.fail("width_top", "Measure at least one width.");
    }
    if none(&heights, &HEIGHTS, check) {
        check.fail("height_left", "Measure at least one height.");
    }
    Measured {
        widths,
        heights,
        diagonals,
        plumb,
        lean,
        level,
        high,
    }
}

/// The survey form filled from an earlier measure, to set one number right.
#[must_use]
pub fn survey_fields(survey: &Survey, unit: Unit) -> Fields {
    let m = &survey.measured;
    let text = |length: Option<Length>| length.map(|length| length.exact(unit));
    let mut fields = Fields::default().with("pass", survey.pass.code());
    let lengths = WIDTHS
        .into_iter()
        .zip(m.widths)
        .chain(HEIGHTS.into_iter().zip(m.heights));
    for (field, value) in lengths.chain(DIAGONALS.into_iter().zip(m.diagonals)) {
        fields = fields.with_some(field, text(value));
    }
    fields
        .with_some("plumb", text(m.plumb))
        .with_some("lean", m.lean.map(Lean::code))
        .with_some("level", text(m.level))
        .with_some("high", m.high.map(High::code))
        .with("note", &survey.note)
}
