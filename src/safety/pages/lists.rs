//! The firm's checklists: their words, how often they are asked, and before
//! which steps.

use axum::extract::{Path, State};
use axum::response::Response;
use serde_json::json;

use super::super::model::{NewTemplate, Scope, Template, TemplateId};
use super::super::{forms, store};
use crate::access::{Me, Post, Start};
use crate::db::StoreError;
use crate::heads::{self, Steps};
use crate::web::{AppState, Choice, Fields, Form, Page, WebError, html, ok};

#[derive(askama::Template)]
#[template(path = "safety/lists.html")]
struct ListPage {
    page: Page,
    lists: Vec<(Template, String)>,
}

fn before(steps: &Steps, template: &Template) -> String {
    let named = steps.iter().filter(|s| template.before.contains(&s.id));
    named
        .map(|s| s.name.as_str())
        .collect::<Vec<_>>()
        .join(", ")
}

/// GET `/safety/lists`.
///
/// # Errors
/// The database's.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let pool = app.db().read();
    let steps = heads::steps(pool).await?;
    let lists = store::templates(pool).await?.into_iter().map(|t| {
        let before = before(&steps, &t);
        (t, before)
    });
    ok(&ListPage {
        page: me.page("The firm’s checklists").under("/safety", "Safety"),
        lists: lists.collect(),
    })
}

#[derive(askama::Template)]
#[template(path = "safety/list.html")]
struct EditPage {
    page: Page,
    form: Form,
    scopes: Vec<Choice>,
    /// The rule picks it: what it is about is not the firm's to change.
    picked: bool,
    steps: Vec<Choice>,
    template: Option<Template>,
    away: Option<Form>,
}

const NEW: &str = "/safety/lists/new";

async fn draw(
    app: &AppState,
    me: &Me,
    template: Option<Template>,
    form: Form,
) -> Result<Response, WebError> {
    let steps = heads::steps(app.db().read()).await?;
    let title = template
        .as_ref()
        .map_or_else(|| "A new checklist".to_owned(), |t| t.title.clone());
    let away = template
        .as_ref()
        .map(|t| me.form(app, format!("/safety/lists/{}/archive", t.id)))
        .transpose()?;
    let view = EditPage {
        page: me
            .page(title)
            .under("/safety", "Safety")
            .under("/safety/lists", "Checklists"),
        scopes: Scope::ALL
            .iter()
            .map(|s| Choice::new(s.code(), s.words()))
            .collect(),
        steps: steps.iter().map(|s| Choice::new(s.id, &s.name)).collect(),
        picked: template.as_ref().is_some_and(|t| t.topic.is_some()),
        template,
        away,
        form,
    };
    html(view.form.status(), &view)
}

/// GET `/safety/lists/new`.
///
/// # Errors
/// The database's.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let form = me.form(&app, NEW)?;
    let form = form.filled(Fields::default().with("scope", Scope::Day.code()));
    draw(&app, &me, None, form).await
}

/// POST `/safety/lists/new`.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let steps = heads::steps(app.db().read()).await?;
    let new = match forms::template(&post.fields, &steps) {
        Ok(new) => new,
        Err(wrong) => return draw(&app, &me, None, post.again(NEW).wrong(wrong)).await,
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let id = store::add_template(&mut work.tx, work.made, None, &new).await?;
            work.audit(
                "safety.list-added",
                "checklist-template",
                id.get(),
                json!({}),
            )
            .await?;
            work.done("/safety/lists?saved").await
        }
    }
}

/// GET `/safety/lists/{id}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<TemplateId>,
) -> Result<Response, WebError> {
    let template = store::template(app.db().read(), id).await?;
    let form = me.form(&app, format!("/safety/lists/{id}"))?;
    let form = form
        .filled(forms::template_fields(&template))
        .at_version(template.edition);
    draw(&app, &me, Some(template), form).await
}

/// POST `/safety/lists/{id}`: a new edition; what was signed keeps the old.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<TemplateId>,
    post: Post,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let steps = heads::steps(pool).await?;
    let template = store::template(pool, id).await?;
    let again = post.again(format!("/safety/lists/{id}"));
    // The rule picks its checklists for what they are about, a day, a job or a
    // head: that stays.
    let picked = template.topic.is_some();
    let fields = post.fields.clone();
    let fields = fields.with_some("scope", picked.then(|| template.scope.code()));
    let new = match forms::template(&fields, &steps) {
        Ok(new) if picked => NewTemplate {
            scope: template.scope,
            ..new
        },
        Ok(new) => new,
        Err(wrong) => return draw(&app, &me, Some(template), again.wrong(wrong)).await,
    };
    let seen = post.version()?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::change_template(&mut work.tx, work.made, (id, seen), &new).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::template(pool, id).await?;
            let form = again.conflict(forms::template_fields(&now), now.edition);
            return draw(&app, &me, Some(now), form).await;
        }
        Err(error) => return Err(error.into()),
    }
    work.audit(
        "safety.list-changed",
        "checklist-template",
        id.get(),
        json!({}),
    )
    .await?;
    work.done("/safety/lists?saved").await
}

/// POST `/safety/lists/{id}/archive`.
///
/// # Errors
/// The database's.
pub async fn archive(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<TemplateId>,
    post: Post,
) -> Result<Response, WebError> {
    let away = post.fields.get("away") != "no";
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::archive_template(&mut work.tx, work.made, id, away).await?;
            let event = if away {
                "safety.list-archived"
            } else {
                "safety.list-brought-back"
            };
            work.audit(event, "checklist-template", id.get(), json!({}))
                .await?;
            work.done("/safety/lists?saved").await
        }
    }
}
