//! One's own profile.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::access::{self, Me, Person, Post, Start};
use crate::db::StoreError;
use crate::web::{AppState, Fields, Form, Page, WebError, html, ok};

use super::super::forms;

#[derive(Template)]
#[template(path = "firm/profile.html")]
struct Profile {
    page: Page,
    form: Form,
    sign_in: String,
}

fn fields_of(person: &Person) -> Fields {
    Fields::default()
        .with("name", &person.name)
        .with("phone", &person.phone)
}

fn page(me: &Me, person: &Person, form: Form) -> Profile {
    Profile {
        page: me.page("Your profile"),
        form,
        sign_in: person.sign_in.clone(),
    }
}

/// The form, filled.
pub async fn form(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let person = access::person(app.db().read(), me.id).await?;
    let form = me.form(&app, "/firm/profile")?;
    let form = form.filled(fields_of(&person)).at_version(person.version);
    ok(&page(&me, &person, form))
}

/// Takes it: errors beside the fields, a conflict with both values, or saved.
pub async fn save(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let action = "/firm/profile";
    let (name, phone) = match forms::profile(&post.fields) {
        Ok(new) => new,
        Err(errors) => {
            let person = access::person(app.db().read(), me.id).await?;
            let form = post.again(action).wrong(errors);
            return html(StatusCode::UNPROCESSABLE_ENTITY, &page(&me, &person, form));
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
            let form = post.again(action).conflict(fields_of(&now), now.version);
            return html(StatusCode::CONFLICT, &page(&me, &now, form));
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
