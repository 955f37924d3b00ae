//! Typed text into a visit, and a visit back into typed text.

use crate::access::UserId;
use crate::clients::forms::{NAME, NOTE};
use crate::clients::model::{VisitFacts, parse_time};
use crate::web::{Check, Errors, Fields};

/// What a visit's form may choose from.
#[derive(Debug, Clone, Default)]
pub struct VisitChoices {
    /// The client's jobs: row and words.
    pub jobs: Vec<(i64, String)>,
    /// Who may go: row and name.
    pub people: Vec<(UserId, String)>,
}

/// Reads the visit form; only what `choices` holds may be chosen.
///
/// # Errors
/// What is wrong, field by field.
pub fn visit(fields: &Fields, choices: &VisitChoices) -> Result<VisitFacts, Errors> {
    let mut check = Check::of(fields);
    let job = check.optional("job", |text| {
        let known = |row: &i64| choices.jobs.iter().any(|(id, _)| id == row);
        text.parse()
            .ok()
            .filter(known)
            .ok_or("Choose one of this client's jobs.")
    });
    let goes = check.optional("goes", |text| {
        let known = |row: &UserId| choices.people.iter().any(|(id, _)| id == row);
        text.parse()
            .ok()
            .filter(known)
            .ok_or("Choose one of the list.")
    });
    let day = check.date("day");
    if day.is_none() && !check.failed("day") {
        check.fail("day", "Choose the day of the visit.");
    }
    let time = check.optional("time", parse_time);
    let purpose = check.line("purpose", NAME);
    let key_with = check.optional_line("key_with", NAME);
    let access = check.lines("access", NOTE);
    let contact = check.optional_line("contact", NAME);
    let outcome = check.lines("outcome", NOTE);
    let facts = day.map(|day| VisitFacts {
        job,
        goes,
        day,
        time,
        purpose,
        key_with,
        access,
        contact,
        outcome,
    });
    check.finish_some(facts)
}

/// The visit form filled from what is kept.
#[must_use]
pub fn visit_fields(facts: &VisitFacts) -> Fields {
    Fields::default()
        .with_some("job", facts.job)
        .with_some("goes", facts.goes)
        .with("day", facts.day)
        .with_some("time", facts.time.map(|time| time.format("%H:%M")))
        .with("purpose", &facts.purpose)
        .with("key_with", &facts.key_with)
        .with("access", &facts.access)
        .with("contact", &facts.contact)
        .with("outcome", &facts.outcome)
}
