//! The pages of permits: those of a job, to show on site and to print, and the
//! form.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::forms;
use super::hooks::{Line, line, may_write};
use super::model::{PermitId, PermitKind, PermitState};
use super::store;
use crate::access::{Me, Post, Start};
use crate::db::StoreError;
use crate::jobs::{self, JobId};
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html, ok};

#[derive(Template)]
#[template(path = "permits/of_job.html")]
struct OfJob {
    page: Page,
    job: JobId,
    address: String,
    lines: Vec<Line>,
    away: Vec<(PermitId, String)>,
    may_write: bool,
}

/// GET `/permits/job/{id}`: what is shown on site.
///
/// # Errors
/// `Missing`, the database's.
pub async fn of_job(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let job = jobs::job(pool, id).await?;
    let may_write = may_write(&app, &me, id).await?;
    let away = if may_write {
        store::of_job(pool, id, true).await?
    } else {
        Vec::new()
    };
    let lines = store::of_job(pool, id, false).await?;
    ok(&OfJob {
        page: under(&me, "Permits", (id, job.facts.code.as_str())),
        job: id,
        address: job.facts.site_address,
        lines: lines.into_iter().map(|p| line(&app, p)).collect(),
        away: away.into_iter().map(|p| (p.id, p.facts.name())).collect(),
        may_write,
    })
}

fn under(me: &Me, title: &str, (job, code): (JobId, &str)) -> Page {
    me.page(title)
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{job}"), code)
        .titled("Job", code)
}

#[derive(Template)]
#[template(path = "permits/form.html")]
struct PermitForm {
    page: Page,
    form: Form,
    kinds: Vec<Choice>,
    states: Vec<Choice>,
    /// Its archive button, and whether it is in the archive.
    away: Option<(Form, bool)>,
}

fn draw(page: Page, form: Form, away: Option<(Form, bool)>) -> Result<Response, WebError> {
    let view = PermitForm {
        page,
        kinds: PermitKind::ALL
            .iter()
            .map(|k| Choice::new(k.code(), k.words()))
            .collect(),
        states: PermitState::ALL
            .iter()
            .map(|s| Choice::new(s.code(), s.words()))
            .collect(),
        away,
        form,
    };
    html(view.form.status(), &view)
}

async fn new_page(app: &AppState, me: &Me, id: JobId) -> Result<Page, WebError> {
    let job = jobs::job(app.db().read(), id).await?;
    Ok(under(me, "A permit", (id, job.facts.code.as_str())))
}

/// GET `/permits/new/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn new(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let fields = Fields::default().with("state", PermitState::Needed.code());
    let form = me.form(&app, format!("/permits/new/{id}"))?.filled(fields);
    draw(new_page(&app, &me, id).await?, form, None)
}

/// POST `/permits/new/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn add(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let facts = match forms::permit(&post.fields) {
        Ok(facts) => facts,
        Err(wrong) => {
            let form = post.again(format!("/permits/new/{id}")).wrong(wrong);
            return draw(new_page(&app, &me, id).await?, form, None);
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let row = store::add_permit(&mut work.tx, work.made, id, &facts).await?;
    let detail = json!({ "state": facts.state.code() });
    work.audit("permit.added", "permit", row.get(), detail)
        .await?;
    work.done(format!("/permits/job/{id}?saved")).await
}

async fn edit_page(
    app: &AppState,
    me: &Me,
    id: PermitId,
    form: Form,
) -> Result<Response, WebError> {
    let permit = store::permit(app.db().read(), id).await?;
    let page = under(
        me,
        permit.facts.kind.words(),
        (permit.job, &permit.job_code),
    )
    .under(format!("/permits/job/{}", permit.job), "Permits");
    let away = me
        .form(app, format!("/permits/{id}/archive"))?
        .at_version(permit.version);
    draw(page, form, Some((away, permit.archived)))
}

/// GET `/permits/{id}/edit`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<PermitId>,
) -> Result<Response, WebError> {
    let permit = store::permit(app.db().read(), id).await?;
    let form = me
        .form(&app, format!("/permits/{id}/edit"))?
        .filled(forms::fields(&permit.facts))
        .at_version(permit.version);
    edit_page(&app, &me, id, form).await
}

/// POST `/permits/{id}/edit`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<PermitId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/permits/{id}/edit"));
    let facts = match forms::permit(&post.fields) {
        Ok(facts) => facts,
        Err(wrong) => return edit_page(&app, &me, id, again.wrong(wrong)).await,
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_permit(&mut work.tx, (id, seen), &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::permit(app.db().read(), id).await?;
            let form = again.conflict(forms::fields(&now.facts), now.version);
            return edit_page(&app, &me, id, form).await;
        }
        Err(error) => return Err(error.into()),
    }
    let detail = json!({ "state": facts.state.code() });
    work.audit("permit.changed", "permit", id.get(), detail)
        .await?;
    let job = store::permit(app.db().read(), id).await?.job;
    work.done(format!("/permits/job/{job}?saved")).await
}

/// POST `/permits/{id}/archive`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<PermitId>,
    post: Post,
) -> Result<Response, WebError> {
    let (seen, away) = (post.version()?, post.away());
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::archive_permit(&mut work.tx, work.made, (id, seen), away).await?;
            let to = format!("/permits/{id}/edit?saved");
            work.filed(("permit", "permit", id.get()), away, to).await
        }
    }
}
