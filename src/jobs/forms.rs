//! Typed text into a job, and a job back into typed text.

use crate::access::UserId;
use crate::clients::ClientId;
use crate::web::{Check, Errors, Fields};

use super::model::{JobCode, JobFacts};

/// What a job's form may choose from.
#[derive(Debug, Clone, Default)]
pub struct JobChoices {
    /// Whose job it may be.
    pub clients: Vec<(ClientId, String)>,
    /// Who may lead it.
    pub foremen: Vec<(UserId, String)>,
}

/// Reads the job form; only what `choices` holds may be chosen.
///
/// # Errors
/// What is wrong, field by field.
pub fn job(fields: &Fields, choices: &JobChoices) -> Result<JobFacts, Errors> {
    let mut check = Check::of(fields);
    let client = check.parse("client", |text| {
        let known = |row: &ClientId| choices.clients.iter().any(|(id, _)| id == row);
        text.parse()
            .ok()
            .filter(known)
            .ok_or("Choose a client of the list.")
    });
    let code = check.parse("code", JobCode::parse);
    let title = check.line("title", 120);
    let site_address = check.lines("site_address", 400);
    if site_address.is_empty() && !check.failed("site_address") {
        check.fail("site_address", "Write where the house is.");
    }
    let access = check.lines("access", 4000);
    let site_contact = check.optional_line("site_contact", 120);
    let year_built = check.whole("year_built", 1500..=2200);
    let zone = check.optional_line("zone", 120);
    let foreman = check.optional("foreman", |text| {
        let known = |row: &UserId| choices.foremen.iter().any(|(id, _)| id == row);
        text.parse()
            .ok()
            .filter(known)
            .ok_or("Choose a foreman of the list.")
    });
    let (first_day, last_day) = (check.date("first_day"), check.date("last_day"));
    if first_day
        .zip(last_day)
        .is_some_and(|(first, last)| last < first)
    {
        check.fail(
            "last_day",
            "The last day lies before the first. Change one of the two.",
        );
    }
    let terms = check.lines("terms", 4000);
    let note = check.lines("note", 4000);
    let historic = check.ticked("historic");
    let facts = client.zip(code).map(|(client, code)| JobFacts {
        client,
        code,
        title,
        site_address,
        access,
        site_contact,
        year_built,
        historic,
        zone,
        foreman,
        first_day,
        last_day,
        terms,
        note,
    });
    check.finish_some(facts)
}

/// The job form filled from what is kept.
#[must_use]
pub fn job_fields(facts: &JobFacts) -> Fields {
    Fields::default()
        .with("client", facts.client)
        .with("code", &facts.code)
        .with("title", &facts.title)
        .with("site_address", &facts.site_address)
        .with("access", &facts.access)
        .with("site_contact", &facts.site_contact)
        .with_some("year_built", facts.year_built)
        .with_some("historic", facts.historic.then_some("yes"))
        .with("zone", &facts.zone)
        .with_some("foreman", facts.foreman)
        .with_some("first_day", facts.first_day)
        .with_some("last_day", facts.last_day)
        .with("terms", &facts.terms)
        .with("note", &facts.note)
}
