//! Pages that a phone may keep for when there is no signal.
//!
//! Only these are ever kept: they hold geometry, piece labels, saw settings
//! and the job's code, never a client's name, address, telephone or a price.

use axum::http::{HeaderName, HeaderValue};
use axum::response::Response;

/// Marks a reply that a phone may keep.
pub const KEPT: HeaderName = HeaderName::from_static("x-kept");

/// A page that a phone should keep for its person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptPage {
    /// Its address.
    pub href: String,
    /// What it is: the job's code, the opening's mark, the head.
    pub words: String,
    /// What tells an old copy from a new one, such as `version 4`.
    pub edition: String,
}

/// Lets phones keep this reply.
#[must_use]
pub fn may_be_kept(mut reply: Response) -> Response {
    reply
        .headers_mut()
        .insert(KEPT, HeaderValue::from_static("yes"));
    reply
}
