//! The person a request comes from.

use std::sync::Arc;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;

use crate::web::{AppState, Chrome, Form, Page, WebError};

use super::{Reach, Role, SessionId, Thing, UserId};

/// The signed-in person, put on the request by the guard.
#[derive(Debug, Clone)]
pub struct Me {
    /// Their id.
    pub id: UserId,
    /// Their name.
    pub name: String,
    /// Their role.
    pub role: Role,
    /// This device's session.
    pub session: SessionId,
    /// How far the right reaches under which this route was passed: lists show
    /// no more than this.
    pub reach: Reach,
    pub(super) csrf: String,
    pub(super) chrome: Arc<Chrome>,
}

impl Me {
    /// A page with the person's navigation.
    pub fn page(&self, title: impl Into<String>) -> Page {
        Page::new(title, Arc::clone(&self.chrome))
    }

    /// An empty form with the person's token and a fresh key.
    ///
    /// # Errors
    /// The system has no randomness to give.
    pub fn form(&self, app: &AppState, action: impl Into<String>) -> Result<Form, WebError> {
        Ok(Form::new(action, &self.csrf, app.form_key()?))
    }

    /// The session's form token, for what a phone had queued.
    #[must_use]
    pub fn token(&self) -> &str {
        &self.csrf
    }

    /// How far this person may change a thing: for showing or hiding a button.
    #[must_use]
    pub const fn may_write(&self, thing: Thing) -> Reach {
        thing.level(self.role).write
    }

    /// How far this person may see a thing.
    #[must_use]
    pub const fn may_read(&self, thing: Thing) -> Reach {
        thing.level(self.role).read
    }
}

impl<S: Sync> FromRequestParts<S> for Me {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, WebError> {
        parts
            .extensions
            .get::<Self>()
            .cloned()
            .ok_or_else(|| WebError::internal("a handler asked for a person on an open route"))
    }
}
