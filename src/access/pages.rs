//! The pages of sign-in: the sign-in form itself, asking again, set-up and invites.

pub mod again;
pub mod carry;
pub mod enter;
pub mod join;

use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Response};

use crate::web::{AppState, Errors, Fields, Form, WebError, html};

use super::post::read_fields;
use super::tokens::{csrf_of, fresh_code, same};
use super::{Site, cookies};

use askama::Template;

/// A form posted before sign-in, bound to the visitor's own cookie.
#[derive(Debug)]
pub struct OpenPost {
    /// What was typed.
    pub fields: Fields,
    /// The visitor's token, for drawing the form again.
    visitor: String,
}

impl OpenPost {
    /// The form as typed, to be drawn again; passwords are left out.
    pub fn again(&self, action: impl Into<String>) -> Form {
        Form::new(action, &csrf_of(&self.visitor), String::new()).filled(self.fields.shown())
    }
}

impl FromRequest<AppState> for OpenPost {
    type Rejection = Response;

    async fn from_request(request: Request, app: &AppState) -> Result<Self, Response> {
        let refuse = || WebError::Forged("visitor's token missing or foreign").into_response();
        let visitor = cookies::visitor(app, request.headers());
        let fields = read_fields(request).await?;
        let visitor = visitor.ok_or_else(refuse)?;
        if !same(fields.get("_csrf"), &csrf_of(&visitor)) {
            return Err(refuse());
        }
        Ok(Self { fields, visitor })
    }
}

/// An empty form for a visitor, and the cookie it is bound to if that is new.
pub fn open_form(
    app: &AppState,
    headers: &axum::http::HeaderMap,
    action: impl Into<String>,
) -> Result<(Form, Option<String>), WebError> {
    match cookies::visitor(app, headers) {
        Some(held) => Ok((Form::new(action, &csrf_of(&held), String::new()), None)),
        None => {
            let made = fresh_code(app)?;
            Ok((
                Form::new(action, &csrf_of(&made), String::new()),
                Some(made),
            ))
        }
    }
}

/// Draws a page with the visitor's cookie where it is new.
pub fn with_visitor(
    app: &AppState,
    visitor: Option<String>,
    status: StatusCode,
    page: &impl Template,
) -> Result<Response, WebError> {
    let mut response = html(status, page)?;
    if let Some(token) = visitor {
        cookies::set_visitor(app, &mut response, &token);
    }
    Ok(response)
}

/// The sign-in page, at whatever address a person without a session asked for:
/// 401, and back to that address after signing in. A posted form is carried
/// along, to be sent then.
pub async fn sign_in_first(app: &AppState, request: Request) -> Response {
    let headers = request.headers().clone();
    let (fields, lost) = if request.method().is_safe() {
        let back = request.uri().path_and_query().map_or("/", |p| p.as_str());
        (Fields::default().with("next", back), false)
    } else {
        let back = request.uri().path().to_owned();
        match carry::packed(request).await {
            Ok(packed) => (packed, true),
            // A photo: too much to be carried. After signing in it is chosen again.
            Err(refused) if refused.status() == StatusCode::PAYLOAD_TOO_LARGE => {
                (Fields::default().with("next", back), true)
            }
            Err(refused) => return refused,
        }
    };
    sign_in_page(app, &headers, fields, lost).unwrap_or_else(WebError::into_response)
}

fn sign_in_page(
    app: &AppState,
    headers: &axum::http::HeaderMap,
    fields: Fields,
    lost: bool,
) -> Result<Response, WebError> {
    let (form, visitor) = open_form(app, headers, "/sign-in")?;
    let mut form = form.filled(fields);
    if lost {
        form = form.wrong(Errors::one(
            "",
            "You are no longer signed in, so nothing was saved yet. Sign in: what you typed is kept and shown again.",
        ));
    }
    let page = enter::SignIn {
        page: crate::web::Page::new("Sign in", Site::bare_chrome(app)),
        carried: carry::pack_of(form.fields()),
        form,
    };
    with_visitor(app, visitor, StatusCode::UNAUTHORIZED, &page)
}
