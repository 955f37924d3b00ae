//! Typed text into an enquiry, and an enquiry back into typed text.

use crate::clients::forms::{NAME, NOTE};
use crate::clients::model::{Email, EnquiryFacts, EnquiryState, Phone};
use crate::web::{Check, Errors, Fields};

/// Reads the enquiry form.
///
/// # Errors
/// What is wrong, field by field.
pub fn enquiry(fields: &Fields) -> Result<EnquiryFacts, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", NAME);
    let phone = check.parse("phone", Phone::parse);
    let email = check.parse("email", Email::parse);
    let heard_of = check.optional_line("heard_of", NAME);
    let wants = check.lines("wants", NOTE);
    if wants.is_empty() && !check.failed("wants") {
        check.fail("wants", "Write what they want, in their own words.");
    }
    let day = check.date("day");
    if day.is_none() && !check.failed("day") {
        check.fail("day", "Choose the day of the call.");
    }
    let state = check.one_of("state", EnquiryState::from_code);
    let reason = check.optional_line("reason", NAME);
    if state == Some(EnquiryState::NotOurs) && reason.is_empty() && !check.failed("reason") {
        check.fail(
            "reason",
            "Write why it is not ours, so that the next person knows.",
        );
    }
    let facts = phone
        .zip(email)
        .zip(day.zip(state))
        .map(|((phone, email), (day, state))| EnquiryFacts {
            name,
            phone,
            email,
            heard_of,
            wants,
            day,
            state,
            reason,
        });
    check.finish_some(facts)
}

/// The enquiry form filled from what is kept.
#[must_use]
pub fn enquiry_fields(facts: &EnquiryFacts) -> Fields {
    Fields::default()
        .with("name", &facts.name)
        .with("phone", &facts.phone)
        .with("email", &facts.email)
        .with("heard_of", &facts.heard_of)
        .with("wants", &facts.wants)
        .with("day", facts.day)
        .with("state", facts.state.code())
        .with("reason", &facts.reason)
}
