//! A form on its way to the page: what was typed, what is wrong, what others saved.

use axum::http::StatusCode;

use super::{Errors, Fields};

/// One choice of a list: value and words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// What is sent.
    pub value: String,
    /// What is read.
    pub words: String,
}

impl Choice {
    /// A choice.
    pub fn new(value: impl ToString, words: impl ToString) -> Self {
        Self {
            value: value.to_string(),
            words: words.to_string(),
        }
    }
}

/// A form as drawn: the macros of `parts/form.html` read it.
#[derive(Debug, Clone)]
pub struct Form {
    /// Where it is sent.
    pub action: String,
    /// The session-bound token.
    pub csrf: String,
    /// The key that makes a double tap count once.
    pub key: String,
    /// The record's version when the form was drawn.
    pub version: Option<i64>,
    fields: Fields,
    errors: Errors,
    theirs: Option<Fields>,
}

impl Form {
    /// A form for `action`; `access` makes it with the person's token.
    pub fn new(action: impl Into<String>, csrf: &str, key: String) -> Self {
        Self {
            action: action.into(),
            csrf: csrf.to_owned(),
            key,
            version: None,
            fields: Fields::default(),
            errors: Errors::default(),
            theirs: None,
        }
    }

    /// Filled with a record's values or with what was typed.
    #[must_use]
    pub fn filled(self, fields: Fields) -> Self {
        Self { fields, ..self }
    }

    /// Bound to a record's version.
    #[must_use]
    pub fn at_version(self, version: i64) -> Self {
        Self {
            version: Some(version),
            ..self
        }
    }

    /// With what is wrong.
    #[must_use]
    pub fn wrong(self, errors: Errors) -> Self {
        Self { errors, ..self }
    }

    /// After a conflict: typed text stays, the values saved meanwhile stand
    /// beside it, and sending again goes over the newer version.
    #[must_use]
    pub fn conflict(self, theirs: Fields, version: i64) -> Self {
        Self {
            theirs: Some(theirs),
            version: Some(version),
            ..self
        }
    }

    /// Everything that stands in it.
    #[must_use]
    pub const fn fields(&self) -> &Fields {
        &self.fields
    }

    /// What stands in a field.
    #[must_use]
    pub fn value(&self, name: &str) -> &str {
        self.fields.get(name)
    }

    /// Whether this choice of a list, radio or tick box is on.
    #[must_use]
    pub fn is(&self, name: &str, value: &str) -> bool {
        self.fields.all(name).any(|held| held == value)
    }

    /// What is wrong with a field.
    #[must_use]
    pub fn error(&self, name: &str) -> Option<&str> {
        self.errors.of(name)
    }

    /// What someone else saved in this field, if it differs.
    #[must_use]
    pub fn theirs(&self, name: &str) -> Option<&str> {
        let theirs = self.theirs.as_ref()?.get(name);
        (theirs != self.fields.get(name)).then_some(theirs)
    }

    /// Whether this is a conflict page.
    #[must_use]
    pub fn is_conflict(&self) -> bool {
        self.theirs.is_some()
    }

    /// The status its page goes out with: 409 for a conflict, 422 with errors,
    /// else 200.
    #[must_use]
    pub fn status(&self) -> StatusCode {
        if self.is_conflict() {
            StatusCode::CONFLICT
        } else if self.errors.is_empty() {
            StatusCode::OK
        } else {
            StatusCode::UNPROCESSABLE_ENTITY
        }
    }

    /// Every error, for the summary at the top.
    pub fn errors(&self) -> Vec<(&str, &str)> {
        self.errors.iter().collect()
    }

    /// The ids that describe a field, for `aria-describedby`; empty if none.
    #[must_use]
    pub fn described(&self, name: &str, hint: &str) -> String {
        let mut ids = Vec::new();
        if !hint.is_empty() {
            ids.push(format!("{name}-hint"));
        }
        if self.theirs(name).is_some() {
            ids.push(format!("{name}-theirs"));
        }
        if self.error(name).is_some() {
            ids.push(format!("{name}-error"));
        }
        ids.join(" ")
    }
}
