//! A form sent after the session ended: what was typed is carried through the
//! sign-in and shown again, ready to be sent.

use askama::Template;
use axum::extract::Request;
use axum::response::Response;

use crate::web::{AppState, Chrome, Fields, Form, Page, WebError, html};

use super::super::post::read_fields;
use super::super::{Role, cookies, forms, model::session_life, tokens};

const TO: &str = "carry_to";
const PREFIX: &str = "carry.";

#[derive(Template)]
#[template(path = "access/carry.html")]
struct Carry {
    page: Page,
    form: Form,
    typed: Vec<(String, String)>,
    hidden: Vec<(String, String)>,
}

/// The posted fields under other names, with where they were going; tokens,
/// keys and passwords are left behind.
pub async fn packed(request: Request) -> Result<Fields, Response> {
    let to = request.uri().path().to_owned();
    let fields = read_fields(request).await?;
    let mut packed = Fields::default().with(TO, to);
    for (name, value) in fields.iter() {
        // A picture that went with the form cannot be carried: it must be chosen again.
        let picture = value.len() > 1000 && value.contains('\u{FFFD}');
        if name != "_csrf" && name != "_key" && !name.contains("password") && !picture {
            packed = packed.with(&format!("{PREFIX}{name}"), value);
        }
    }
    Ok(packed)
}

/// What was packed, to be put into a form's hidden fields.
pub fn pack_of(fields: &Fields) -> Vec<(String, String)> {
    fields
        .iter()
        .filter(|(name, _)| *name == TO || name.starts_with(PREFIX))
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect()
}

/// After signing in: the page with what was typed, if anything was carried.
///
/// # Errors
/// The template's; the system has no randomness to give.
pub fn unpacked(
    app: &AppState,
    fields: &Fields,
    (role, token): (Role, &str),
) -> Result<Option<Response>, WebError> {
    let to = forms::next(fields.get(TO));
    if to == "/" {
        return Ok(None);
    }
    let hidden: Vec<(String, String)> = fields
        .iter()
        .filter_map(|(name, value)| Some((name.strip_prefix(PREFIX)?.to_owned(), value.to_owned())))
        .collect();
    let seen = |(name, value): &&(String, String)| !name.starts_with('_') && !value.is_empty();
    let typed = hidden
        .iter()
        .filter(seen)
        .map(|(name, value)| (name.replace('_', " "), value.clone()))
        .collect();
    let chrome = Chrome {
        firm: app.firm().name.clone(),
        ..Chrome::default()
    };
    let page = Carry {
        page: Page::new("What you had typed", chrome.into()),
        form: Form::new(to, &tokens::csrf_of(token), app.form_key()?),
        typed,
        hidden,
    };
    let mut response = html(axum::http::StatusCode::OK, &page)?;
    cookies::set_session(app, &mut response, token, session_life(role).1.as_secs());
    Ok(Some(response))
}
