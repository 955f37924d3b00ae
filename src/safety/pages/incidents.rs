//! Accidents and near misses: written down at once, by whoever saw it.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{Incident, IncidentKind};
use super::super::{forms, hooks, store};
use super::under_job;
use crate::access::{Me, Post, Reach, Role, Start};
use crate::jobs::JobId;
use crate::web::{AppState, Choice, Form, Page, WebError, html, ok};

#[derive(Template)]
#[template(path = "safety/incident.html")]
struct IncidentPage {
    page: Page,
    form: Form,
    kinds: Vec<Choice>,
}

async fn draw(app: &AppState, me: &Me, job: JobId, form: Form) -> Result<Response, WebError> {
    let kinds = IncidentKind::ALL.iter();
    let view = IncidentPage {
        page: under_job(app, me, "Accident or near miss", job).await?,
        kinds: kinds.map(|k| Choice::new(k.code(), k.words())).collect(),
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/safety/jobs/{id}/incident`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn form(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let form = me.form(&app, format!("/safety/jobs/{id}/incident"))?;
    draw(&app, &me, id, form).await
}

/// POST `/safety/jobs/{id}/incident`.
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
    let new = match forms::incident(&post.fields, id, today) {
        Ok(new) => new,
        Err(wrong) => {
            let again = post.again(format!("/safety/jobs/{id}/incident"));
            return draw(&app, &me, id, again.wrong(wrong)).await;
        }
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let row = store::site::add_incident(&mut work.tx, work.made, &new).await?;
            work.audit("safety.incident", "incident", row.get(), json!({}))
                .await?;
            work.done(format!("/safety/jobs/{id}?saved")).await
        }
    }
}

#[derive(Template)]
#[template(path = "safety/incidents.html")]
struct ListPage {
    page: Page,
    incidents: Vec<Incident>,
}

/// GET `/safety/incidents`: of every job this person may see; a carpenter's
/// own reports only.
///
/// # Errors
/// The database's.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let mut incidents = store::site::incidents(app.db().read(), None).await?;
    if me.role == Role::Carpenter {
        incidents.retain(|i| i.by_id == me.id.get());
    } else if me.reach != Reach::All {
        let mine: Vec<JobId> = hooks::jobs_of(&app, &me)
            .await?
            .iter()
            .map(|j| j.id)
            .collect();
        incidents.retain(|i| mine.contains(&i.job));
    }
    ok(&ListPage {
        page: me
            .page("Accidents and near misses")
            .under("/safety", "Safety"),
        incidents,
    })
}
