//! A talk of five minutes: what about, and who was there.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::{forms, store};
use super::under_job;
use crate::access::{self, Me, Person, Post, Start, UserId};
use crate::jobs::JobId;
use crate::web::{AppState, Choice, Form, Page, WebError, html};

#[derive(Template)]
#[template(path = "safety/talk.html")]
struct TalkPage {
    page: Page,
    form: Form,
    people: Vec<Choice>,
}

async fn able(app: &AppState) -> Result<Vec<Person>, WebError> {
    let mut people = access::people(app.db().read()).await?;
    people.retain(|p| p.disabled_at.is_none());
    Ok(people)
}

async fn draw(app: &AppState, me: &Me, job: JobId, form: Form) -> Result<Response, WebError> {
    let people = able(app).await?;
    let view = TalkPage {
        page: under_job(app, me, "A five-minute talk", job).await?,
        people: people.iter().map(|p| Choice::new(p.id, &p.name)).collect(),
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/safety/jobs/{id}/talk`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn form(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let form = me.form(&app, format!("/safety/jobs/{id}/talk"))?;
    draw(&app, &me, id, form).await
}

/// POST `/safety/jobs/{id}/talk`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn take(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let today = app.now().date(app.firm().zone);
    let people: Vec<UserId> = able(&app).await?.iter().map(|p| p.id).collect();
    let new = match forms::talk(&post.fields, id, today, &people) {
        Ok(new) => new,
        Err(wrong) => {
            let again = post.again(format!("/safety/jobs/{id}/talk"));
            return draw(&app, &me, id, again.wrong(wrong)).await;
        }
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let talk = store::site::add_talk(&mut work.tx, work.made, &new).await?;
            work.audit("safety.talk", "talk", talk, json!({})).await?;
            work.done(format!("/safety/jobs/{id}?saved")).await
        }
    }
}
