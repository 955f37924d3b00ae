//! The firm's settings, and the record of what was done.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::Response;

use crate::access::{Me, Post, Start};
use crate::db::{self, StoreError};
use crate::web::{AppState, Choice, Form, ListQuery, Page, Paging, WebError, html, ok};

use super::super::{forms, store};

#[derive(Template)]
#[template(path = "firm/index.html")]
struct Index {
    page: Page,
}

#[derive(Template)]
#[template(path = "firm/settings.html")]
struct Settings {
    page: Page,
    form: Form,
    roundings: Vec<Choice>,
}

#[derive(Template)]
#[template(path = "firm/record.html")]
struct Record {
    page: Page,
    rows: Vec<Line>,
    paging: Paging,
}

struct Line {
    at: String,
    who: String,
    event: String,
}

/// What there is.
pub async fn index(me: Me) -> Result<Response, WebError> {
    ok(&Index {
        page: me.page("Firm"),
    })
}

/// What was done, newest first.
pub async fn record(
    State(app): State<AppState>,
    Query(query): Query<ListQuery>,
    me: Me,
) -> Result<Response, WebError> {
    let mut rows = db::recent_audit(app.db().read(), query.window()).await?;
    let paging = query.paging(&mut rows);
    let zone = app.firm().zone;
    let line = |row: db::AuditRow| Line {
        at: row.at.local(zone),
        who: row.who.unwrap_or_else(|| "the console".to_owned()),
        event: row.event.replace(['.', '_'], " "),
    };
    let rows = rows.into_iter().map(line).collect();
    ok(&Record {
        page: me.page("Record").under("/firm", "Firm"),
        rows,
        paging,
    })
}

const ACTION: &str = "/firm/settings";

fn draw(me: &Me, status: StatusCode, form: Form) -> Result<Response, WebError> {
    let roundings = vec![
        Choice::new("16", "inches, to 1/16"),
        Choice::new("32", "inches, to 1/32"),
        Choice::new("mm", "millimetres, to a half"),
    ];
    html(
        status,
        &Settings {
            page: me.page("Settings").under("/firm", "Firm"),
            form,
            roundings,
        },
    )
}

/// The form, filled.
pub async fn form(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let firm = store::firm(app.db().read()).await?;
    let form = me
        .form(&app, ACTION)?
        .filled(forms::firm_fields(&firm))
        .at_version(firm.version);
    draw(&me, StatusCode::OK, form)
}

/// Takes it; from the next request on every page uses the new settings.
pub async fn save(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let new = match forms::firm(&post.fields, post.version()?) {
        Ok(new) => new,
        Err(errors) => {
            let form = post.again(ACTION).wrong(errors);
            return draw(&me, StatusCode::UNPROCESSABLE_ENTITY, form);
        }
    };
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    match store::save(&mut work.tx, &new).await {
        Ok(()) => {}
        Err(StoreError::Stale(_)) => {
            drop(work);
            let now = store::firm(app.db().read()).await?;
            let form = post
                .again(ACTION)
                .conflict(forms::firm_fields(&now), now.version);
            return draw(&me, StatusCode::CONFLICT, form);
        }
        Err(error) => return Err(error.into()),
    }
    work.audit("firm.settings", "firm", 1, serde_json::json!({}))
        .await?;
    let reply = work.done("/firm/settings?saved").await?;
    app.set_firm(new.basics);
    Ok(reply)
}
