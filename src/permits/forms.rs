//! Typed text into a permit, and back.

use super::model::{PermitFacts, PermitKind, PermitState};
use crate::web::{Check, Errors, Fields};

/// Reads the permit form.
///
/// # Errors
/// What is wrong, field by field.
pub fn permit(fields: &Fields) -> Result<PermitFacts, Errors> {
    let mut check = Check::of(fields);
    let kind = check.one_of("kind", PermitKind::from_code);
    let authority = check.line("authority", 120);
    let number = check.optional_line("number", 60);
    let state = check.one_of("state", PermitState::from_code);
    let conditions = check.lines("conditions", 4000);
    let granted_on = check.date("granted_on");
    let expires_on = check.date("expires_on");
    let note = check.lines("note", 4000);
    let granted = state == Some(PermitState::Granted);
    if granted && granted_on.is_none() && !check.failed("granted_on") {
        check.fail("granted_on", "Write the day on which it was granted.");
    }
    if let (Some(from), Some(to)) = (granted_on, expires_on)
        && to < from
    {
        check.fail(
            "expires_on",
            "It cannot expire before the day on which it was granted.",
        );
    }
    let facts = kind.zip(state).map(|(kind, state)| PermitFacts {
        kind,
        authority,
        number,
        state,
        conditions,
        granted_on,
        expires_on,
        note,
    });
    check.finish_some(facts)
}

/// The form filled from what is kept.
#[must_use]
pub fn fields(facts: &PermitFacts) -> Fields {
    Fields::default()
        .with("kind", facts.kind.code())
        .with("authority", &facts.authority)
        .with("number", &facts.number)
        .with("state", facts.state.code())
        .with("conditions", &facts.conditions)
        .with_some("granted_on", facts.granted_on)
        .with_some("expires_on", facts.expires_on)
        .with("note", &facts.note)
}
