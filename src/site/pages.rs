//! The page that a phone opens on when there is no signal.

use askama::Template;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse as _, Response};

use super::Keepers;
use crate::access::Me;
use crate::web::{AppState, KeptPage, Page, WebError, may_be_kept, ok};

#[derive(Template)]
#[template(path = "site/list.html")]
struct List {
    page: Page,
    kept: Vec<KeptPage>,
    me: i64,
    tls: bool,
}

/// GET `/site`: what this phone keeps, and what waits to be sent.
///
/// # Errors
/// The database's.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let mut kept = Vec::new();
    if let Some(keepers) = app.hook::<Keepers>() {
        for keeper in &keepers.0 {
            kept.extend(keeper(app.clone(), me.clone()).await?);
        }
    }
    let view = List {
        page: me.page("On site"),
        kept,
        me: me.id.get(),
        tls: app.rules().tls,
    };
    ok(&view).map(may_be_kept)
}

/// GET `/site/token`: who is signed in here, and the token for what was queued.
///
/// # Errors
/// None but the guard's.
pub async fn token(me: Me) -> Result<Response, WebError> {
    let body = serde_json::json!({ "user": me.id.get(), "csrf": me.token() });
    Ok((
        [(header::CONTENT_TYPE, "application/json; charset=utf-8")],
        body.to_string(),
    )
        .into_response())
}
