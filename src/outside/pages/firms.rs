//! The list of outside firms and the form of one.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{Outside, OutsideFacts, OutsideId, Trade, Work};
use super::super::{forms, store};
use crate::access::{Me, Post, Start};
use crate::db::StoreError;
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html, ok};

#[derive(Template)]
#[template(path = "outside/list.html")]
struct List {
    page: Page,
    /// Each with its insurance in words: class, mark, words.
    firms: Vec<(Outside, &'static str, &'static str, String)>,
}

/// GET `/outside`.
///
/// # Errors
/// The database's.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let today = app.now().date(app.firm().zone);
    let insured = |facts: &OutsideFacts| match facts.insured_until {
        None => ("held", "✗", "no paper".to_owned()),
        Some(until) if until < today => ("held", "✗", format!("ended on {until}")),
        Some(until) => ("done", "✓", format!("until {until}")),
    };
    let firms = store::firms(app.db().read()).await?.into_iter();
    ok(&List {
        page: me.page("Outside firms"),
        firms: firms
            .map(|firm| {
                let (class, mark, words) = insured(&firm.facts);
                (firm, class, mark, words)
            })
            .collect(),
    })
}

#[derive(Template)]
#[template(path = "outside/firm.html")]
struct FirmForm {
    page: Page,
    form: Form,
    trades: Vec<Choice>,
    works: Vec<Work>,
    /// Its archive button, and whether it is in the archive.
    away: Option<(Form, bool)>,
}

fn trades() -> Vec<Choice> {
    let choice = |t: &Trade| Choice::new(t.code(), t.words());
    Trade::ALL.iter().map(choice).collect()
}

fn draw_new(me: &Me, form: Form) -> Result<Response, WebError> {
    let view = FirmForm {
        page: me
            .page("An outside firm")
            .under("/outside", "Outside firms"),
        trades: trades(),
        works: Vec::new(),
        away: None,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/outside/new`.
///
/// # Errors
/// The system has no randomness to give.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let form = me.form(&app, "/outside/new")?;
    draw_new(&me, form.filled(Fields::default().with("trade", "painter")))
}

/// POST `/outside/new`.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let facts = match forms::firm(&post.fields) {
        Ok(facts) => facts,
        Err(wrong) => return draw_new(&me, post.again("/outside/new").wrong(wrong)),
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    let id = store::add_firm(&mut work.tx, work.made, &facts).await?;
    work.audit("outside.added", "outside firm", id.get(), json!({}))
        .await?;
    work.done("/outside?saved").await
}

async fn draw(app: &AppState, me: &Me, id: OutsideId, form: Form) -> Result<Response, WebError> {
    let firm = store::firm(app.db().read(), id).await?;
    let away = me
        .form(app, format!("/outside/{id}/archive"))?
        .at_version(firm.version);
    let view = FirmForm {
        page: me.page(&firm.facts.name).under("/outside", "Outside firms"),
        trades: trades(),
        works: store::of_firm(app.db().read(), id).await?,
        away: Some((away, firm.archived)),
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/outside/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OutsideId>,
) -> Result<Response, WebError> {
    let firm = store::firm(app.db().read(), id).await?;
    let form = me
        .form(&app, format!("/outside/{id}"))?
        .filled(forms::firm_fields(&firm.facts))
        .at_version(firm.version);
    draw(&app, &me, id, form).await
}

/// POST `/outside/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OutsideId>,
    post: Post,
) -> Result<Response, WebError> {
    let again = post.again(format!("/outside/{id}"));
    let facts = match forms::firm(&post.fields) {
        Ok(facts) => facts,
        Err(wrong) => return draw(&app, &me, id, again.wrong(wrong)).await,
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_firm(&mut work.tx, (id, seen), &facts).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::firm(app.db().read(), id).await?;
            let form = again.conflict(forms::firm_fields(&now.facts), now.version);
            return draw(&app, &me, id, form).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("outside.changed", "outside firm", id.get(), json!({}))
        .await?;
    work.done(format!("/outside/{id}?saved")).await
}

/// POST `/outside/{id}/archive`.
///
/// # Errors
/// `Stale`, the database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<OutsideId>,
    post: Post,
) -> Result<Response, WebError> {
    let (seen, away) = (post.version()?, post.away());
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::archive_firm(&mut work.tx, work.made, (id, seen), away).await?;
            let to = format!("/outside/{id}?saved");
            work.filed(("outside", "outside firm", id.get()), away, to)
                .await
        }
    }
}
