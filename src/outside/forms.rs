//! Typed text into a firm or its part of a job, and back.

use super::model::{Outside, OutsideFacts, OutsideId, Trade, WorkFacts};
use crate::web::{Check, Errors, Fields};

/// Reads the firm's form.
///
/// # Errors
/// What is wrong, field by field.
pub fn firm(fields: &Fields) -> Result<OutsideFacts, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 120);
    let trade = check.one_of("trade", Trade::from_code);
    let contact = check.optional_line("contact", 120);
    let phone = check.optional_line("phone", 60);
    let email = check.optional_line("email", 120);
    let insured_until = check.date("insured_until");
    let note = check.lines("note", 4000);
    let facts = trade.map(|trade| OutsideFacts {
        name,
        trade,
        contact,
        phone,
        email,
        insured_until,
        note,
    });
    check.finish_some(facts)
}

/// The firm's form filled from what is kept.
#[must_use]
pub fn firm_fields(facts: &OutsideFacts) -> Fields {
    Fields::default()
        .with("name", &facts.name)
        .with("trade", facts.trade.code())
        .with("contact", &facts.contact)
        .with("phone", &facts.phone)
        .with("email", &facts.email)
        .with_some("insured_until", facts.insured_until)
        .with("note", &facts.note)
}

/// Reads the form of a firm's part of a job.
///
/// # Errors
/// What is wrong, field by field.
pub fn work(fields: &Fields, firms: &[Outside]) -> Result<WorkFacts, Errors> {
    let mut check = Check::of(fields);
    let firm: Option<OutsideId> = check.parse("firm", |text| {
        text.parse()
            .ok()
            .filter(|id| firms.iter().any(|firm| firm.id == *id))
            .ok_or("Choose a firm of the list.")
    });
    let first_day = check.date("first_day");
    let last_day = check.date("last_day");
    if let (Some(first), Some(last)) = (first_day, last_day)
        && last < first
    {
        check.fail("last_day", "The last day cannot come before the first.");
    }
    let does = check.lines("does", 2000);
    if does.is_empty() && !check.failed("does") {
        check.fail("does", "Write what they do; their link shows it.");
    }
    let note = check.lines("note", 4000);
    let facts = firm.map(|firm| WorkFacts {
        firm,
        first_day,
        last_day,
        does,
        note,
    });
    check.finish_some(facts)
}

/// That form filled from what is kept.
#[must_use]
pub fn work_fields(facts: &WorkFacts) -> Fields {
    Fields::default()
        .with("firm", facts.firm)
        .with_some("first_day", facts.first_day)
        .with_some("last_day", facts.last_day)
        .with("does", &facts.does)
        .with("note", &facts.note)
}
