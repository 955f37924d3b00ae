//! Typed text of the firm's pages.

use crate::web::{Check, Errors, Fields};

/// Name and telephone of a profile.
///
/// # Errors
/// What is wrong, field by field.
pub fn profile(fields: &Fields) -> Result<(String, String), Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 120);
    let phone = check.optional_line("phone", 40);
    check.finish((name, phone))
}
