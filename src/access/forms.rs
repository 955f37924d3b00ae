//! Typed text of the sign-in pages.

use crate::web::{Check, Fields};

use super::passwords::weakness;

/// A sign-in name as typed: trimmed and lower case.
#[must_use]
pub fn folded(typed: &str) -> String {
    typed
        .trim()
        .chars()
        .take(80)
        .flat_map(char::to_lowercase)
        .filter(|c| !c.is_control())
        .collect()
}

/// A new sign-in name: letters, digits, dot, hyphen, at sign.
pub fn sign_in_name(check: &mut Check<'_>, field: &str) -> Option<String> {
    check.parse(field, |typed| {
        let name = folded(typed);
        let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || ".-_@".contains(c);
        if (2..=60).contains(&name.len()) && name.chars().all(good) {
            Ok(name)
        } else {
            Err("2 to 60 small letters, digits, dots, hyphens; an e-mail address will do.")
        }
    })
}

/// A new password, typed twice; `known` are words that may not carry it.
pub fn password(check: &mut Check<'_>, fields: &Fields, known: &[&str]) -> Option<String> {
    let typed = fields.get("password");
    if let Some(words) = weakness(typed, known) {
        check.fail("password", words);
        return None;
    }
    if fields.get("password_again") != typed {
        check.fail(
            "password_again",
            "Not the same as the first. Type both again.",
        );
        return None;
    }
    Some(typed.to_owned())
}

/// A local address to go to after sign-in; anything else leads to Today.
#[must_use]
pub fn next(typed: &str) -> &str {
    let local = typed.starts_with('/') && !typed.starts_with("//") && !typed.contains('\\');
    let plain = typed.bytes().all(|b| b.is_ascii_graphic());
    if local && plain && typed.len() <= 300 && !typed.starts_with("/sign-") {
        typed
    } else {
        "/"
    }
}
