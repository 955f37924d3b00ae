//! The private link: made, ended, and what it shows.

use std::net::SocketAddr;
use std::time::Duration;

use askama::Template;
use axum::extract::{ConnectInfo, Path, State};
use axum::http::HeaderMap;
use axum::response::Response;
use chrono::NaiveDate;
use serde_json::json;

use super::super::model::{LINK_DAYS, LinkId, Work, WorkId};
use super::super::store;
use super::work::{draw, fresh_form};
use crate::access::{self, Me, Post, Start};
use crate::web::{AppState, Chrome, Page, WebError, ok};

const LIFE: Duration = Duration::from_secs(LINK_DAYS * 24 * 3600);

/// POST `/outside/work/{id}/link`: makes a link and shows it once. A replay
/// shows the same link: the token comes from the form and the session.
///
/// # Errors
/// The database's.
pub async fn make(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<WorkId>,
    post: Post,
) -> Result<Response, WebError> {
    let token = post.secret("outside link");
    if let Start::First(mut work) = post.begin(&app, &me).await? {
        let sha = access::sha(token.as_bytes());
        let until = work.made.at.plus(LIFE);
        store::add_link(&mut work.tx, work.made, id, (&sha, until)).await?;
        work.audit("outside.link-made", "outside work", id.get(), json!({}))
            .await?;
        work.done(format!("/outside/work/{id}")).await?;
    }
    let form = fresh_form(&app, &me, id).await?;
    draw(&app, &me, id, (form, Some(format!("/work/{token}")))).await
}

/// POST `/outside/work/{id}/revoke`: ends a link at once.
///
/// # Errors
/// `Missing`, the database's.
pub async fn revoke(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<WorkId>,
    post: Post,
) -> Result<Response, WebError> {
    let link: LinkId = post
        .fields
        .get("link")
        .parse()
        .map_err(|_| WebError::Missing)?;
    let mut work = match post.begin(&app, &me).await? {
        Start::First(work) => work,
        Start::Again(reply) => return Ok(reply),
    };
    store::revoke(&mut work.tx, work.made, (id, link)).await?;
    work.audit("outside.link-ended", "outside work", id.get(), json!({}))
        .await?;
    work.done(format!("/outside/work/{id}?saved")).await
}

/// What an outside firm sees: where, when, what, whom to ask for. No client,
/// no price, nobody's telephone, nothing of the crew's notes.
#[derive(Template)]
#[template(path = "outside/theirs.html")]
struct Theirs {
    page: Page,
    address: String,
    days: String,
    does: String,
    foreman: Option<String>,
    insured: Option<NaiveDate>,
}

/// GET `/work/{token}`.
///
/// # Errors
/// `TooMany`, `Gone`, the database's.
pub async fn show(
    State(app): State<AppState>,
    ConnectInfo(peer): ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    Path(token): Path<String>,
) -> Result<Response, WebError> {
    let find = async {
        let sha = access::sha(token.as_bytes());
        Ok(store::opened(app.db().read(), &sha, app.now()).await?)
    };
    let work: Work = access::by_link(&app, (peer, &headers), find).await?;
    let chrome = Chrome {
        firm: app.firm().name.clone(),
        ..Chrome::default()
    };
    let page = Page::new(format!("{} · {}", work.name, work.job_code), chrome.into())
        .titled("Job", &work.job_code)
        .titled("Read", app.now().local(app.firm().zone));
    ok(&Theirs {
        page,
        days: work.days(),
        address: work.site_address,
        does: work.facts.does,
        foreman: work.foreman,
        insured: work.insured_until,
    })
}
