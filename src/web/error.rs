//! One error for every page: one enum, one match to status and words.
//!
//! The page gets words and a reference; the log gets the cause.

use std::fmt;
use std::sync::Arc;

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::db::StoreError;

/// What a handler may fail with.
#[derive(Debug)]
#[non_exhaustive]
pub enum WebError {
    /// No such page or record, or not for this person: the two look the same.
    Missing,
    /// The request did not come from our own form.
    Forged(&'static str),
    /// The request makes no sense; the words say what and why.
    BadRequest(String),
    /// A step that the record's present state does not allow.
    NotNow(String),
    /// The record was changed by someone else and the form cannot show both.
    Stale(&'static str),
    /// The form's key was used for another body.
    OtherBody,
    /// A link that worked once, or whose time is over.
    Gone(String),
    /// More was sent than is taken; the words say what to do.
    TooLarge(String),
    /// Too many tries; seconds to wait.
    TooMany(u64),
    /// Too much at once; try again.
    Busy(String),
    /// The disk takes no more.
    Full(String),
    /// A fault of ours.
    Internal(String),
}

impl WebError {
    /// A fault of ours, with its cause for the log.
    pub fn internal(cause: impl fmt::Display) -> Self {
        Self::Internal(cause.to_string())
    }

    fn fault(self) -> Fault {
        use StatusCode as S;
        match self {
            Self::Missing => Fault::plain(S::NOT_FOUND),
            Self::Forged(cause) => Fault::plain(S::FORBIDDEN).because(cause),
            Self::BadRequest(words) => Fault::plain(S::BAD_REQUEST).saying(words),
            Self::NotNow(words) => Fault::plain(S::CONFLICT).saying(words),
            Self::Stale(what) => Fault::plain(S::CONFLICT).saying(format!(
                "The {what} was changed by someone else meanwhile. Go back, reload and try again."
            )),
            Self::OtherBody => Fault::plain(S::UNPROCESSABLE_ENTITY).saying(
                "This form was already sent with other values. Nothing was changed now. \
                 Open the form again to send another."
                    .to_owned(),
            ),
            Self::Gone(words) => Fault::plain(S::GONE).saying(words),
            Self::TooLarge(words) => Fault::plain(S::PAYLOAD_TOO_LARGE).saying(words),
            Self::TooMany(seconds) => Fault {
                retry_after: Some(seconds),
                ..Fault::plain(S::TOO_MANY_REQUESTS).saying(format!(
                    "Too many tries in a short time. Wait {} and try again.",
                    span_words(seconds)
                ))
            },
            Self::Busy(cause) => Fault {
                retry_after: Some(5),
                ..Fault::plain(S::SERVICE_UNAVAILABLE).because(cause)
            },
            Self::Full(cause) => Fault::plain(S::INSUFFICIENT_STORAGE).because(cause),
            Self::Internal(cause) => Fault::plain(S::INTERNAL_SERVER_ERROR).because(cause),
        }
    }
}

fn span_words(seconds: u64) -> String {
    match seconds {
        0..=1 => "a second".to_owned(),
        2..=90 => format!("{seconds} seconds"),
        _ => format!("{} minutes", seconds.div_ceil(60)),
    }
}

impl From<StoreError> for WebError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Missing(_) => Self::Missing,
            StoreError::Stale(what) => Self::Stale(what),
            StoreError::Taken(field) => Self::NotNow(format!("This {field} is already taken.")),
            StoreError::Full(_) => Self::Full(error.to_string()),
            StoreError::Busy(_) => Self::Busy(error.to_string()),
            other => Self::internal(other),
        }
    }
}

impl From<askama::Error> for WebError {
    fn from(error: askama::Error) -> Self {
        Self::internal(format_args!("template: {error}"))
    }
}

/// A failed request before it has its page: rides on the response until
/// [`super::dress`] draws it.
#[derive(Debug, Clone)]
pub struct Fault {
    /// The status sent.
    pub status: StatusCode,
    /// What happened, in a few words.
    pub title: &'static str,
    /// What to do about it.
    pub words: String,
    /// For the log only.
    pub cause: Option<String>,
    /// Seconds to wait.
    pub retry_after: Option<u64>,
}

impl Fault {
    /// The usual words for a status.
    #[must_use]
    pub fn plain(status: StatusCode) -> Self {
        let (title, words) = match status.as_u16() {
            400 => ("This request makes no sense", "Go back and try again."),
            401 => ("Sign in first", "Sign in to see this page."),
            403 => (
                "This form was not sent from our own page",
                "Nothing was changed. Open the page again and send the form from there.",
            ),
            404 => (
                "Nothing here",
                "There is no such page, or it is not one of yours. Check the address, or start from Today.",
            ),
            405 => (
                "This page does not take that",
                "Go back and use the page's own buttons.",
            ),
            408 | 504 => ("That took too long", "Nothing was changed. Try again."),
            409 => (
                "Not now",
                "The record is in another state than this page thought. Reload it.",
            ),
            410 => ("No longer good", "Ask for a new link."),
            413 => (
                "Too much text",
                "One form may hold two megabytes. Go back and shorten it.",
            ),
            415 => ("Not a form we know", "Use the page's own form."),
            422 => ("Not taken", "Go back and check the form."),
            429 => (
                "Slow down",
                "Too many requests in a short time. Wait a minute.",
            ),
            503 => (
                "Busy",
                "Too much at once. What you typed was not kept; try again in a moment.",
            ),
            507 => (
                "The disk is full",
                "Nothing was changed. Reading still works. Tell whoever looks after the machine.",
            ),
            _ => (
                "Something broke on our side",
                "It was written to the log. Nothing half-done was kept. Try again; if it stays, say the reference below.",
            ),
        };
        Self {
            status,
            title,
            words: words.to_owned(),
            cause: None,
            retry_after: None,
        }
    }

    fn saying(self, words: String) -> Self {
        Self { words, ..self }
    }

    fn because(self, cause: impl Into<String>) -> Self {
        Self {
            cause: Some(cause.into()),
            ..self
        }
    }
}

impl IntoResponse for WebError {
    fn into_response(self) -> Response {
        let fault = self.fault();
        let mut response = (fault.status, fault.title).into_response();
        if let Some(seconds) = fault.retry_after
            && let Ok(value) = HeaderValue::from_str(&seconds.to_string())
        {
            response.headers_mut().insert(header::RETRY_AFTER, value);
        }
        response.extensions_mut().insert(Arc::new(fault));
        response
    }
}
