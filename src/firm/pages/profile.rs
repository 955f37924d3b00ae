//! One's own profile: name, password, signed-in devices.

use std::sync::Arc;

use askama::Template;
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::access::{self, Me, Person, Post, SessionId, Site, Start};
use crate::db::StoreError;
use crate::web::{AppState, Check, Errors, Form, Page, WebError, html};

use super::super::forms;
use super::{Device, devices};

#[derive(Template)]
#[template(path = "firm/profile.html")]
struct Profile {
    page: Page,
    form: Form,
    secret: Form,
    sign_in: String,
    devices: Vec<Device>,
}

const ACTION: &str = "/firm/profile";

/// One of the page's forms as it came back, the others fresh.
enum Shown {
    Fresh,
    Details(Form),
    Password(Form),
}

async fn draw(
    app: &AppState,
    me: &Me,
    person: &Person,
    (status, shown): (StatusCode, Shown),
) -> Result<Response, WebError> {
    let fresh = me.form(app, ACTION)?;
    let fresh = fresh
        .filled(forms::profile_fields(person))
        .at_version(person.version);
    let secret = me.form(app, "/firm/profile/password")?;
    let (form, secret) = match shown {
        Shown::Fresh => (fresh, secret),
        Shown::Details(form) => (form, secret),
        Shown::Password(form) => (fresh, form),
    };
    let rows = access::sessions(app.db().read(), me.id).await?;
    let page = Profile {
        page: me.page("Your profile"),
        form,
        secret,
        sign_in: person.sign_in.clone(),
        devices: devices(app, me, rows, "/firm/profile/sessions")?,
    };
    html(status, &page)
}

/// The page.
pub async fn form(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let person = access::person(app.db().read(), me.id).await?;
    draw(&app, &me, &person, (StatusCode::OK, Shown::Fresh)).await
}

/// Takes name and telephone: errors beside the fields, a conflict with both
/// values, or saved.
pub async fn save(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let (name, phone) = match forms::profile(&post.fields) {
        Ok(new) => new,
        Err(errors) => {
            let person = access::person(app.db().read(), me.id).await?;
            let shown = Shown::Details(post.again(ACTION).wrong(errors));
            return draw(
                &app,
                &me,
                &person,
                (StatusCode::UNPROCESSABLE_ENTITY, shown),
            )
            .await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match access::save_profile(&mut work.tx, me.id, post.version()?, (&name, &phone)).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = access::person(app.db().read(), me.id).await?;
            let form = post
                .again(ACTION)
                .conflict(forms::profile_fields(&now), now.version);
            return draw(
                &app,
                &me,
                &now,
                (StatusCode::CONFLICT, Shown::Details(form)),
            )
            .await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit(
        "person.profile",
        "person",
        me.id.get(),
        serde_json::json!({}),
    )
    .await?;
    work.done("/firm/profile?saved").await
}

/// Takes a new password: the old one is asked, all other devices are signed out.
pub async fn password(
    State(app): State<AppState>,
    Extension(site): Extension<Arc<Site>>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    if let Some(reply) = post.earlier(&app, &me).await? {
        return Ok(reply);
    }
    let person = access::person(app.db().read(), me.id).await?;
    let firm = app.firm();
    let mut check = Check::of(&post.fields);
    let known = [
        person.name.as_str(),
        person.sign_in.as_str(),
        firm.name.as_str(),
    ];
    let new = access::password_field(&mut check, &post.fields, &known);
    let mut errors = check.errors();
    if errors.is_empty() && !access::is_own_password(&app, &site, &me, &post).await? {
        errors = Errors::one("old_password", "This is not your present password.");
    }
    let (Some(new), true) = (new, errors.is_empty()) else {
        let form = post.again("/firm/profile/password").wrong(errors);
        let shown = (StatusCode::UNPROCESSABLE_ENTITY, Shown::Password(form));
        return draw(&app, &me, &person, shown).await;
    };
    let hash = site.hasher.hash(new).await?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    access::set_password(&mut work.tx, me.id, &hash).await?;
    access::end_other_sessions(&mut work.tx, me.id, me.session).await?;
    work.audit(
        "person.password",
        "person",
        me.id.get(),
        serde_json::json!({}),
    )
    .await?;
    work.done("/firm/profile?saved").await
}

/// Ends one of one's own devices.
pub async fn end_session(
    State(app): State<AppState>,
    me: Me,
    post: Post,
) -> Result<Response, WebError> {
    let id: SessionId = post
        .fields
        .get("session")
        .parse()
        .map_err(|_| WebError::Missing)?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    access::end_session(&mut work.tx, me.id, id).await?;
    work.audit(
        "session.ended",
        "person",
        me.id.get(),
        serde_json::json!({}),
    )
    .await?;
    work.done("/firm/profile?saved").await
}
