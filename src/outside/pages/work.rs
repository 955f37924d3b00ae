//! A firm's part of a job: putting it on, its days, taking it off.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{LINK_DAYS, LinkId, Outside, Work, WorkId};
use super::super::{forms, store};
use crate::access::{Me, Post, Start};
use crate::db::StoreError;
use crate::jobs::{self, JobId};
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html};

#[derive(Template)]
#[template(path = "outside/work.html")]
struct WorkForm {
    page: Page,
    form: Form,
    firms: Vec<Choice>,
    held: Option<Held>,
}

/// What the page shows of a part that is kept.
struct Held {
    work: Work,
    amiss: Option<String>,
    /// Id, made on, holds until, and the button that ends it.
    links: Vec<(LinkId, String, String, Form)>,
    make: Form,
    days: u64,
    /// A link just made: shown this once.
    fresh: Option<String>,
    away: Form,
}

fn choices(firms: &[Outside]) -> Vec<Choice> {
    let words = |firm: &Outside| {
        let facts = &firm.facts;
        Choice::new(firm.id, format!("{}, {}", facts.name, facts.trade.words()))
    };
    firms.iter().map(words).collect()
}

async fn live(app: &AppState) -> Result<Vec<Outside>, WebError> {
    let mut firms = store::firms(app.db().read()).await?;
    firms.retain(|firm| !firm.archived);
    Ok(firms)
}

async fn under(app: &AppState, me: &Me, title: &str, id: JobId) -> Result<Page, WebError> {
    let job = jobs::job(app.db().read(), id).await?;
    let code = job.facts.code.as_str();
    Ok(me
        .page(title)
        .under("/jobs", "Jobs")
        .under(format!("/jobs/{id}"), code)
        .titled("Job", code))
}

async fn draw_new(app: &AppState, me: &Me, id: JobId, form: Form) -> Result<Response, WebError> {
    let view = WorkForm {
        page: under(app, me, "An outside firm on this job", id).await?,
        firms: choices(&live(app).await?),
        held: None,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/outside/job/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn new(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
) -> Result<Response, WebError> {
    let form = me.form(&app, format!("/outside/job/{id}"))?;
    draw_new(&app, &me, id, form).await
}

/// POST `/outside/job/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn add(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<JobId>,
    post: Post,
) -> Result<Response, WebError> {
    let facts = match forms::work(&post.fields, &live(&app).await?) {
        Ok(facts) => facts,
        Err(wrong) => {
            let form = post.again(format!("/outside/job/{id}")).wrong(wrong);
            return draw_new(&app, &me, id, form).await;
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let row = store::add_work(&mut work.tx, work.made, id, &facts).await?;
    work.audit("outside.on-job", "outside work", row.get(), json!({}))
        .await?;
    work.done(format!("/outside/work/{row}?saved")).await
}

/// Draws the page of one part, with a link just made.
pub(super) async fn draw(
    app: &AppState,
    me: &Me,
    id: WorkId,
    (form, fresh): (Form, Option<String>),
) -> Result<Response, WebError> {
    let (pool, zone) = (app.db().read(), app.firm().zone);
    let work = store::work(pool, id).await?;
    let mut links = Vec::new();
    for link in store::links(pool, id, app.now()).await? {
        let form = me
            .form(app, format!("/outside/work/{id}/revoke"))?
            .filled(Fields::default().with("link", link.id));
        links.push((
            link.id,
            link.made_at.date(zone).to_string(),
            link.expires_at.date(zone).to_string(),
            form,
        ));
    }
    let held = Held {
        amiss: work.uninsured(app.now().date(zone)),
        make: me.form(app, format!("/outside/work/{id}/link"))?,
        days: LINK_DAYS,
        away: me
            .form(app, format!("/outside/work/{id}/archive"))?
            .at_version(work.version),
        links,
        fresh,
        work,
    };
    let view = WorkForm {
        page: under(app, me, &held.work.name, held.work.job).await?,
        firms: Vec::new(),
        held: Some(held),
        form,
    };
    html(view.form.status(), &view)
}

/// The form of a part as it is kept.
pub(super) async fn fresh_form(app: &AppState, me: &Me, id: WorkId) -> Result<Form, WebError> {
    let work = store::work(app.db().read(), id).await?;
    Ok(me
        .form(app, format!("/outside/work/{id}"))?
        .filled(forms::work_fields(&work.facts))
        .at_version(work.version))
}

/// GET `/outside/work/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<WorkId>,
) -> Result<Response, WebError> {
    let form = fresh_form(&app, &me, id).await?;
    draw(&app, &me, id, (form, None)).await
}

/// POST `/outside/work/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<WorkId>,
    post: Post,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let again = post.again(format!("/outside/work/{id}"));
    let held = store::work(pool, id).await?;
    let firm = store::firm(pool, held.facts.firm).await?;
    let facts = match forms::work(&post.fields, &[firm]) {
        Ok(facts) => facts,
        Err(wrong) => return draw(&app, &me, id, (again.wrong(wrong), None)).await,
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_work(&mut work.tx, (id, seen), &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::work(pool, id).await?;
            let form = again.conflict(forms::work_fields(&now.facts), now.version);
            return draw(&app, &me, id, (form, None)).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("outside.dates", "outside work", id.get(), json!({}))
        .await?;
    work.done(format!("/outside/work/{id}?saved")).await
}

/// POST `/outside/work/{id}/archive`: takes the firm off the job.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<WorkId>,
    post: Post,
) -> Result<Response, WebError> {
    let (seen, away) = (post.version()?, post.away());
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::archive_work(&mut work.tx, work.made, (id, seen), away).await?;
            let to = format!("/outside/work/{id}?saved");
            work.filed(("outside.work", "outside work", id.get()), away, to)
                .await
        }
    }
}
