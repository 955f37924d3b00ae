//! Typed text into a client, and a client back into typed text.

use crate::web::{Check, Errors, Fields};

use super::model::{ClientFacts, Email, Enquiry, Phone};

/// Longest name of a person, a firm or a place.
pub(super) const NAME: usize = 120;
/// Longest address.
pub(super) const ADDRESS: usize = 400;
/// Longest note.
pub(super) const NOTE: usize = 4000;

/// Reads the client form.
///
/// # Errors
/// What is wrong, field by field.
pub fn client(fields: &Fields) -> Result<ClientFacts, Errors> {
    let mut check = Check::of(fields);
    let facts = ClientFacts {
        name: check.line("name", NAME),
        firm: check.optional_line("firm", NAME),
        phone: check.parse("phone", Phone::parse).unwrap_or_default(),
        email: check.parse("email", Email::parse).unwrap_or_default(),
        address: check.lines("address", ADDRESS),
        heard_of: check.optional_line("heard_of", NAME),
        note: check.lines("note", NOTE),
    };
    check.finish(facts)
}

/// The client form filled from what is kept.
#[must_use]
pub fn client_fields(facts: &ClientFacts) -> Fields {
    Fields::default()
        .with("name", &facts.name)
        .with("firm", &facts.firm)
        .with("phone", &facts.phone)
        .with("email", &facts.email)
        .with("address", &facts.address)
        .with("heard_of", &facts.heard_of)
        .with("note", &facts.note)
}

/// The client that an enquiry becomes, nothing typed again.
#[must_use]
pub fn client_from(enquiry: &Enquiry) -> ClientFacts {
    let facts = &enquiry.facts;
    ClientFacts {
        name: facts.name.clone(),
        phone: facts.phone.clone(),
        email: facts.email.clone(),
        heard_of: facts.heard_of.clone(),
        ..ClientFacts::default()
    }
}
