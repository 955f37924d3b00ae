//! Changes by others, told to an open plan as server-sent events.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::State;
use axum::http::{HeaderMap, header};
use axum::response::sse::{Event, Sse};
use axum::response::{IntoResponse as _, Response};
use futures_util::stream::unfold;

use super::super::store;
use crate::web::{AppState, WebError};

/// How often an open plan is compared with the database.
const EVERY: Duration = Duration::from_secs(1);
/// After so many looks the stream ends and the browser asks again: so a
/// session that was ended does not see on.
const LOOKS: u32 = 120;
/// A sign of life at least every so many looks.
const ALIVE: u32 = 10;

struct Watch {
    app: AppState,
    seen: Option<i64>,
    looks: u32,
}

/// GET `/crew/plan/changes`: the number of the newest change, again whenever it
/// grows. Whoever does not ask for events gets the number once, as text.
///
/// # Errors
/// The database's.
pub async fn stream(State(app): State<AppState>, headers: HeaderMap) -> Result<Response, WebError> {
    let newest = store::newest_change(app.db().read()).await?;
    let live = headers
        .get(header::ACCEPT)
        .is_some_and(|kinds| kinds.as_bytes().starts_with(b"text/event-stream"));
    if !live {
        let kind = [(header::CONTENT_TYPE, "text/plain; charset=utf-8")];
        return Ok((kind, newest.to_string()).into_response());
    }
    let watch = Watch {
        app,
        seen: None,
        looks: 0,
    };
    Ok(Sse::new(unfold(watch, next)).into_response())
}

async fn next(mut watch: Watch) -> Option<(Result<Event, Infallible>, Watch)> {
    loop {
        if watch.looks >= LOOKS {
            return None;
        }
        if watch.seen.is_some() {
            tokio::time::sleep(EVERY).await;
        }
        watch.looks += 1;
        let now = store::newest_change(watch.app.db().read()).await.ok()?;
        if watch.seen != Some(now) || watch.looks.is_multiple_of(ALIVE) {
            watch.seen = Some(now);
            let event = Event::default().event("newest").data(now.to_string());
            return Some((Ok(event), watch));
        }
    }
}
