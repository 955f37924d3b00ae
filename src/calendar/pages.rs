//! One's own calendar link, and the feed behind it.

use std::net::SocketAddr;

use askama::Template;
use axum::extract::{ConnectInfo, Path, State};
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse as _, Response};
use serde_json::json;

use super::feed::written;
use super::gather::{Whose, entries};
use super::store;
use crate::access::{self, Me, Post, Start};
use crate::web::{AppState, Form, Page, WebError, ok};

#[derive(Template)]
#[template(path = "calendar/page.html")]
struct CalendarPage {
    page: Page,
    /// When the present link was made.
    since: Option<String>,
    /// A link just made: shown this once.
    fresh: Option<String>,
    make: Form,
    end: Form,
}

async fn draw(app: &AppState, me: &Me, fresh: Option<String>) -> Result<Response, WebError> {
    let since = store::made_at(app.db().read(), me.id).await?;
    ok(&CalendarPage {
        page: me
            .page("Your calendar")
            .under("/firm/profile", "Your profile"),
        since: since.map(|at| at.local(app.firm().zone)),
        fresh,
        make: me.form(app, "/calendar/link")?,
        end: me.form(app, "/calendar/end")?,
    })
}

/// GET `/calendar`.
///
/// # Errors
/// The database's.
pub async fn page(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    draw(&app, &me, None).await
}

/// POST `/calendar/link`: makes a link, ends the old one, and shows the new
/// one once. A replay shows the same link.
///
/// # Errors
/// The database's.
pub async fn make(
    State(app): State<AppState>,
    me: Me,
    headers: HeaderMap,
    post: Post,
) -> Result<Response, WebError> {
    let token = post.secret("calendar link");
    if let Start::First(mut work) = post.begin(&app, &me).await? {
        let sha = access::sha(token.as_bytes());
        store::put(&mut work.tx, work.made, me.id, &sha).await?;
        work.audit("calendar.link-made", "person", me.id.get(), json!({}))
            .await?;
        work.done("/calendar").await?;
    }
    let address = access::own_address(&app, &headers);
    draw(&app, &me, Some(format!("{address}/calendar/{token}.ics"))).await
}

/// POST `/calendar/end`: ends one's link.
///
/// # Errors
/// The database's.
pub async fn end(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::end(&mut work.tx, me.id).await?;
            work.audit("calendar.link-ended", "person", me.id.get(), json!({}))
                .await?;
            work.done("/calendar?saved").await
        }
    }
}

/// GET `/calendar/{token}.ics`.
///
/// # Errors
/// `TooMany`, `Gone`, the database's.
pub async fn file(
    State(app): State<AppState>,
    ConnectInfo(peer): ConnectInfo<SocketAddr>,
    headers: HeaderMap,
    Path(file): Path<String>,
) -> Result<Response, WebError> {
    let token = file.strip_suffix(".ics").unwrap_or_default();
    let sha = access::sha(token.as_bytes());
    let find = async { Ok(store::owner(app.db().read(), &sha).await?) };
    let (user, role) = access::by_link(&app, (peer, &headers), find).await?;
    let digest = data_encoding::HEXLOWER.encode(&access::sha(app.firm().name.as_bytes()));
    let whose = Whose {
        user,
        role,
        address: access::own_address(&app, &headers),
        mark: digest.chars().take(10).collect(),
    };
    let entries = entries(&app, &whose).await?;
    let heads = [
        (header::CONTENT_TYPE, "text/calendar; charset=utf-8"),
        (
            header::CONTENT_DISPOSITION,
            "inline; filename=\"headwright.ics\"",
        ),
    ];
    let body = written(&app.firm().name, &entries, app.now().utc());
    Ok((heads, body).into_response())
}
